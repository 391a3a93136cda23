"""What a number that is hardly meant would be by the likeliest slip. Ranges are of our own table; slips are those of a shop's form, counted by hand."""

import pytest

from sim.describe.bare_numbers import counted
from sim.describe.estimates.as_measured import person_of
from sim.describe.files.slips import slip_of_text, with_a_unit
from sim.describe.units import Mass
from sim.describe.usual import USUAL_RANGES


@pytest.mark.parametrize(
    ("key", "written", "begins"),
    [
        # 1.510 kg is 1510 kg where a point parts thousands; 15.10 kg is not.
        ("Weighed.front", "1.510 kg", "1510 kg?"),
        ("Weighed.rear", "1.240 kg", "1240 kg?"),
        ("Vehicle.wheelbase", "2.650 mm", "2650 mm?"),
        ("Weighed.front", "-1510 kg", "1510 kg would be usual: look at the sign"),
        # 1.6 mm and 16 mm are one decimal point apart; nobody measures a wire in cm.
        ("Coil.wire_diameter", "1.6 mm", "16 mm would be usual"),
        # 24 psi are 1.65 bar.
        ("Tyre.pressure", "24 bar", "24 psi or 2.4 bar would be usual"),
        ("Coil.active_coils", "70", "7 would be usual"),
        ("LeafPack.clamped", "1270 mm", "127 mm would be usual: it looks like the whole pack"),
        ("Vehicle.wheelbase", "104 mm", "104 in would be usual: look at the unit"),
    ],
)
def test_the_likeliest_slip_comes_first(key, written, begins):
    from sim.describe.files.hardly_meant import unusual_lines

    usual = USUAL_RANGES[key]
    if written.isdigit():
        said = next(line for line in unusual_lines(written, float(written), "", usual) if line.startswith("try: "))[5:]
    else:
        said = slip_of_text(written, usual)
    assert said.startswith(begins)


def test_a_bare_number_gets_the_unit_that_makes_it_usual():
    wheelbase = USUAL_RANGES["Vehicle.wheelbase"]
    assert with_a_unit("2650", wheelbase, "m") == "'2650 mm'"
    assert with_a_unit("104", wheelbase, "m") == "'104 in'"
    assert with_a_unit("2650 mm", wheelbase, "m") == ""
    assert with_a_unit("7", wheelbase, "m") == "'7 ft'"  # 2.13 m
    # 0.12 km/h is within what a knee may be as well, and nobody writes a damper's speed so; 5 in/s is 0.127 m/s.
    knee = USUAL_RANGES["KneeSide.knee"]
    assert with_a_unit("0.12", knee, "m/s", ("m/s", "in/s")) == "'0.12 m/s'"
    assert with_a_unit("5", knee, "m/s", ("m/s", "in/s")) == "'5 in/s'"


def test_capitals_of_a_unit_that_leave_one_are_read():
    from pydantic import TypeAdapter

    mass = TypeAdapter(Mass)
    assert mass.validate_python("1510 Kg") == mass.validate_python("1510 KG") == 1510.0
    assert mass.validate_python("10 LB") == pytest.approx(4.5359237)


@pytest.mark.parametrize(
    ("word", "meant"),
    [
        ("driver", ("driver", "")), ("me", ("driver", "")), ("85 kg driver", ("driver", "85 kg")), ("driver 187 lb", ("driver", "187 lb")),
        ("Passenger, 70 kg", ("passenger", "70 kg")), ("mate", ("passenger", "")), ("driver (95 kg)", ("driver", "95 kg")),
        ("half a tank", None), ("two men", None), ("60 l of fuel", None), ("200 kg of sand", None),
    ],
)  # fmt: skip
def test_a_person_aboard_may_have_his_own_weight(word, meant):
    assert person_of(word) == meant


def test_a_count_may_have_its_word():
    assert counted("7.5 turns") == "7.5"
    assert counted("6 leaves") == "6"
    assert counted("7.5 mm") == "7.5 mm"
    assert counted(7) == 7
