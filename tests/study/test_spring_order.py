"""Springs to order, against closed forms of a coil that stands upright over its axle."""

from math import pi

import pytest

from sim.errors import RunError
from sim.study.spring_order import spring_orders
from tests.published.textbook import HEIGHT, car
from tests.study.test_fit import STOP

G, RATE, SPRUNG = 9.80665, 34e3, 600.0


def truck(**changes):
    plain = car(1200.0, 1800.0, 1.05, 1.05, RATE, RATE, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5))
    return plain.changed({"front.stop": STOP, **{key.replace("__", "."): value for key, value in changes.items()}})


def test_load_energy_and_lengths():
    """One coil carries 600 kg: F = m g, free length F/k more than where it stands (1 m), energy F²/2k; full bump 110 mm further."""
    front = spring_orders(truck(), {})[0]
    force = SPRUNG * G
    assert front.free == pytest.approx(1.0 + force / RATE, abs=1e-6)
    ride, bump = front.places["ride"], front.places["full bump"]
    assert (ride.length, ride.force, ride.energy) == pytest.approx((1.0, force, force**2 / 2 / RATE), rel=1e-6)
    assert bump.force == pytest.approx(force + RATE * 0.11, rel=1e-6)
    assert bump.energy == pytest.approx(bump.force**2 / 2 / RATE, rel=1e-9)


def test_height_by_a_longer_coil():
    """At the same load a coil is pressed by the same F/k, so 40 mm of height are 40 mm of length; ordered to a millimetre."""
    front = spring_orders(truck(), {"front": 0.040})[0]
    exact = 1.0 + SPRUNG * G / RATE + 0.040
    assert front.order == pytest.approx(round(exact, 3), abs=1e-9)
    # The load shifts a little as the nose comes up, hence not to the last digit.
    assert front.gives == pytest.approx(0.040 + round(exact, 3) - exact, abs=2e-4)
    assert front.then["ride"].force == pytest.approx(SPRUNG * G, rel=1e-3)


def test_a_load_is_carried_at_the_measured_height_again():
    """50 kg over the front axle sag it by m g/k = 14.4 mm; the coil to order is so much longer, of the same rate."""
    load = {"mass": "50 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    loaded = spring_orders(truck().changed({"front.stop": STOP, "loads.winch": load}), {})[0]
    sag = 50.0 * G / RATE
    assert loaded.stands == pytest.approx(-sag, abs=1e-4)
    assert loaded.order - loaded.free == pytest.approx(sag, abs=6e-4)
    assert abs(loaded.gives) < 6e-4


def test_a_leaf_pack_is_ordered_by_its_camber():
    """A pack without load drops its seat by F/k below the measured height; 20 mm more height are 20 mm more camber."""
    plain = car(
        1200.0, 1800.0, 1.05, 1.05, RATE, RATE, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5), friction={"friction": "100 N"}
    )  # fmt: skip
    rear = spring_orders(plain, {"rear": 0.020})[1]
    exact = SPRUNG * G / RATE
    assert not rear.coil
    assert rear.free == pytest.approx(exact, abs=1e-6)
    assert rear.order == pytest.approx(exact + 0.020, abs=6e-4)
    assert rear.gives == pytest.approx(0.020, abs=8e-4)


def test_a_set_up_that_brings_its_own_spring_has_that_ordered_and_no_other():
    """Longer by 40 mm it stands 40 mm higher; with a load it sags by m g/k, and the spring to order is the same one still."""
    free = round(1.0 + SPRUNG * G / RATE + 0.040, 3)
    load = {"mass": "50 kg", "place": {"behind_front_axle": "0 m", "above_ground": "1 m"}}
    for loads, sag in (({}, 0.0), ({"loads.winch": load}, 50.0 * G / RATE)):
        front = spring_orders(truck().changed({"front.springs.coil.free_length": f"{free} m", **loads}), {})[0]
        assert front.as_set_up
        assert front.order == pytest.approx(free, abs=1e-9)
        assert front.wanted == pytest.approx(0.040 - sag, abs=1e-3)
        assert front.gives == pytest.approx(front.wanted, abs=1e-5)


def test_a_set_up_with_a_block_keeps_its_pack():
    """A block of 50 mm lifts by 50 mm; the pack above it is ordered as it is, not one that takes the block's lift away."""
    plain = car(
        1200.0, 1800.0, 1.05, 1.05, RATE, RATE, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5), friction={"friction": "100 N"}
    )  # fmt: skip
    _, rear = spring_orders(plain.changed({"rear.springs.pack.block": "50 mm"}), {})
    assert rear.as_set_up
    assert rear.order == pytest.approx(SPRUNG * G / RATE, abs=6e-4)
    assert rear.gives == pytest.approx(0.050, abs=2e-3)


def test_another_rate_alone_is_ordered_for_the_measured_height():
    """Twice the rate is squeezed half as far by the same load: the coil to order is F/2k shorter than what it was."""
    front = spring_orders(truck().changed({"front.springs.coil.rate": f"{2 * RATE} N/m"}), {})[0]
    assert not front.as_set_up
    assert front.order == pytest.approx(1.0 + SPRUNG * G / RATE / 2, abs=6e-4)


STRAP = {
    "body": {"behind_front_axle": "0 m", "above_ground": f"{HEIGHT + 0.4} m"}, "axle": {"ahead": "0 m", "above": "0 m"}, "length": "0.7 m", "rate": "100 N/mm",
}  # fmt: skip


@pytest.mark.parametrize("block", ["0 mm", "75 mm"])
def test_the_arch_of_a_pack_to_order_is_what_it_gives_whatever_block_is_under_it(block):
    """A pack that carries F has F/k more arch without load than under it, and 20 mm more for 20 mm of height; its block has no part in it."""
    plain = car(
        1200.0, 1800.0, 1.05, 1.05, RATE, RATE, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5), friction={"friction": "100 N", "block": block}
    )  # fmt: skip
    by = {wanted: spring_orders(plain, {"rear": wanted})[1].arch for wanted in (0.0, 0.020)}
    assert by[0.0] == pytest.approx(SPRUNG * G / RATE, abs=6e-4)
    assert by[0.020] - by[0.0] == pytest.approx(0.020, abs=1e-3)


@pytest.mark.parametrize(
    ("strap", "height", "words"),
    [
        ({"front__strap": STRAP}, 0.31, "past the end of droop"),
        ({}, 0.41, "past the travel"),
        ({}, -0.09, "stands on its bump stop"),
    ],
)
def test_a_height_outside_the_travel_is_refused(strap, height, words):
    """Its strap stays as long as it is, its guide is worked out for 400 mm, and it meets its stop 80 mm up."""
    with pytest.raises(RunError, match=words):
        spring_orders(truck(**strap), {"front": height})


def test_without_a_strap_a_longer_spring_takes_the_end_of_droop_along():
    """It hangs (600 + 60 kg) g / k = 190 mm down. Lifted by 200 mm it carries and hangs as before, all of it 200 mm lower."""
    before = spring_orders(truck(), {"front": 0.200})[0]
    assert before.gives == pytest.approx(0.200, abs=1e-3)
    after = spring_orders(
        truck().changed({"front.stop": STOP, "front.springs.coil.free_length": f"{before.order} m"}), {}
    )[0]
    hangs = "hanging on its springs"
    lower = after.places[hangs].length - before.places[hangs].length
    assert before.places[hangs].length - before.places["ride"].length == pytest.approx(660.0 * G / RATE, abs=1e-3)
    assert lower == pytest.approx(before.order - before.free, abs=1e-3)


def test_a_coil_that_binds_is_said():
    """It is 0.89 m long at full bump: solid at 0.90 m it is 10 mm too long; at 0.85 m 40 mm are left of 0.15 (F/k + 0.11) = 42 mm."""
    binds = spring_orders(truck(front__springs__coil__solid_length="0.90 m"), {})[0]
    assert any("solid 10.0 mm (0.39 in) before its bump stop" in text for text in binds.problems)
    near = spring_orders(truck(front__springs__coil__solid_length="0.85 m"), {})[0]
    assert not near.problems
    assert any("40.0 mm (1.57 in) left before it is solid" in text for text in near.notes)
    free = spring_orders(truck(front__springs__coil__solid_length="0.80 m"), {})[0]
    assert not any("solid" in text for text in free.notes)


@pytest.mark.parametrize(
    ("wire", "turns", "problem", "note"),
    [("12 mm", 4.0, True, ""), ("22 mm", 40.0, False, ""), ("18 mm", 18.0, False, "order it preset")],
)
def test_stress_at_full_bump(wire, turns, problem, note):
    """K 8 F D/(pi d³), D 120 mm, F = m g + k 0.11 m: written out here for each wire, against 50 % and 65 % of the two steels."""
    coil = {
        "kind": "coil", "count": 1, "wire_diameter": wire, "coil_diameter": "120 mm", "active_coils": turns, "solid_length": "50 mm", "held_both_ways": True,
        "body": {"behind_front_axle": "0 m", "above_ground": "2 m"}, "axle": {"ahead": "0 m", "above": "0 m"},
    }  # fmt: skip
    plain = car(1200.0, 1800.0, 1.05, 1.05, RATE, RATE, unsprung=(60.0, 60.0), tyre_rates=(3e5, 3e5))
    d, mean = float(wire.split()[0]) * 1e-3, 0.12
    rate = 79.3e9 * d**4 / (8 * mean**3 * turns)
    free = 1.0 + SPRUNG * G / rate
    changed = plain.changed({"front.stop": STOP, "front.springs.coil": coil | {"free_length": f"{free!r} m"}})
    front = spring_orders(changed, {})[0]
    force = SPRUNG * G + rate * 0.11
    c = mean / d
    stress = ((4 * c - 1) / (4 * c - 4) + 0.615 / c) * 8 * force * mean / (pi * d**3)
    assert front.places["full bump"].stress == pytest.approx(stress, rel=1e-5)
    strong = 0.65 * 1974e6 / (d * 1e3) ** 0.108
    assert bool(front.problems) == (stress > strong) == problem
    assert not note or any(note in text for text in front.notes)
