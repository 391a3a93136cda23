"""Motions of a body are told apart by how it moves, where their names can go either way."""

from dataclasses import replace

import numpy as np
import pytest

from sim.linear.modes import OF_BODY, alike, modes, named_like
from sim.lower.lowering import lower
from tests.synthetic import hut_truck


@pytest.fixture(scope="module")
def found():
    return modes(lower(hut_truck()))


def body_of(found):
    return {mode.name: mode.frequency_hz for mode in found if mode.name in OF_BODY}


def test_a_truck_is_named_like_itself(found):
    assert named_like(found, found) == found
    assert len(body_of(found)) == 2


def test_names_that_were_swapped_are_put_right(found):
    first, second = body_of(found)
    other = {first: second, second: first}
    swapped = tuple(replace(mode, name=other.get(mode.name, mode.name)) for mode in found)
    assert named_like(swapped, found) == found


def test_where_the_other_truck_says_ends_they_are_ends(found):
    first, second = body_of(found)
    ends = {first: "front end", second: "rear end"}
    said = tuple(replace(mode, name=ends.get(mode.name, mode.name)) for mode in found)
    assert named_like(found, said) == said


def test_a_body_that_creeps_keeps_its_names(found):
    """An overdamped motion can be missing: then nothing is there to be told apart."""
    lacking = tuple(mode for mode in found if mode.name != "pitch")
    assert named_like(lacking, found) == lacking
    assert named_like(found, lacking) == found


def test_how_alike_motions_are(found):
    """The same motion is 1, whatever its phase and size; bounce alone and pitch alone have nothing of each other."""
    one = found[0]
    turned = replace(one, shape=replace(one.shape, bounce=one.shape.bounce * 3j, pitch=one.shape.pitch * 3j))
    assert alike(one, turned) == pytest.approx(1.0, abs=1e-12)
    up = replace(one, shape=replace(one.shape, bounce=1.0 + 0.0j, pitch=0.0j))
    nod = replace(one, shape=replace(one.shape, bounce=0.0j, pitch=1.0 + 0.0j))
    assert alike(up, nod) == 0.0
    both = replace(one, shape=replace(one.shape, bounce=1.2 + 0.0j, pitch=1.0 + 0.0j))
    assert alike(up, both) == pytest.approx(np.sqrt(0.5), abs=1e-12)
