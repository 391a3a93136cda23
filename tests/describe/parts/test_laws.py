"""Damper laws: each states its curve and what it lowers to; one loop measures all of them."""

from dataclasses import replace

import numpy as np
import pytest
from pydantic import Field, TypeAdapter, ValidationError
from scipy.interpolate import PchipInterpolator

from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.knee import Knee
from sim.describe.parts.dampers.laws import LAWS, Law
from tests.describe.parts.claims import broken
from tests.describe.parts.dampers import MONOTUBE

ADAPTER = TypeAdapter(Law)
EXAMPLES = {
    "straight": {"kind": "straight", "compression": "1200 N s/m", "rebound": "20 lb s/in"},
    "knee": {
        "kind": "knee",
        "compression": {"low": "1.9 kN s/m", "knee": "0.12 m/s", "high": "0.9 kN s/m"},
        "rebound": {"low": "5.2 kN s/m", "knee": "5 in/s", "high": "1.9 kN s/m"},
    },
    "table": {
        "kind": "table",
        "compression": [
            {"speed": "0.05 m/s", "force": "130 N"}, {"speed": "0.13 m/s", "force": "260 N"},
            {"speed": "0.26 m/s", "force": "390 N"}, {"speed": "0.52 m/s", "force": "610 N"},
        ],
        "rebound": [
            {"speed": "2 in/s", "force": "80 lbf"}, {"speed": "10 in/s", "force": "210 lbf"},
            {"speed": "20 in/s", "force": "260 lbf"},
        ],
    },
    "valves": MONOTUBE,
    "measured": {"kind": "measured", "file": "tests/describe/parts/machine/points.csv"},
}  # fmt: skip


def test_every_law_has_an_example():
    assert {law.model_fields["kind"].annotation.__args__[0] for law in LAWS} == set(EXAMPLES)


@pytest.mark.parametrize("kind", EXAMPLES)
def test_claims_of_every_law(kind):
    law = ADAPTER.validate_python(EXAMPLES[kind])
    assert law.claims.monotone  # so are all of these examples
    assert not law.claims.memory  # the ramps of the kernel have none
    assert broken(law) == []
    assert broken(law.scaled(0.5)) == []


class Claiming(Knee):
    """A knee whose claims a test can put in; its upper slope may be less than nothing, and its ramps may miss it."""

    said: dict = Field(default={})
    falls: bool = False
    misses: float = 0.0

    def force(self, speed):
        return super().force(speed) - (
            np.sign(speed) * np.maximum(np.abs(speed) - 1.0, 0.0) * 3e3 if self.falls else 0.0
        )

    def lower(self):
        return tuple(knot._replace(slope=(1.0 + self.misses) * knot.slope) for knot in super().lower())

    @property
    def claims(self):
        return replace(super().claims, **self.said)


@pytest.mark.parametrize(
    ("said", "more", "which"),
    [
        ({"odd": True}, {}, "odd"),
        ({}, {"falls": True}, "monotone"),
        ({"bound_share": 0.001}, {"misses": 0.01}, "bound"),
        ({"bound_share": 0.02}, {"misses": 0.01}, None),
        ({"source": ""}, {}, "source"),
        ({}, {}, None),
    ],
)
def test_a_false_claim_is_seen(said, more, which):
    law = Claiming.model_validate({**EXAMPLES["knee"], "said": said, **more})
    found = broken(law)
    assert (which in found) if which else (found == [])


def test_odd_is_claimed_where_both_sides_are_alike():
    alike = {**EXAMPLES["knee"], "rebound": EXAMPLES["knee"]["compression"]}
    for data in (alike, {"kind": "straight", "compression": "1 kN s/m", "rebound": "1 kN s/m"}):
        law = ADAPTER.validate_python(data)
        assert law.claims.odd
        assert broken(law) == []


def test_knee_by_hand():
    law = ADAPTER.validate_python(EXAMPLES["knee"])
    assert law.force(0.12) == pytest.approx(1900 * 0.12)
    assert law.force(0.5) == pytest.approx(1900 * 0.12 + 900 * 0.38)
    assert law.force(-0.5) == pytest.approx(-(5200 * 0.127 + 1900 * 0.373))


def test_table_is_scipys_monotone_cubic_and_straight_past_its_end():
    law = ADAPTER.validate_python(EXAMPLES["table"])
    speeds, forces = [0, 0.05, 0.13, 0.26, 0.52], [0, 130, 260, 390, 610]
    inside = np.linspace(0, 0.52, 101)
    assert law.force(inside) == pytest.approx(PchipInterpolator(speeds, forces)(inside))
    assert law.force(1.0) == pytest.approx(610 + (610 - 390) / 0.26 * 0.48)


def test_unsorted_table_is_refused_with_its_row():
    bad = {**EXAMPLES["table"], "compression": list(reversed(EXAMPLES["table"]["compression"]))}
    with pytest.raises(ValidationError, match=r"row 2 has speed .* sort the rows"):
        ADAPTER.validate_python(bad)


def test_seal_friction_is_constant_past_its_ramp_and_odd():
    knots = ramps.friction(40.0)
    assert ramps.force(knots, [0.0, 0.02, 3.0, -3.0, 0.005]) == pytest.approx([0.0, 40.0, 40.0, -40.0, 20.0])
