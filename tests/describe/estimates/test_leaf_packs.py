"""Rate of a pack by its leaves: what the U-bolts hold does not bend, and how far off a rate of counted leaves may be."""

import pytest

from sim.describe.estimates.as_measured import TRIGGER
from sim.describe.files.vehicles import vehicle_from
from sim.errors import InputError
from sim.study.doubt.standing import doubted_standing

PACK = {"leaves": 6, "leaf_width": "70 mm", "leaf_thickness": "8 mm", "length": "1300 mm"}


def rate(bends_m, full=1, leaves=6, width=0.070, thickness=0.008):
    """By hand [N/m]: two cantilevers of half of what bends, 12 W l³ / (E b t³ (2 n_G + 3 n_F)) (Khurmi, Machine Design), E 207 GPa."""
    return 2 * 207e9 * width * thickness**3 * (2 * (leaves - full) + 3 * full) / (12 * (0.5 * bends_m) ** 3)


def truck_on(pack):
    return vehicle_from(
        {
            TRIGGER: {"front": "1390 kg", "rear": "1180 kg"}, "wheelbase": "2.85 m",
            "rear": {"springs": {"pack": dict(pack)}},
        }
    )  # fmt: skip


def estimates_on(pack):
    return {one.path.removeprefix("rear.springs.pack."): one for one in truck_on(pack).estimates}


def test_what_the_u_bolts_hold_is_taken_off_the_length():
    """1300 mm of which 100 mm are held are 1200 mm that bend, (1300/1200)³ = 1.271 times as stiff."""
    held = truck_on({**PACK, "clamped": "100 mm"}).rear.springs["pack"]
    assert held.rate_n_per_m == pytest.approx(rate(1.200))
    assert held.rate_n_per_m == pytest.approx((13 / 12) ** 3 * rate(1.300))
    # Nobody has taped it: a usual one is taken, and its spread.
    assert truck_on(PACK).rear.springs["pack"].rate_n_per_m == pytest.approx(rate(1.200))
    assert estimates_on(PACK)["clamped"].half == pytest.approx(0.050)
    assert "clamped" not in estimates_on({**PACK, "clamped": "100 mm"})


def test_two_thirds_between_the_u_bolts_are_khurmis_exercise():
    """7 leaves, 2 of full length, 65 x 9 mm, 1100 mm, U-bolts 80 mm apart, E 210 GPa: 185.1 N/mm (Khurmi, exercise; two thirds from memory)."""
    pack = {
        "leaves": 7, "full_length_leaves": 2, "leaf_width": "65 mm", "leaf_thickness": "9 mm", "length": "1100 mm",
        "clamped": f"{2 / 3 * 80!r} mm", "modulus": "210 GPa",
    }  # fmt: skip
    assert truck_on(pack).rear.springs["pack"].rate_n_per_m == pytest.approx(185.1e3, rel=1e-3)


HALVES = {"ahead": "560 mm", "behind": "610 mm"}


@pytest.mark.parametrize(
    ("given", "bends"),
    [
        # Halves end at the U-bolts: nothing is taken off them, whether the whole length was taped beside them or not.
        ({"length": None, "halves": HALVES}, 1.170),
        ({"length": "1280 mm", "halves": HALVES}, 1.170),
        # Taped to the middle of the U-bolts they fill the whole length, and say nothing of what is held.
        ({"length": "1170 mm", "halves": HALVES}, 1.070),
    ],
)
def test_halves_end_at_the_u_bolts(given, bends):
    pack = {key: value for key, value in {**PACK, **given}.items() if value is not None}
    assert truck_on(pack).rear.springs["pack"].rate_n_per_m == pytest.approx(rate(bends))


def test_a_rate_by_leaves_has_a_band_that_holds_what_nobody_has_counted():
    """A second leaf of full length is +1/13, 50 mm more or less held are 3 x 50/1200: with 10 % of the formula 10 to 25 % each way."""
    band = doubted_standing({"": truck_on(PACK)})[1][""]["rear", "wheel_rate"]
    for real in (rate(1.200, full=2), rate(1.233), rate(1.200)):
        assert band.low < 2 * real < band.high
    for end in (band.low, band.high):
        assert 0.10 < abs(end / (2 * rate(1.200)) - 1) < 0.25
    factors = [estimates_on({**PACK, **more})["rate_factor"].half for more in ({}, {"full_length_leaves": 1})]
    assert factors == pytest.approx([(0.10**2 + (1 / 13) ** 2) ** 0.5, 0.10])


def test_a_pack_of_which_more_than_half_is_held_is_refused_in_words():
    with pytest.raises(InputError, match=r"the U-bolts would hold .*, more than half"):
        truck_on({**PACK, "length": "300 mm", "clamped": "200 mm"})


@pytest.mark.parametrize(
    ("given", "other", "bends"),
    [
        # 1300 - 100 - 560 mm; of what is held a usual 100 mm is taken, or what was taped.
        ({"length": "1300 mm", "halves": {"ahead": "560 mm"}}, ("behind", 0.640), 1.200),
        ({"length": "1300 mm", "clamped": "120 mm", "halves": {"behind": "600 mm"}}, ("ahead", 0.580), 1.180),
        # Without its length the pack is taken as even.
        ({"length": None, "halves": {"ahead": "560 mm"}}, ("behind", 0.560), 1.120),
    ],
)
def test_one_half_and_the_length_give_the_other(given, other, bends):
    pack = {key: value for key, value in {**PACK, **given}.items() if value is not None}
    found = truck_on(pack).rear.springs["pack"]
    assert getattr(found.halves, other[0]) == pytest.approx(other[1])
    assert found.rate_n_per_m == pytest.approx(rate(bends))
    (end,) = given["halves"]
    weighed = truck_on({"rate": "40 N/mm", "length": None, "halves": {end: "600 mm"}}).rear.springs["pack"]
    assert weighed.halves.ahead == weighed.halves.behind == pytest.approx(0.600)
