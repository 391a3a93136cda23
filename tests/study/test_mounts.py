"""Mounts of an axle's dampers moved: where they then are, and what that does to wind-up in the equations, against closed forms."""

from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.parts.slip import Surface
from sim.errors import RunError
from sim.kernel import layout as at
from sim.linear.modes import equivalent_damping
from sim.lower.lowering import lower
from sim.study.mounts import (
    MOVES,
    both_moved,
    lean_of,
    lower_moved,
    offset_of,
    relaxation_of,
    relaxed,
    staggered,
    unfit,
)
from sim.study.tramp.motions import matrix_of, slip_with, steady

ROOT = Path(__file__).parents[2]
ROCK = Surface.model_validate({"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"})
TURN, TURNING = at.WIND_UP + 2, at.COORDINATES + at.WIND_UP + 2
RISING = at.COORDINATES + at.JOUNCE + 2


@pytest.fixture(scope="module")
def truck():
    """The demo truck with rear dampers that weigh nothing, so that the axle's centre of gravity stays at its centre."""
    made = sim.load(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml")
    return made.changed({"rear.dampers.main.tube_mass": "0 kg", "rear.dampers.main.rod_mass": "0 kg"})


def housing(vehicle, by):
    """How the rear housing's turning in space is accelerated by the speed of one coordinate [1/s, or 1/(m s)]."""
    matrix, rows = matrix_of(steady(vehicle, "rear", ROCK, slip_with(ROCK, vehicle, "rear", 0.2)))
    row = {int(r): i for i, r in enumerate(rows)}
    # a leaf that does not turn the housing: its turn in space is wind-up and pitch
    return sum(matrix[row[r], row[by]] for r in (TURNING, at.COORDINATES + at.PITCH))


def straight_damping(vehicle):
    """Damping of one damper, its seals included, as the linear view takes it [N s/m]."""
    line = next(line for line in lower(vehicle).lines if (line.axle, line.role) == ("rear", "damper"))
    return equivalent_damping(line.knots, 0.1)


def test_each_move_moves_what_it_says(truck):
    before = truck.rear.dampers["main"]
    for place in (-0.15, 0.0, 0.12):
        lower, both = (of(truck, "rear", place).rear.dampers["main"] for of in (lower_moved, both_moved))
        assert lower.body == before.body
        assert lower.axle.ahead == both.axle.ahead == place
        assert lower.axle.above == both.axle.above == before.axle.above
        assert both.body.behind_front_axle - before.body.behind_front_axle == pytest.approx(before.axle.ahead - place)
        assert lean_of(both_moved(truck, "rear", place), "rear", "main") == pytest.approx(
            lean_of(truck, "rear", "main")
        )
        for moved in (lower, both):
            stroke = moved.length_extended - moved.length_collapsed
            assert stroke == pytest.approx(before.length_extended - before.length_collapsed)
    assert MOVES["upper"].stands_at(truck, "rear") == pytest.approx(lean_of(truck, "rear", "main"), abs=1e-4)
    assert MOVES["both"].stands_at(truck, "rear") == pytest.approx(0.06)


def test_one_ahead_and_one_behind_are_mirror_images(truck):
    made = staggered(truck, "rear", 0.12)
    ahead, behind = made.rear.dampers.values()
    assert list(made.rear.dampers) == ["main", "main behind"]
    assert ahead.count == behind.count == 1
    assert ahead.axle.ahead == -behind.axle.ahead == 0.12
    one, two = (offset_of(made, "rear", name) for name in made.rear.dampers)
    assert one[0] == pytest.approx(-two[0], abs=1e-12)
    assert one[1] == pytest.approx(two[1])
    assert one[0] == pytest.approx(offset_of(truck, "rear", "main")[0])
    with pytest.raises(RunError, match="even count"):
        staggered(truck.changed({"rear.dampers.main.count": 1}), "rear", 0.1)


def test_lean_alone_damps_no_wind_up_where_the_line_passes_the_centre(truck):
    """A line through the axle's centre has no arm about it, whatever its lean."""
    central = truck.changed({"rear.dampers.main.axle": {"ahead": "0 mm", "above": "0 mm"}})
    by_lean = [housing(MOVES["upper"].of(central, "rear", lean), TURNING) for lean in np.radians([-45, 0, 20, 45])]
    assert by_lean == pytest.approx([by_lean[0]] * 4, rel=1e-6)


def arm_of(found, part):
    """Distance of a damper's line from the rear axle's centre as it stands while its wheels slip [m], lean inward counted."""
    setup, state = found.own.setup, found.state
    jounce, turn = state[at.JOUNCE + 2], state[TURN]
    centre_forward = setup.paths["rear"].forward(jounce) + state[at.SHIFT + 1]
    centre_up = setup.axles["rear"].seat_up + jounce
    forward = part.axle.ahead * np.cos(turn) + part.axle.above * np.sin(turn)
    up = part.axle.above * np.cos(turn) - part.axle.ahead * np.sin(turn)
    along = setup.place.forward(part.body) - centre_forward - forward
    rise = setup.place.up(part.body) - centre_up - up
    return (forward * rise - up * along) / np.sqrt(along**2 + rise**2 + part.lean_inward**2)


@pytest.mark.parametrize("ahead", [-0.18, 0.1, 0.18])
def test_torque_damping_is_that_of_the_arm_squared(truck, ahead):
    """n c h²/I of the line's distance h from the axle's centre (closed form), beside what the housing has without dampers."""
    without = housing(truck.changed({"rear.dampers": "none"}), TURNING)
    made = both_moved(truck, "rear", ahead)
    part = made.rear.dampers["main"]
    arm = arm_of(steady(made, "rear", ROCK, slip_with(ROCK, made, "rear", 0.2)), part)
    expected = -part.count * straight_damping(made) * arm**2 / truck.rear.housing.pitch_inertia
    assert housing(made, TURNING) - without == pytest.approx(expected, rel=1e-4)


def test_symmetric_staggering_unties_bounce_from_wind_up(truck):
    """Mirror images pull the housing opposite ways as the axle rises, so their moments cancel; on one side they add up."""
    bare = housing(truck.changed({"rear.dampers": "none"}), RISING)
    on_one_side = housing(both_moved(truck, "rear", 0.12), RISING) - bare
    apart = housing(staggered(truck, "rear", 0.12), RISING) - bare
    behind = housing(both_moved(truck, "rear", -0.12), RISING) - bare
    assert abs(on_one_side) > 10.0
    assert np.sign(on_one_side) == -np.sign(behind)
    # what is left is the housing's turn under torque and the leaf's arc, which lean one a little more than the other
    assert abs(apart) < 0.1 * abs(on_one_side)


def test_what_does_not_fit_is_said(truck):
    assert unfit(truck, "rear") is None
    short = unfit(truck.changed({"rear.dampers.main.length_extended": "640 mm"}), "rear")
    assert "strap" in short.reason
    # All of the hut truck was measured.
    assert not short.estimated


def test_how_grip_follows_load_is_of_all_tyres(truck):
    made = relaxed(truck, "after_length")
    assert {relaxation_of(made, end) for end in ("front", "rear")} == {"after_length"}
    assert {relaxation_of(truck, end) for end in ("front", "rear")} == {"at_once"}
    assert relaxation_of(truck.changed({"rear.tyre.slip": "none"}), "rear") == "at_once"


def test_words_of_places():
    assert MOVES["upper"].words(0.0) == "upright"
    assert MOVES["upper"].words(np.radians(-45.0)) == "leaned 45 deg back"
    assert MOVES["both"].words(0.0) == "at the axle"
    assert MOVES["both"].words(-0.18) == "180 mm (7.1 in) behind the axle"
    assert MOVES["lower"].words(0.0508) == "51 mm (2.0 in) ahead of the axle"
    assert MOVES["staggered"].words(0.09) == "90 mm (3.5 in) to either side of the axle"
    assert MOVES["lower"].words(float("nan")) == "as they stand"
