"""A decimal comma is refused with the number as it is to be written, wherever a number may be typed, in lists too."""

import pytest
from pydantic import TypeAdapter, ValidationError

from sim.cli import main
from sim.describe import units
from sim.describe.bare_numbers import Fraction, Number
from sim.describe.notations import in_a_list, with_a_point


@pytest.mark.parametrize(
    ("text", "point"),
    [
        ("8,5", "8.5"), ("50,8 mm", "50.8 mm"), ("450 mm, 41,7 cm, 436 mm", "41.7 cm"), ("0,385 m", "0.385 m"), ("-1,5 in", "1.5 in"),
        # A thousands mark, values of a list, and points are none.
        ("1,640 kg", ""), ("450 mm, 434 mm", ""), ("0,100,200 kg", ""), ("41.7 cm", ""), ("7, 2", ""),
    ],
)  # fmt: skip
def test_a_number_with_a_decimal_comma_as_it_is_to_be_written(text, point):
    assert with_a_point(text) == point


def test_values_of_a_list_without_blanks_are_no_decimal_comma():
    assert in_a_list("0 kg,100 kg,200 kg") == ""
    assert in_a_list("450,5 mm, 434 mm") == "450.5 mm"


@pytest.mark.parametrize(
    ("kind", "text", "point"),
    [
        (Number, "8,5", "8.5"),
        (Number, "8,5 +- 0,5", "8.5"),
        (Fraction, "0,3", "0.3"),
        (units.Length, "50,8 mm", "50.8 mm"),
    ],
)
def test_every_kind_of_number_says_how_it_is_written(kind, text, point):
    with pytest.raises(ValidationError, match=f"{point}".replace(".", r"\.")):
        TypeAdapter(kind).validate_python(text)


@pytest.fixture(scope="module")
def truck(tmp_path_factory):
    file = tmp_path_factory.mktemp("comma") / "truck.yaml"
    assert main(["new", str(file), "--front", "1390 kg", "--rear", "1180 kg"]) == 0
    return file


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["new", "{file}", "--set", "front.springs.coil.active_coils=8,5"], "write 8.5"),
        (["new", "{file}", "--leaf", "rear: 6, 70 mm, 8,5 mm, 1300 mm"], "write 8.5 mm"),
        (["sheet", "{file}", "--height", "front=50,8 mm"], "write front=50.8 mm"),
        (["loads", "{file}", "--load", "winch=75,5 kg, -760 mm, 700 mm"], "write 75.5 kg"),
        (["measure", "spring-rate", "--loads", "0 kg, 100 kg, 0 kg", "--heights", "450 mm, 41,7 cm, 449 mm"], "write 41.7 cm"),
        (["sweep", "{first}", "--vary", "run.speed", "12,5 km/h", "45 km/h", "3"], "write 12.5 km/h"),
        (["sweep", "{first}", "--vary", "run.speed", "15 km/h", "45", "7"], "'45' has no unit, write '45 km/h'"),
        (["sweep", "{first}", "--vary", "run.speed", "15", "45 km/h", "7"], "'15' has no unit, write '15 km/h'"),
    ],
)  # fmt: skip
def test_commands_say_what_to_write(words, said, truck, capsys):
    paths = {"file": str(truck), "first": str(truck.with_name("truck_first.yaml"))}
    assert main([word.format(**paths) for word in words]) == 2
    assert said in capsys.readouterr().err
