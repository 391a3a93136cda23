"""Numbers written with what is known of them: read, kept beside the plain value, refused with what to write."""

import copy
import pickle
from pathlib import Path

import numpy as np
import pytest
import yaml
from pydantic import TypeAdapter, ValidationError

from sim.describe import units
from sim.describe.bare_numbers import Fraction, Number
from sim.describe.doubt import ABOUT_SPREADS, Estimated, about_spread, without_doubt
from sim.describe.doubtful import assumed, doubtful
from sim.describe.files.scenario import load_scenario
from sim.describe.files.vehicles import load_vehicle
from sim.describe.replaced import with_values
from sim.errors import InputError

TRUCK = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
LB = 0.45359237  # kg, exact (NIST SP 811, appendix B.8)


def read(kind, text):
    return TypeAdapter(kind).validate_python(text)


@pytest.mark.parametrize(
    ("kind", "text", "centre", "low", "high", "shape"),
    [
        (units.Mass, "620 kg +- 15 kg", 620, 605, 635, "normal"),
        (units.Mass, "620 kg ± 15 kg", 620, 605, 635, "normal"),
        (units.Mass, "620 kg +/- 15 kg", 620, 605, 635, "normal"),
        (units.Mass, "620 +- 15 kg", 620, 605, 635, "normal"),
        (units.Mass, "620 kg +- 15", 620, 605, 635, "normal"),
        (units.Mass, "600 kg +- 5 %", 600, 570, 630, "normal"),
        (units.Mass, "600 kg +- 20 lb", 600, 600 - 20 * LB, 600 + 20 * LB, "normal"),
        (units.Stiffness, "180 to 260 N/mm", 220e3, 180e3, 260e3, "even"),
        (units.Stiffness, "180 N/mm to 260 N/mm", 220e3, 180e3, 260e3, "even"),
        (units.Stiffness, "180 N/mm to 260", 220e3, 180e3, 260e3, "even"),
        (units.Length, "-90 mm +- 5 mm", -0.09, -0.095, -0.085, "normal"),
        (units.Length, "-95 to -85 mm", -0.09, -0.095, -0.085, "even"),
        (units.PitchInertia, "about 10 kg m^2", 10, 8, 12, "normal"),
        (units.Temperature, "20 °C +- 9 °F", 293.15, 288.15, 298.15, "normal"),
        (units.Temperature, "10 to 30 °C", 293.15, 283.15, 303.15, "even"),
        (Fraction, "30 % +- 5 %", 0.3, 0.25, 0.35, "normal"),
        (Fraction, "0.3 +- 0.05", 0.3, 0.25, 0.35, "normal"),
        (Number, "0.2 +- 10 %", 0.2, 0.18, 0.22, "normal"),
    ],
)
def test_a_number_and_what_is_known_of_it(kind, text, centre, low, high, shape):
    value = read(kind, text)
    assert isinstance(value, float)
    assert value == pytest.approx(centre)
    assert (value.doubt.low, value.doubt.high) == (pytest.approx(low), pytest.approx(high))
    assert (value.doubt.shape, value.doubt.written) == (shape, text)


@pytest.mark.parametrize(
    ("kind", "text", "said"),
    [
        (units.Mass, "620 kg +- -15 kg", "without a sign"),
        (units.Mass, "260 to 180 kg", "runs backwards"),
        (units.Mass, "180 kg to 260 N", "not a mass"),
        (units.Mass, "620 kg +- 15 N", "not a mass"),
        (units.Mass, "0 kg +- 5 %", "a per cent of 0 is nothing"),
        (units.Mass, "620 +- 15", "needs a unit"),
        (units.Mass, "620 kg +-", "after '+-' a number is wanted"),
        (units.Mass, "+- 15 kg", "before '+-' the value is wanted"),
        (units.Mass, "620 kg +- 15 kg +- 3 kg", "written once"),
        (units.Mass, "about 600 to 640 kg", "one value"),
        (units.Mass, "600 to 620 to 640 kg", "one 'to'"),
        (units.Mass, "600 to 620 kg +- 5 kg", "one 'to'"),
        (units.Mass, "about 0 kg", "says nothing"),
        (units.Mass, "about nothing", "a number with its unit"),
        (Fraction, "0.3 +- 5 %", "points"),
    ],
)
def test_what_is_not_understood_is_refused_with_what_to_write(kind, text, said):
    with pytest.raises(ValidationError) as caught:
        read(kind, text)
    assert said in str(caught.value)
    assert "write e.g." in str(caught.value)


def test_a_doubt_of_nothing_is_no_doubt():
    assert type(read(units.Mass, "620 kg +- 0 kg")) is float
    assert type(read(units.Mass, "620 kg to 620 kg")) is float


def test_it_is_a_float_and_survives_copies():
    value = read(units.Mass, "620 kg +- 15 kg")
    assert type(value + 1.0) is float
    assert np.array([value]).dtype == float
    for again in (pickle.loads(pickle.dumps(value)), copy.deepcopy(value)):
        assert again == value
        assert again.doubt == value.doubt


@pytest.mark.parametrize(
    "text", ["620 kg +- 15 kg", "620 +- 15 kg", "620 to 640 kg", "about 620 kg", "620 kg", "620 kg to 640"]
)
def test_the_first_number_of_a_text(text):
    assert read(units.Mass, without_doubt(text)) == 620.0


def test_every_default_spread_says_where_it_is_from():
    for kind, spread in ABOUT_SPREADS.items():
        assert spread.share > 0.0 or spread.least > 0.0, kind
        assert "no source" in spread.why or "(" in spread.why, kind
    assert about_spread("something else").share > 0.0


def truck(tmp_path, **changes):
    """The demo's truck with some of its words replaced, in a file."""
    text = TRUCK.read_text(encoding="utf-8")
    for old, new in changes.values():
        assert old in text
        text = text.replace(old, new, 1)
    (tmp_path / "truck.yaml").write_text(text, encoding="utf-8")
    return tmp_path / "truck.yaml"


def test_the_same_physics_with_doubt_and_without(tmp_path):
    plain = load_vehicle(TRUCK)
    doubted = load_vehicle(truck(tmp_path, mass=("mass: 1640 kg", "mass: 1640 kg +- 20 kg")))
    assert doubted.model_dump() == plain.model_dump()
    assert [(one.path, one.value) for one in doubtful(doubted)] == [("body.mass", 1640.0)]
    assert list(doubtful(plain)) == []


def test_the_doubt_stays_when_another_value_of_its_part_is_replaced(tmp_path):
    doubted = load_vehicle(truck(tmp_path, mass=("mass: 1640 kg", "mass: 1640 kg +- 20 kg")))
    other = with_values(doubted, {"body.pitch_inertia": 2800.0})
    assert [one.path for one in doubtful(other)] == ["body.mass"]
    # a value that is itself replaced is known
    assert list(doubtful(with_values(doubted, {"body.mass": 1650.0}))) == []


@pytest.mark.parametrize(
    ("old", "new", "said", "allowed"),
    [
        ("friction: 240 N", "friction: 240 N +- 300 N", "reaches below what it may be", "at least 0"),
        ("mass: 232 kg", "mass: 1 kg +- 1 kg", "reaches below", "more than 0"),
        ("contact_length: 170 mm", "contact_length: 900 to 1100 mm", "reaches above", "at most 1"),
        ("tube_end: down", "tube_end: about down", "cannot be in doubt", "up or down"),
        ("gap: 88 mm", "gap: 88 mm +- 3 N", "'N' is not a length", ""),
    ],
)
def test_an_error_of_a_file_names_its_line(tmp_path, old, new, said, allowed):
    file = truck(tmp_path, one=(old, new))
    line = next(n for n, text in enumerate(file.read_text(encoding="utf-8").splitlines(), 1) if new in text)
    with pytest.raises(InputError) as caught:
        load_vehicle(file)
    (problem,) = caught.value.problems
    assert said in problem.message
    assert problem.line == line
    assert problem.given in new
    assert problem.given
    assert allowed in problem.allowed


def scenario(tmp_path, setups, run="{kind: push, over: front, force: 900 N}"):
    truck(tmp_path)
    data = {"kind": "scenario", "name": "x", "vehicle": "truck.yaml", "run": yaml.safe_load(run), "setups": setups}
    (tmp_path / "s.yaml").write_text(yaml.safe_dump(data), encoding="utf-8")
    return tmp_path / "s.yaml"


def test_a_set_up_may_have_doubt_too_and_its_errors_point_to_it(tmp_path):
    loaded = load_scenario(scenario(tmp_path, {"stiff": {"front.springs.coil.rate": "40 N/mm +- 2 N/mm"}}))
    (one,) = doubtful(loaded.setups["stiff"])
    assert (one.path, one.value) == ("front.springs.coil.rate", pytest.approx(40e3))
    with pytest.raises(InputError) as caught:
        load_scenario(scenario(tmp_path, {"stiff": {"front.springs.coil.rate": "40 N/mm +- 50 N/mm"}}))
    (problem,) = caught.value.problems
    assert problem.file.endswith("s.yaml")
    assert problem.line
    with pytest.raises(InputError, match="a count is known or not"):
        load_scenario(scenario(tmp_path, {"four": {"front.dampers.main.count": "4 +- 1"}}))


def test_a_run_may_have_doubt(tmp_path):
    loaded = load_scenario(scenario(tmp_path, {"as it is": None}, "{kind: push, over: front, force: 900 N +- 50 N}"))
    assert [one.path for one in doubtful(loaded.run, ("run",))] == ["run.force"]
    with pytest.raises(InputError, match="reaches below"):
        load_scenario(scenario(tmp_path, {"as it is": None}, "{kind: push, over: front, force: 900 N +- 950 N}"))


def test_what_nobody_gave_is_listed(tmp_path):
    assert list(assumed(load_vehicle(TRUCK))) == []
    silent = load_vehicle(
        truck(
            tmp_path, one=("      friction: 240 N\n", ""), two=("    damping: 180 N s/m\n", ""), three=("      gas_force: 120 N\n", ""),
            four=("      tube_mass: 1.8 kg\n", ""),
        )
    )  # fmt: skip
    assert [one.path for one in assumed(silent)] == [
        "front.tyre.damping", "front.dampers.main.gas_force", "rear.springs.pack.friction", "rear.dampers.main.tube_mass",
    ]  # fmt: skip


def test_a_doubt_is_estimated_and_nothing_else_is():
    assert isinstance(read(units.Mass, "about 620 kg"), Estimated)
    assert not isinstance(read(units.Mass, "620 kg"), Estimated)


def test_every_default_spread_stands_on_its_page():
    page = (Path(__file__).parents[2] / "docs" / "doubt.md").read_text(encoding="utf-8")
    rows = {
        cells[1]: cells[2] for line in page.splitlines() if len(cells := [one.strip() for one in line.split("|")]) == 5
    }
    for kind, spread in ABOUT_SPREADS.items():
        assert (f"{100 * spread.share:g} %" in rows[kind]) == (spread.share > 0.0), kind
        assert ("mm" in rows[kind] or "deg" in rows[kind] or " K" in rows[kind]) == (spread.least > 0.0), kind
        assert spread.why in page, kind
