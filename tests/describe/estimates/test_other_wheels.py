"""What a set-up with tyres of another size weighs more: by the size alone, on the ground and in the hop."""

from math import pi, sqrt

import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.linear.standing import stand

POUND, INCH = 0.45359237, 0.0254
TRUCK = {
    "kind": "vehicle", "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
    "front": {"tyre": {"size": "31x10.50R15"}, "springs": {"coil": {"rate": "165 lb/in"}}},
    "rear": {"tyre": {"size": "31x10.50R15"}, "springs": {"pack": {"rate": "240 lb/in"}}},
}  # fmt: skip
BIGGER = {"front.tyre.size": "35x12.50R15", "rear.tyre.size": "35x12.50R15"}

HEAVIER = 110.0 * INCH**3 * (35.0**2 * 12.5 - 31.0**2 * 10.5)
"""By hand [kg]: 110 kg for each cubic metre of diameter squared times width (docs/measure/unsprung-mass.md): 9.4 kg (21 lb) a wheel."""


@pytest.fixture(scope="module")
def truck():
    return vehicle_from(TRUCK)


def test_the_scale_reads_two_wheels_more_at_each_axle(truck):
    bigger = truck.changed(BIGGER)
    before, after = stand(truck), stand(bigger)
    for axle in ("front", "rear"):
        assert bigger_by(bigger, axle) == pytest.approx(HEAVIER, rel=0.01)
        more = after.axles[axle].unsprung_mass - before.axles[axle].unsprung_mass
        assert more == pytest.approx(2.0 * HEAVIER, rel=0.01)
        assert after.axles[axle].load - before.axles[axle].load == pytest.approx(9.80665 * 2.0 * HEAVIER, rel=0.01)
        assert after.axles[axle].sprung_mass == pytest.approx(before.axles[axle].sprung_mass, rel=1e-3)


def test_an_axle_hops_slower_by_the_root_of_its_mass(truck):
    """Of two set-ups with the same tyres but for their mass."""
    light = stand(truck.changed({**BIGGER, "rear.tyre.heavier_by": "0 kg"}))
    heavy = stand(truck.changed(BIGGER))
    hops = [next(mode for mode in one.modes if mode.name == "rear hop").frequency_hz for one in (light, heavy)]
    masses = [one.axles["rear"].unsprung_mass for one in (light, heavy)]
    assert hops[1] / hops[0] == pytest.approx(sqrt(masses[0] / masses[1]), rel=0.01)
    rates = heavy.axles["rear"].tyre_rate + heavy.axles["rear"].wheel_rate
    assert hops[1] == pytest.approx(sqrt(rates / masses[1]) / (2.0 * pi), rel=0.02)


def test_it_is_an_estimate_with_a_spread_of_its_own(truck):
    (one,) = [one for one in truck.changed(BIGGER).estimates if one.path == "front.tyre.heavier_by"]
    assert one.half == pytest.approx(0.5 * one.value)
    assert one.written.startswith("about 9.4 kg +- 4.7 kg") or one.written.startswith("about 20.8 lb")
    assert "front.tyre.heavier_by" not in {one.path for one in truck.estimates}


def test_the_same_size_or_another_pressure_weighs_the_same(truck):
    for changes in ({"front.tyre.size": "31x10.50R15"}, {"front.tyre.pressure": "18 psi"}):
        assert truck.changed(changes).front.tyre.heavier_by == 0.0
    taped = truck.changed({"front.tyre.outside_diameter": "35 in"})
    # A usual width of that diameter: 0.32 of it.
    assert taped.front.tyre.heavier_by == pytest.approx(110.0 * INCH**3 * (0.32 * 35.0**3 - 31.0**2 * 10.5), rel=0.01)


def test_what_the_set_up_gives_itself_stays(truck):
    weighed = truck.changed({**BIGGER, "front.tyre.heavier_by": "28 lb", "rear.housing.mass": "420 lb"})
    assert weighed.front.tyre.heavier_by == pytest.approx(28.0 * POUND)
    assert weighed.rear.tyre.heavier_by == 0.0
    assert stand(weighed).axles["rear"].unsprung_mass == pytest.approx(
        stand(truck.changed({"rear.housing.mass": "420 lb"})).axles["rear"].unsprung_mass
    )


def test_it_counts_from_the_wheels_that_were_weighed_however_often_the_size_changes(truck):
    there = truck.changed({"front.tyre.size": "33x12.50R15"}).changed({"front.tyre.size": "35x12.50R15"})
    assert there.front.tyre.heavier_by == pytest.approx(HEAVIER, rel=0.01)
    back = truck.changed({"front.tyre.size": "35x12.50R15"}).changed({"front.tyre.size": "31x10.50R15"})
    assert back.front.tyre.heavier_by == 0.0
    lighter = truck.changed({"front.tyre.size": "30x9.50R15"})
    assert lighter.front.tyre.heavier_by < 0.0


def test_a_truck_by_hand_has_what_its_file_says():
    import sim

    truck = sim.load("scenarios/two_or_four.yaml").setups["two front"]
    assert truck.changed({"front.tyre.radius": "430 mm"}).front.tyre.heavier_by == 0.0


def bigger_by(vehicle, axle):
    return dict(vehicle.axles)[axle].tyre.heavier_by


SPINS = {"front.tyre.spin_inertia": "2.1 kg m^2", "rear.tyre.spin_inertia": "2.1 kg m^2"}

AS_HEAVY, AS_WIDE = (
    (15.0 + 110.0 * INCH**3 * 35.0**2 * 12.5) / (15.0 + 110.0 * INCH**3 * 31.0**2 * 10.5),
    (35.0 / 31.0) ** 2,
)
"""By hand: 42.6 over 33.2 kg, and the radius squared; 1.28 times 1.27, so that 2.1 kg m² becomes 3.44 kg m²."""


def test_a_bigger_wheel_is_harder_to_spin_up_by_its_mass_and_its_radius_squared(truck):
    known = truck.changed(SPINS)
    bigger = known.changed({"front.tyre.size": "35x12.50R15"})
    assert bigger.front.tyre.spin_inertia == pytest.approx(2.1 * AS_HEAVY * AS_WIDE, rel=0.005)
    assert bigger.front.tyre.spin_inertia == pytest.approx(3.44, rel=0.005)
    assert bigger.rear.tyre.spin_inertia == pytest.approx(2.1)
    (one,) = [one for one in bigger.estimates if one.path == "front.tyre.spin_inertia"]
    assert one.half == pytest.approx(0.5 * (one.value - 2.1), rel=0.01)
    assert one.page == "unsprung-mass.md"
    back = bigger.changed({"front.tyre.size": "31x10.50R15"})
    assert back.front.tyre.spin_inertia == pytest.approx(2.1, rel=0.005)


def test_a_weighed_wheel_counts_with_its_own_mass_and_a_given_inertia_stays(truck):
    known = truck.changed(SPINS)
    weighed = known.changed({**BIGGER, "front.tyre.heavier_by": "28 lb", "rear.tyre.spin_inertia": "3 kg m^2"})
    mass = 15.0 + 110.0 * INCH**3 * 31.0**2 * 10.5
    assert weighed.front.tyre.spin_inertia == pytest.approx(2.1 * (mass + 28.0 * POUND) / mass * AS_WIDE, rel=0.005)
    assert weighed.rear.tyre.spin_inertia == pytest.approx(3.0)
    axle_weighed = known.changed({**BIGGER, "front.housing.mass": "500 lb"})
    assert axle_weighed.front.tyre.spin_inertia == pytest.approx(2.1 * AS_HEAVY * AS_WIDE, rel=0.005)


def test_a_truck_without_one_gets_none_and_the_same_size_or_another_pressure_keeps_it(truck):
    assert truck.changed(BIGGER).front.tyre.spin_inertia is None
    known = truck.changed(SPINS)
    for changes in ({"front.tyre.size": "31x10.50R15"}, {"front.tyre.pressure": "18 psi"}):
        changed = known.changed(changes)
        assert changed.front.tyre.spin_inertia == pytest.approx(2.1)
        assert "front.tyre.spin_inertia" not in {one.path for one in changed.estimates}


def test_of_sizes_that_differ_by_little_makers_differ_by_more(truck):
    """31x10.50 to 31x11.50: by the rule 1.7 kg of 35 kg, of which half is less than tyres of one size differ by."""
    near = truck.changed({**SPINS, "front.tyre.size": "31x11.50R15"})
    mass = 15.0 + 110.0 * INCH**3 * 31.0**2 * 11.5
    found = {one.path: one for one in near.estimates}
    more = found["front.tyre.heavier_by"]
    assert more.value == pytest.approx(110.0 * INCH**3 * 31.0**2, rel=0.01)
    assert more.half == pytest.approx(0.05 * mass, rel=0.01)
    wide = truck.changed({**SPINS}).changed({"front.tyre.size": "31x11.50R15"})
    spin = next(one for one in wide.estimates if one.path == "front.tyre.spin_inertia")
    assert spin.half == pytest.approx(0.05 * spin.value, rel=0.01)
