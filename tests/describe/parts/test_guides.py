"""Guides: exact paths against closed forms, and what they lower to against the exact paths."""

import numpy as np
import pytest
from pydantic import TypeAdapter
from scipy.optimize import fsolve

from sim.describe.parts.guides import GUIDES, Guide
from sim.describe.parts.guides.series import PATH_BOUND
from sim.describe.parts.places import SprungPlace

ADAPTER = TypeAdapter(Guide)
PLACE = SprungPlace(1.25, 0.95)
FORWARD, UP = 1.25, -0.55
WIND_UP = {"rate": "30 kN m/rad"}


def body(behind, above):
    return {"behind_front_axle": f"{behind} m", "above_ground": f"{above} m"}


EXAMPLES = {
    "straight": {"kind": "straight"},
    "arm": {"kind": "arm", "pivot": body(0.95, 0.56), "wind_up": WIND_UP},
    "leaf": {"kind": "leaf", "fixed_half_length": "620 mm", "path_centre_above": "20 mm", "wind_up": WIND_UP},
    "links": {
        "kind": "links", "wind_up": WIND_UP,
        "upper_link": {"body": body(0.75, 0.62), "axle": {"ahead": "-50 mm", "above": "160 mm"}},
        "lower_link": {"body": body(0.9, 0.45), "axle": {"ahead": "20 mm", "above": "-80 mm"}},
    },
}  # fmt: skip


def test_every_guide_has_an_example():
    assert {g.model_fields["kind"].annotation.__args__[0] for g in GUIDES} == set(EXAMPLES)


@pytest.mark.parametrize("kind", EXAMPLES)
def test_lowered_path_keeps_its_bound(kind):
    guide = ADAPTER.validate_python(EXAMPLES[kind])
    path = guide.lower(PLACE, FORWARD, UP)
    low, high = path.range_m
    assert low < -0.12
    assert high > 0.12
    jounce = np.linspace(low, high, 777)
    place, turn = guide.path(jounce, PLACE, FORWARD, UP)
    t = (jounce - path.middle) * path.scale
    assert np.polynomial.polynomial.polyval(t, path.place) == pytest.approx(place, abs=2 * PATH_BOUND)
    assert np.polynomial.polynomial.polyval(t, path.turn) == pytest.approx(turn, abs=2 * PATH_BOUND)
    assert path.at(jounce)[0] == pytest.approx(place, abs=2 * PATH_BOUND)
    assert np.array_equal(path.forward(jounce), path.at(jounce)[0])
    at_rest = guide.path(np.zeros(1), PLACE, FORWARD, UP)
    assert (at_rest[0][0], at_rest[1][0]) == pytest.approx((FORWARD, 0.0), abs=1e-12)


def test_arm_keeps_its_radius_and_turns_with_it():
    guide = ADAPTER.validate_python(EXAMPLES["arm"])
    jounce = np.linspace(-0.15, 0.15, 61)
    forward, turn = guide.path(jounce, PLACE, FORWARD, UP)
    pivot = np.array([1.25 - 0.95, 0.56 - 0.95])
    arm = np.array([FORWARD, UP]) - pivot
    # A rotation by psi that lowers what is ahead: (x, z) -> (x cos + z sin, z cos - x sin).
    assert forward - pivot[0] == pytest.approx(arm[0] * np.cos(turn) + arm[1] * np.sin(turn), abs=1e-12)
    assert UP + jounce - pivot[1] == pytest.approx(arm[1] * np.cos(turn) - arm[0] * np.sin(turn), abs=1e-12)
    assert turn[-1] < 0 < turn[0]  # rising, an arm that trails its axle lifts the housing's front


def test_links_against_scipy():
    guide = ADAPTER.validate_python(EXAMPLES["links"])
    jounce = np.array([-0.1, -0.03, 0.06, 0.12])
    forward, turn = guide.path(jounce, PLACE, FORWARD, UP)
    ends = [((1.25 - 0.75, 0.62 - 0.95), (-0.05, 0.16)), ((1.25 - 0.9, 0.45 - 0.95), (0.02, -0.08))]

    def open_by(values, rise):
        x, psi = values
        gaps = []
        for (bx, bz), (ax, az) in ends:
            dx = x + ax * np.cos(psi) + az * np.sin(psi) - bx
            dz = UP + rise + az * np.cos(psi) - ax * np.sin(psi) - bz
            gaps.append(np.hypot(dx, dz) - np.hypot(FORWARD + ax - bx, UP + az - bz))
        return gaps

    for rise, x, psi in zip(jounce, forward, turn, strict=True):
        assert fsolve(open_by, [FORWARD, 0.0], args=(rise,), xtol=1e-13) == pytest.approx([x, psi], abs=1e-10)


def test_too_short_an_arm_is_refused():
    guide = ADAPTER.validate_python({**EXAMPLES["arm"], "pivot": body(0.1, 0.5)})
    with pytest.raises(ValueError, match=r"at least 250\.0 mm"):
        guide.lower(PLACE, FORWARD, UP)
