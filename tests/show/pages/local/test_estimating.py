"""The slow estimate beside the page: what it says, how it is stopped, and what it refuses."""

import os
import time
from contextlib import suppress
from pathlib import Path

import pytest

from sim.describe.files.reader import Document, read
from sim.errors import JounceError
from sim.show.pages.local.estimating import Estimating, said
from tests.waiting import is_running

TRUCK = Path("scenarios/vehicles/hut_supply_truck.yaml")
TWO = [{"name": "as it is", "changes": {}}, {"name": "four", "changes": {"front.dampers.main.count": "4"}}]
PATIENCE_S = 300.0


def asked(**more):
    return {"course": "One speed hump", "speed": "20 km/h", "load": "", "setups": TWO, **more}


def silent(done, of):
    """Hear how far it is."""


def test_a_truck_without_doubt_says_how_to_write_one():
    with pytest.raises(JounceError, match=r"620 kg \+- 15 kg"):
        said(read(TRUCK), asked(), silent)


@pytest.mark.parametrize(
    ("more", "words"),
    [
        ({"setups": TWO[:1]}, "add one to compare with"), ({"setups": [TWO[0], TWO[0]]}, "Two set-ups are called"),
        ({"speed": "20"}, "needs a unit"),
        ({"setups": [TWO[0], {"name": "x", "changes": {"front.dampers.main.count": "four"}}]}, "count"),
    ],
)  # fmt: skip
def test_what_cannot_be_run_is_refused(more, words):
    with pytest.raises(JounceError, match=words):
        said(read(TRUCK), asked(**more), silent)


@pytest.mark.long
def test_what_is_in_doubt_leaves_its_differences_open():
    data = read(TRUCK).data
    data["front"]["tyre"]["rate"] = "265 N/mm +- 60 N/mm"
    heard = []
    own = said(Document(data, TRUCK), asked(), lambda done, of: heard.append((done, of)))
    assert heard[-1][0] == heard[-1][1] > 0
    (difference,) = own["differences"]
    assert (difference["setup"], difference["against"]) == ("four", "as it is")
    assert all(label and " to " in text for label, text in difference["rows"][:1])
    # One number alone decides all that is open, by whatever measure.
    (row,) = own["numbers"]
    assert row["label"] == "Front tyres: rate of one tyre"
    assert row["is_"] == "given"
    assert "265 N/mm" in row["value"]
    assert "205 to 325 N/mm" in row["within"]
    assert int(row["decides"].removesuffix(" %")) > 90
    assert row["moves"]
    # In the words of the form, and of no file.
    assert not any("front.tyre.rate" in text or "jounce " in text for text in own["notes"])
    assert any("Front tyres: rate of one tyre" in text for text in own["notes"])


@pytest.mark.long
def test_who_carries_another_load_is_judged_against_one_that_does():
    """Else the load would pass for the dampers' doing: as `jounce compare` has it."""
    data = read(TRUCK).data
    data["front"]["tyre"]["rate"] = "265 N/mm +- 60 N/mm"
    bed = {"loads.bed": {"mass": "400 kg", "place": {"behind_front_axle": "2.4 m", "above_ground": "1.1 m"}}}
    four = {"front.dampers.main.count": "4"}
    setups = [
        {"name": "as it is", "changes": {}}, {"name": "loaded", "changes": bed}, {"name": "four, loaded", "changes": bed | four},
    ]  # fmt: skip
    own = said(Document(data, TRUCK), asked(setups=setups), silent)
    assert [(one["setup"], one["against"]) for one in own["differences"]] == [
        ("loaded", "as it is"),
        ("four, loaded", "loaded"),
    ]


def test_it_ends_when_it_is_stopped():
    estimate = Estimating(read(TRUCK), asked(), "both")
    number = estimate._process.pid
    estimate.stop()
    with suppress(ChildProcessError):
        os.waitpid(number, os.WNOHANG)
    assert not is_running(number)


def test_it_says_so_in_a_process_of_its_own():
    estimate = Estimating(read(TRUCK), asked(speed="20"), "both")
    try:
        until = time.monotonic() + PATIENCE_S
        while (heard := estimate.next()) is None:
            assert time.monotonic() < until
        assert "needs a unit" in heard["why"]
    finally:
        estimate.stop()
