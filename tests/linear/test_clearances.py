"""Clearances against drawings worked out by hand: tangents of a tyre, a body that pitches, a tyre that comes up under a wing."""

from math import asin, atan, degrees, hypot, pi, radians, tan

import numpy as np
import pytest

import sim
from sim.linear.clearances import tangent
from sim.linear.placing import placings
from sim.linear.standing import stand
from sim.lower.lowering import lower
from sim.show.pages.scene import scene
from sim.study.lift import lifted

OUTLINE = {
    "under": {
        "bumper": {"behind_front_axle": "-700 mm", "above_ground": "500 mm"},
        "winch": {"behind_front_axle": "-600 mm", "above_ground": "700 mm"},
        "guard": {"behind_front_axle": "1500 mm", "above_ground": "350 mm"},
        "hitch": {"behind_front_axle": "4000 mm", "above_ground": "450 mm"},
    },
    "front_wing": {"edge": {"behind_front_axle": "0 mm", "above_ground": "960 mm"}},
}


def of(standing):
    return {one.key: one for one in standing.clearances}


def truck():
    return sim.load("scenarios/vehicles/hut_supply_truck.yaml").changed({"outline": OUTLINE})


def test_a_worked_example():
    """docs/measure/clearances.md: a point 700 mm ahead and 500 mm up, of a tyre whose centre is 400 mm up."""
    by_hand = atan(100 / 700) + asin(400 / hypot(700, 100))
    assert tangent(0.7, 0.5, 0.4) == pytest.approx(by_hand, rel=1e-12)
    assert degrees(by_hand) == pytest.approx(42.6, abs=0.05)


@pytest.mark.parametrize("along", [0.45, 0.7, 3.0])
def test_the_line_touches_the_tyre_and_nothing_else(along):
    """From the ground itself no angle is left; else the line's distance from the tyre's centre is its radius."""
    assert tangent(along, 0.0, 0.4) == pytest.approx(0.0, abs=1e-12)
    for height in (0.1, 0.4, 0.9):
        if hypot(along, height - 0.4) > 0.4:
            slope = tan(tangent(along, height, 0.4))
            # of the line through (along, height): distance of the centre (0, 0.4)
            off = abs(height - slope * along - 0.4) / hypot(1.0, slope)
            assert off == pytest.approx(0.4, rel=1e-9)
    assert np.isnan(tangent(0.1, 0.4, 0.4))


def test_angles_of_a_truck_as_it_was_measured():
    standing = stand(truck())
    radius = {name: axle.centre_height for name, axle in standing.axles.items()}
    base = standing.vehicle.wheelbase
    found = of(standing)
    # It stands as it was taped, but for what its springs are off by.
    approach = min(tangent(0.7, 0.5, radius["front"]), tangent(0.6, 0.7, radius["front"]))
    assert found["approach"].value == pytest.approx(approach, abs=radians(0.1))
    assert found["approach"].point == "bumper"
    assert found["departure"].value == pytest.approx(tangent(4.0 - base, 0.45, radius["rear"]), abs=radians(0.1))
    breakover = tangent(1.5, 0.35, radius["front"]) + tangent(base - 1.5, 0.35, radius["rear"])
    assert found["breakover"].value == pytest.approx(breakover, abs=radians(0.1))
    assert found["breakover"].point == "guard"
    assert found["lowest"].value == pytest.approx(0.35, abs=2e-3)
    assert 0.0 < breakover < pi / 2


def test_the_tyre_comes_up_under_the_wing():
    """Straight under the edge: what the edge is above the tyre's top, less the whole bump travel; the arms swing the axle along by little."""
    vehicle = truck()
    standing = stand(vehicle)
    stop = vehicle.front.stop
    by_hand = 0.96 - vehicle.front.tyre.radius - standing.axles["front"].centre_height - stop.gap - stop.squeeze
    assert of(standing)["front_wing"].value == pytest.approx(by_hand, abs=3e-3)
    assert "rear_wing" not in of(standing)
    low = vehicle.changed({"outline.front_wing.edge.above_ground": "900 mm"})
    assert of(stand(low))["front_wing"].value == pytest.approx(by_hand - 0.06, abs=3e-3)


def test_a_tyre_that_meets_its_wing_is_out_of_the_usual():
    low = truck().changed({"outline.front_wing.edge.above_ground": "850 mm"})
    assert of(stand(low))["front_wing"].value < 0.0
    (said,) = [one.sentence for one in placings(stand(low)) if "wing at full bump" in one.sentence]
    assert "meets the wing" in said


def test_a_lift_adds_to_the_angles_and_not_to_the_room_at_full_bump():
    """The stop is where it was: at full bump the tyre stands as far from the wing as before."""
    rows = {row.label: row for row in lifted(truck(), {"front": 0.05, "rear": 0.05}).rows}
    assert rows["approach angle"].after > rows["approach angle"].before + radians(2.0)
    assert rows["lowest point taped, above the ground"].after == pytest.approx(
        rows["lowest point taped, above the ground"].before + 0.05, abs=2e-3
    )
    wing = rows["front tyre to wing at full bump"]
    assert wing.after == pytest.approx(wing.before, abs=1e-6)


def test_what_was_not_taped_is_not_looked_at():
    assert stand(sim.load("scenarios/vehicles/hut_supply_truck.yaml")).clearances == ()


def test_bigger_tyres_come_nearer_by_the_radius_and_stand_higher_by_it():
    """Upright the tyre's centre goes no farther up against the body: room falls by what the radius grows, and the belly rises by it."""
    before, after = (
        stand(one)
        for one in (truck(), truck().changed({f"{axle}.tyre.radius": "450 mm" for axle in ("front", "rear")}))
    )
    more = 0.45 - truck().front.tyre.radius
    assert of(after)["front_wing"].value == pytest.approx(of(before)["front_wing"].value - more, abs=1e-4)
    assert of(after)["lowest"].value == pytest.approx(of(before)["lowest"].value + more, abs=2e-3)


def test_taped_points_are_drawn_where_they_were_taped():
    """In the scene that the page and the side view draw: as far from the front axle and the ground as the tape says."""
    setup = lower(truck())
    drawn = scene(truck(), "taped")["body"]["points"]
    forward, up = drawn["under: guard"]
    assert setup.place.cg_behind_front_axle - forward == pytest.approx(1.5)
    assert up + setup.place.cg_above_ground == pytest.approx(0.35)
    assert set(drawn) >= {"driver", "front wing: edge", "under: bumper"}


def test_a_point_within_the_tyre_limits_nothing():
    """It has no line that touches the tyre: the other points limit, and alone it leaves no angle."""
    inside = {"behind_front_axle": "-100 mm", "above_ground": "400 mm"}
    alone = truck().changed({"outline": {"under": {"slip of the tape": inside}}})
    assert set(of(stand(alone))) == {"lowest"}
    beside = truck().changed({"outline.under.slip": inside})
    assert of(stand(beside))["approach"].point == "bumper"
