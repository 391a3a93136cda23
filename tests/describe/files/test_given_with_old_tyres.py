"""What was given of the tyres before a set-up fitted others: their radius goes, their rate stays and is spoken of."""

import pytest

from sim.describe.files.given_with_old_tyres import given_with_old_tyres
from sim.describe.files.vehicles import vehicle_from
from sim.describe.parts.tyre_pressure import radial_rate
from sim.describe.shown import shown_in

INCH = 0.0254
TRUCK = {
    "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
    "front": {"tyre": {"size": "31x10.50R15", "radius": "15.3 in", "rate": "1500 lb/in"}},
    "rear": {"tyre": {"size": "31x10.50R15"}},
}  # fmt: skip


@pytest.fixture(scope="module")
def truck():
    return vehicle_from(TRUCK)


def test_a_taped_radius_is_of_the_tyres_before(truck):
    assert truck.front.tyre.radius == pytest.approx(15.3 * INCH)
    for changes in ({"front.tyre.size": "35x12.50R15"}, {"front.tyre.outside_diameter": "35 in"}):
        assert truck.changed(changes).front.tyre.radius == pytest.approx(17.5 * INCH)
    for both in (
        ({"front.tyre.radius": "17.1 in"}, {"front.tyre.size": "35x12.50R15"}),
        ({"front.tyre.size": "35x12.50R15"}, {"front.tyre.radius": "17.1 in"}),
    ):
        assert truck.changed(both[0] | both[1]).front.tyre.radius == pytest.approx(17.1 * INCH)


def test_the_same_size_written_once_more_brings_no_other_tyres(truck):
    again = truck.changed({"front.tyre.size": "31x10.50R15"})
    assert again.front.tyre.radius == pytest.approx(15.3 * INCH)
    assert not list(given_with_old_tyres({"again": again}))


def test_a_whole_tyre_weighs_what_its_size_does(truck):
    """Its section in place of its size alone: nothing of the tyres before is in it."""
    size, whole = (
        truck.changed(one) for one in ({"front.tyre.size": "35x12.50R15"}, {"front.tyre": {"size": "35x12.50R15"}})
    )
    assert whole.front.tyre.heavier_by == pytest.approx(size.front.tyre.heavier_by)
    assert whole.front.tyre.heavier_by > 5.0
    own = truck.changed({"front.tyre": {"size": "35x12.50R15", "radius": "17.2 in", "heavier_by": "12 lb"}})
    assert own.front.tyre.radius == pytest.approx(17.2 * INCH)
    assert own.front.tyre.heavier_by == pytest.approx(12.0 * 0.45359237)


def test_a_rate_that_was_given_with_the_tyres_before_is_spoken_of(truck):
    with shown_in("inch"):
        bigger = truck.changed({f"{axle}.tyre.size": "35x12.50R15" for axle in ("front", "rear")})
        (said,) = given_with_old_tyres({"as it is": truck, "on 35s": bigger})
        own = truck.changed({"front.tyre.size": "35x12.50R15", "front.tyre.rate": "1700 lb/in"})
        assert not list(given_with_old_tyres({"own": own}))
        assert not list(given_with_old_tyres({"softer": truck.changed({"front.tyre.pressure": "18 psi"})}))
    assert said.startswith("set-up 'on 35s': its front tyres are of another size, and front.tyre.rate, 1500.0 lb/in,")
    # Width, wall as a share of it and rim of both, by their walls; Rhyne 2005.
    old, new = (
        radial_rate(2.2e5, w * INCH, (d - 15.0) / 2.0 / w, 15.0 * INCH) for d, w in ((31.0, 10.5), (35.0, 12.5))
    )
    told = float(said.partition("it is some ")[2].split()[0])
    assert told == pytest.approx(1500.0 * new / old, rel=0.005)


@pytest.mark.parametrize(
    "changes",
    [{"front.tyre.size": "35x12.50R15", "front.tyre.rate": "1500 lb/in"}, {"front.tyre": {"size": "35x12.50R15", "rate": "1500 lb/in"}}],
)  # fmt: skip
def test_who_writes_the_same_rate_again_has_looked_at_it(truck, changes):
    bigger = truck.changed(changes)
    assert bigger.front.tyre.rate == truck.front.tyre.rate
    assert not list(given_with_old_tyres({"on 35s": bigger}, {"on 35s": changes}))
    # Of what it does not write itself it is still said.
    (said,) = given_with_old_tyres({"on 35s": bigger}, {"on 35s": {"front.tyre": {"size": "35x12.50R15"}}})
    assert said.startswith("set-up 'on 35s': its front tyres are of another size")
