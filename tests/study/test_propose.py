"""What is proposed for a damper's place, against hand calculation, and put back into the truck."""

from math import ceil, pi, sqrt

import pytest

from sim.integrate.damper_room import LEAST_MARGIN
from sim.linear.standing import stand
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.concluded import Concluded
from sim.study.fit import fits
from sim.study.propose import proposed, wanted
from tests.published.textbook import HEIGHT
from tests.study.test_fit import one

G, RATE, SPRUNG, UNSPRUNG = 9.80665, 34e3, 600.0, 60.0
DROP = (SPRUNG + UNSPRUNG) * G / RATE
"""How far the axle hangs below the measured height: springs let go their load and take the axle's weight."""


def upright(**given):
    lengths = {"front.dampers.main.length_" + key: value for key, value in given.items()}
    return one(("0 m", f"{HEIGHT + 0.5} m"), ("0 m", "0 m")).changed(lengths)


def offer(vehicle, ratio=0.3):
    return proposed(fits(vehicle)[0], stand(vehicle).axles["front"], ratio)


def test_lengths_from_the_travel():
    """Upright over the axle: 0.5 m at ride, 0.11 m less at full bump, more by the drop; half an inch at each end."""
    made = offer(upright(collapsed="none", extended="none"))
    assert made.collapsed == pytest.approx(0.39 - 0.0127, abs=1e-5)
    assert made.extended == pytest.approx(0.5 + DROP + 0.0127, abs=1e-5)
    assert made.travel == pytest.approx(0.11 + DROP, abs=1e-5)
    assert made.used == pytest.approx(made.travel, abs=1e-5)
    assert made.stroke == pytest.approx(made.travel + 2 * LEAST_MARGIN, abs=1e-5)
    # Collapsed less stroke: what is left for eyes, guide and piston; too little, so the mounts must go apart by the rest.
    left = 2 * (0.39 - 0.0127) - (0.5 + DROP + 0.0127)
    # Up to whole 10 mm: the rule of 100 mm is of the trade, and known no better.
    apart = 10 * ceil(1e2 * (0.1 - left))
    assert f"about {apart} mm ({apart / 25.4:.1f} in) further apart" in made.cannot
    assert made.cannot.endswith(
        "further apart, fit a limit strap, or fit a bump stop that touches earlier (a smaller gap)"
    )  # there is none to be shortened


def test_a_damper_that_none_can_replace_is_not_to_be_replaced_by_a_shorter_one():
    """Too long collapsed, where none is so short with the stroke that the travel asks for: one advice, and it is not both."""
    vehicle = upright(collapsed="420 mm", extended="900 mm")
    fit, made = fits(vehicle)[0], offer(vehicle)
    (text,) = (one for one in fit.problems if "is solid" in one)
    assert "Fit a damper at least" not in text
    assert (
        "it becomes the bump stop and tears its mount. No other can be ordered as it is mounted now. No damper is 377 mm"
        in text
    )
    assert made.no_length in text
    assert text.count("further apart") == 1
    assert Concluded(fit, "it does not fit").problems == fit.problems
    # The same words where it only stands: page, `stand` and `check` say what the sheet says.
    setup = lower(vehicle)
    (flag,) = (one for one in standing_flags(setup, rest(setup)) if one.kind == "solid_first")
    assert made.no_length in flag.sentence
    # Where another can be had it is said how long: the mounts are further apart.
    high = fits(one(("0 m", f"{HEIGHT + 0.8} m"), ("0 m", "0 m"), collapsed="700 mm", extended="1.1 m"))[0]
    assert any(
        "Fit a damper at least 22.7 mm" in text for text in high.problems
    )  # 0.7 for 0.8 - 0.11, and half an inch


def test_mounts_so_far_apart_leave_room():
    assert not offer(one(("0 m", f"{HEIGHT + 0.8} m"), ("0 m", "0 m"), extended="1.1 m", collapsed="0.6 m")).cannot


@pytest.mark.parametrize("ratio", [0.2, 0.3, 0.5])
def test_valving_from_the_ratio_put_back(ratio):
    """c = 2 zeta sqrt(k m) at the wheel; two dampers on a ratio of cos 30° each give c / (2 cos² 30°), a third of it in compression."""
    leaned = one((f"{-0.5 * 0.5} m", f"{HEIGHT + 0.5 * sqrt(0.75)!r} m"), ("0 m", "0 m"))
    made = offer(leaned, ratio)
    critical = 2 * sqrt(RATE * SPRUNG)
    assert made.critical == pytest.approx(critical, rel=1e-6)
    assert made.slope == pytest.approx(ratio * critical / (2 * 0.75), rel=1e-5)
    compression, rebound = made.slopes()
    assert (compression, rebound) == pytest.approx((2 / 3 * made.slope, 4 / 3 * made.slope), rel=1e-9)
    law = {
        "kind": "knee",
        **{
            side: {"low": f"{c!r} N s/m", "knee": "0.13 m/s", "high": f"{0.5 * c!r} N s/m"}
            for side, c in (("compression", compression), ("rebound", rebound))
        },
    }
    back = leaned.changed({"front.dampers.main.valving": law})  # the truck itself answers, by energy over a cycle
    assert stand(back).axles["front"].damping_ratio == pytest.approx(ratio, rel=1e-3)
    assert made.forces(0.1) == pytest.approx((0.1 * compression, 0.1 * rebound))
    assert made.forces(1.0)[1] == pytest.approx((0.13 + 0.5 * 0.87) * rebound)


def test_seals_are_in_the_ratio_that_is_aimed_at():
    """What is proposed, put into the truck with its seals, stands at the ratio; of it 4 F / (pi v) of each (L. S. Jacobsen 1930)."""
    sticky = upright(collapsed="350 mm", extended="710 mm").changed({"front.dampers.main.seal_friction": "60 N"})
    made = offer(sticky, 0.3)
    critical = 2 * sqrt(RATE * SPRUNG)
    assert made.seals == pytest.approx(2 * 4 * 60.0 / (pi * 0.1) / critical, rel=3e-3)
    compression, rebound = made.slopes()
    law = {
        "kind": "knee",
        **{
            side: {"low": f"{c!r} N s/m", "knee": "0.13 m/s", "high": f"{0.5 * c!r} N s/m"}
            for side, c in (("compression", compression), ("rebound", rebound))
        },
    }
    back = stand(sticky.changed({"front.dampers.main.valving": law})).axles["front"]
    assert back.damping_ratio == pytest.approx(0.3, rel=1e-3)
    assert "friction of the seals alone" in offer(sticky, 0.01).cannot


def test_proposed_only_where_something_is_wrong():
    def why(**given):
        vehicle = upright(**given)
        # The plain law: 1 and 2 kN s/m, mean 1.5 of two: 3000 / (2 sqrt(k m)) = 0.33.
        return wanted(fits(vehicle)[0], stand(vehicle).axles["front"])

    assert why(collapsed="350 mm", extended="710 mm") == ""
    assert "does not fit" in why(collapsed="395 mm", extended="710 mm")
    assert "not known" in why(collapsed="none", extended="710 mm")
    assert "less room" in why(collapsed="385 mm", extended="710 mm")


def test_another_length_is_proposed_only_where_a_stocked_one_would_differ():
    """Stocked lengths go by half an inch (common practice, no source): what is short by less than half of that has its nearest already."""

    def why(short_m):
        vehicle = upright(collapsed="350 mm", extended="710 mm")
        room = fits(vehicle)[0].margin_in
        longer = upright(collapsed=f"{0.350 + room - 0.0127 + short_m!r} m", extended="710 mm")
        assert fits(longer)[0].margin_in == pytest.approx(0.0127 - short_m, abs=1e-6)
        return wanted(fits(longer)[0], stand(longer).axles["front"])

    assert why(0.0005) == ""  # 0.02 in
    assert why(0.0062) == ""
    assert "less room" in why(0.0065)
