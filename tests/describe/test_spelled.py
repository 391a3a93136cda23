"""Units as workshops spell them. Factors are exact by definition: 1 lbf ft = 4.4482216152605 N x 0.3048 m, 1 kgf = 9.80665 N."""

from math import pi

import pytest
from pydantic import TypeAdapter, ValidationError

from sim.describe.units import AngularSpeed, AngularStiffness, Length, Mass, PitchInertia, Torque

POUND_FOOT = 4.4482216152605 * 0.3048


@pytest.mark.parametrize(
    ("kind", "written", "si"),
    [
        (Torque, "210 Nm", 210.0),
        (Torque, "0.21 kNm", 210.0),
        *[
            (Torque, f"155 {unit}", 155.0 * POUND_FOOT)
            for unit in ("lb-ft", "ft-lb", "ft lbs", "lbft", "foot pounds", "ft·lb")
        ],
        *[(Torque, f"21 {unit}", 21.0 * 9.80665) for unit in ("mkg", "kgm", "m kg")],
        (AngularStiffness, "10 kNm/rad", 1e4),
        (AngularStiffness, "1 ft-lb/deg", POUND_FOOT * 180.0 / pi),
        *[(AngularSpeed, f"1800{unit}", 60.0 * pi) for unit in (" 1/min", "/min", " U/min", " min-1", " RPM")],
        (PitchInertia, "0.25 kgm2", 0.25),
        (Mass, "1120 kgs", 1120.0),
        (Mass, "1120 kilos", 1120.0),
        (Mass, "1 120 kg", 1120.0),
        (Length, "2\u202f850 mm", 2.85),
        (Length, "\u221260 mm", -0.06),
        (Length, "- 60 mm", -0.06),
        # A whole inch and a part of one is no group of three.
        (Length, "2 1/2 in", 2.5 * 0.0254),
    ],
)
def test_what_a_workshop_writes_is_read(kind, written, si):
    assert TypeAdapter(kind).validate_python(written) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(("kind", "written"), [(Torque, "155 lb"), (Mass, "12 1120 kg"), (Length, "60 - 80 mm")])
def test_what_says_something_else_is_refused(kind, written):
    with pytest.raises(ValidationError):
        TypeAdapter(kind).validate_python(written)


def test_a_size_that_no_truck_has_is_said_in_plain_digits():
    with pytest.raises(ValidationError, match="at most 20,000,000 m"):
        TypeAdapter(Length).validate_python("3e8 m")
