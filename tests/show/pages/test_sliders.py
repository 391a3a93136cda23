"""A damper's curve apart by its sliders is its own curve, and each slider moves its own stretch alone."""

import numpy as np
import pytest
from pydantic import TypeAdapter

from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.kernel import layout as at
from sim.show.pages.simulator.sliders import curve_of
from tests.describe.parts.test_laws import EXAMPLES

SPEEDS = np.concatenate((-np.geomspace(0.001, 1.5, 150)[::-1], [0.0], np.geomspace(0.001, 1.5, 150)))


def damper(kind, **more):
    mounts = {"body": {"behind_front_axle": "0 m", "above_ground": "1 m"}, "axle": {"ahead": "0 m", "above": "0 m"}}
    return TypeAdapter(DamperSet).validate_python({"valving": EXAMPLES[kind], **mounts, **more})


def forces(table):
    """Return the force [N] at SPEEDS of a table of ramps, as `sim.kernel.forces.ramps` adds them up."""
    total = np.full_like(SPEEDS, table[:, at.OFFSET].sum())
    for group in table:
        for start, slope, more, steeper in group[: at.OFFSET].reshape(-1, at.PAIR_ROWS):
            total += slope * np.maximum(SPEEDS, start) + steeper * np.minimum(SPEEDS, more)
    return total


@pytest.mark.parametrize("kind", EXAMPLES)
def test_with_all_sliders_in_the_middle_it_is_the_dampers_own(kind):
    one = damper(kind, seal_friction="30 N")
    curve = curve_of(one)
    own = ramps.force(one.knots(), SPEEDS)
    np.testing.assert_allclose(forces(curve.table((1.0,) * len(curve.sliders))), own, rtol=1e-12, atol=1e-9)


@pytest.mark.parametrize("kind", EXAMPLES)
def test_each_slider_moves_the_slope_of_its_stretch_alone(kind):
    one = damper(kind, seal_friction="30 N")
    curve = curve_of(one)
    law = ramps.force(one.valving.lower(), SPEEDS)
    whole = np.zeros_like(SPEEDS)
    assert {slider.way for slider in curve.sliders} == {"compression", "rebound"}
    for number, slider in enumerate(curve.sliders):
        alone = curve.table(tuple(np.eye(len(curve.sliders))[number]))
        inside = np.clip(np.abs(SPEEDS), slider.begin, min(slider.end, 1.5))
        # The force that the law itself gains between where the stretch begins and there, on its side.
        sense = 1.0 if slider.way == "compression" else -1.0
        ends = np.stack([sense * inside, np.full_like(SPEEDS, sense * slider.begin)])
        gained = np.diff(ramps.force(one.valving.lower(), ends)[::-1], axis=0)[0]
        expected = np.where(sense * SPEEDS > 0.0, gained, 0.0)
        np.testing.assert_allclose(forces(alone) - forces(curve.fixed), expected, rtol=1e-12, atol=1e-9)
        summed = sum(slope * np.maximum(sense * SPEEDS - start, 0.0) for start, slope in slider.ramps)
        np.testing.assert_allclose(sense * summed, expected, rtol=1e-12, atol=1e-9)
        whole += expected
    np.testing.assert_allclose(whole, law, rtol=1e-12, atol=1e-9)


def test_a_knee_curve_has_four_sliders_that_part_at_its_knees():
    places = [(s.way, s.begin, s.end) for s in curve_of(damper("knee")).sliders]
    assert places == [
        ("compression", 0.0, pytest.approx(0.12)), ("compression", pytest.approx(0.12), np.inf),
        ("rebound", 0.0, pytest.approx(0.127)), ("rebound", pytest.approx(0.127), np.inf),
    ]  # fmt: skip
