"""The gap to a bump stop of a lifted set-up counts from the measured height: by hand, and said."""

import sim
from sim.linear.standing import stand
from sim.study.lift import lifted
from sim.study.stop_after_lift import gaps_after_lift

TRUCK = "scenarios/vehicles/hut_supply_truck.yaml"


def test_a_gap_of_its_own_in_a_lifted_set_up_is_said_with_what_is_left_as_it_stands():
    truck = sim.load(TRUCK)
    changes = lifted(truck, {"front": 0.05, "rear": 0.05}).changes
    up = truck.changed(changes)
    # The lift alone says nothing: its stop stays where it is bolted, and the travel to it grows by the lift.
    assert not list(gaps_after_lift(up))
    before, after = (stand(one).axles["front"] for one in (truck, up))
    raised = before.jounce - after.jounce
    assert abs(after.travel_left_up - before.travel_left_up - raised) < 1e-6
    gap = truck.front.stop.gap - 0.010
    own = up.changed({"front.stop.gap": f"{gap!r} m"})
    (said,) = gaps_after_lift(own)
    high = -stand(own).axles["front"].jounce
    assert f"the truck stands {1e3 * high:.1f} mm" in said
    assert f"so {1e3 * (gap + high):.1f} mm" in said
    assert f"write {1e3 * (gap - high):.1f} mm" in said
    # What is left by `stand` is the same.
    assert abs(stand(own).axles["front"].travel_left_up - gap - high) < 1e-6
    # Where it stands as it was measured there is nothing to say.
    assert not list(gaps_after_lift(truck.changed({"front.stop.gap": f"{gap!r} m"})))
