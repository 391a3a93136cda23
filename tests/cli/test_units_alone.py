"""Under one system of units nothing that a command says or writes has a unit of the other: every number with its unit is looked at.

Units are listed here by hand, as handbooks have them, not taken from the program.
"""

import csv
import io
import re
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path

import pytest

from sim.cli import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"

METRIC = (
    "mm", "cm", "m", "km", "kg", "g/cm", "N", "kN", "N/mm", "kN/mm", "N s/m", "kN s/m", "m/s", "m/s2", "m/s²", "km/h", "N m", "N m/deg", "N m/rad",
    "kg m²", "kg m^2", "bar", "kPa", "MPa", "GPa", "kJ", "J", "kJ/°C", "°C", "degC", "m/km", "1/m", "kg/m", "l", "ml",
)  # fmt: skip
INCH = (
    "in", "ft", "mi", "lb", "lbf", "lb/in", "lb s/in", "in/s", "mph", "lbf ft", "lbf ft/deg", "lb ft/deg", "lb ft²", "lb ft^2", "psi",
    "kpsi", "ft lbf", "Btu", "Btu/°F", "°F", "degF", "in/mi", "1/ft", "lb/ft",
)  # fmt: skip

# What stands in a person's own file is quoted as it stands there; the rest are units that a standard has in every system.
ALLOWED = re.compile(
    r"\[m/s\^1\.75\]"  # vibration dose, ISO 2631-1
    r"|\S+·10⁻⁶ m³|\[m3\]|\[10⁻⁶ m³\]"  # density of a road, ISO 8608
    r"|'\w+' is \w+ \[\w+\]"  # a column of a test machine's file
    r"|distance in \w+, height in \w+"  # columns of a survey
)


def of(units):
    """Return what finds a number with one of some units, or such a unit in the head of a column."""
    known = "|".join(sorted(map(re.escape, units), key=len, reverse=True))
    return re.compile(rf"(?<=\d)[ \u00a0\u202f](?:{known})(?![\w²³/^·'])|\[(?:{known})\b[^\]]*\]")


OTHER = {"inch": of(METRIC), "metric": of(INCH)}


def left_over(text, system):
    """Return where the other system's units stand."""
    text = ALLOWED.sub("", text)
    return [
        text[max(0, match.start() - 40) : match.end() + 15].replace("\n", " ") for match in OTHER[system].finditer(text)
    ]


TICKET = [
    "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", '33"', "--aboard", "driver", "--coil", "front: 190 lb/in",
    "--extended", "23.5 in", "--collapsed", "14.25 in",
]  # fmt: skip

COMMANDS = {
    "check": ["check", "my_truck.yaml", SCENARIOS / "two_or_four.yaml"],
    "stand, own": ["stand", "my_truck.yaml", "--all", "--no-doubt"],
    "stand, demo": ["stand", SCENARIOS / "what_to_measure_first.yaml", "--no-doubt"],
    "loads": ["loads", "my_truck.yaml"],
    "lift": ["lift", SCENARIOS / "what_the_lift_costs.yaml", "--front", "50 mm", "--rear", "2 in", "--track", "59 in"],
    "road": ["road", SCENARIOS / "courses" / "upper_track.yaml"],
    "convert": ["convert", SCENARIOS / "four_each_how.yaml"],
    "sheet": ["sheet", SCENARIOS / "right_length.yaml"],
    "sheet, own": ["sheet", "my_truck.yaml"],
    "dyno": [
        "dyno", SCENARIOS / "dampers" / "front_returned.csv", "--against", SCENARIOS / "two_or_four.yaml", "--setup", "two front",
        "--damper", "front.main",
    ],
    "push": ["compare", SCENARIOS / "push_on_the_bumper.yaml", "--all", "--no-plots"],
    "sweep": [
        "sweep", SCENARIOS / "push_on_the_bumper.yaml", "--vary", "front.springs.coil.rate", "30 N/mm", "40 N/mm", "2", "--measure",
        "bounce_settling_time", "--workers", "1",
    ],
    "measured": ["measure", "tyre-rate", "--load-1", "800 lb", "--height-1", "16 in", "--load-2", "1300 lb", "--height-2", "15.6 in"],
    "lifted": [
        "measure", "cg-height", "--wheelbase", "92 in", "--by", "600 mm", "--whole", "4230 lb", "--level", "1780 lb", "--other", "862 kg",
        "--front-centre", "16 in", "--rear-centre", "16 in",
    ],
    "pack": [
        "spring", "pack", "--load", "900 lb", "--leaves", "5", "--full", "2", "--width", "2.5 in", "--length", "44 in", "--rate", "220 lb/in",
        "--travel", "4 in",
    ],
    "coil": [
        "spring", "coil", "--load", "1000 lb", "--length", "12 in", "--rate", "190 lb/in", "--across", "5 in", "--travel", "4 in",
    ],
}  # fmt: skip
WITH_FILES = {"road", "convert", "sheet", "sheet, own", "dyno", "push", "sweep"}


@pytest.fixture(scope="module")
def shop(tmp_path_factory):
    """Return a folder with a truck of one's own in it."""
    folder = tmp_path_factory.mktemp("shop")
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        assert main(["new", str(folder / "my_truck.yaml"), *TICKET]) == 0
    return folder


@pytest.fixture
def undrawn(monkeypatch):
    """Leave pictures and report pages out: they take longer than all the rest, and say what the tables say."""
    monkeypatch.setattr("sim.show.plots.save.saved", lambda *given, **more: None)
    monkeypatch.setattr("sim.show.plots.order_sheet.saved", lambda *given, **more: None)
    monkeypatch.setattr("sim.show.pages.report.render.write", lambda *given, **more: None)


@pytest.mark.parametrize("system", ["inch", "metric"])
@pytest.mark.parametrize("name", COMMANDS)
def test_no_unit_of_the_other_system(shop, undrawn, tmp_path, capsys, monkeypatch, name, system):
    monkeypatch.chdir(shop)
    more = ["--outputs", str(tmp_path)] if name in WITH_FILES else []
    assert main([*map(str, COMMANDS[name]), *more, "--units", system]) in (0, 3)
    said = capsys.readouterr()
    assert len(said.out) > 100, "nothing was said"
    assert left_over(said.out, system) == []
    assert left_over(said.err, system) == []
    tables = [path for path in tmp_path.rglob("*.csv")]
    assert bool(tables) == bool(more)
    for path in tables:
        text = path.read_text(encoding="utf-8")
        assert left_over("\n".join(" | ".join(row) for row in csv.reader(io.StringIO(text))), system) == [], path.name


@pytest.mark.parametrize(
    ("system", "text"),
    [
        ("inch", "3.2 mm"),
        ("inch", "gap [mm]"),
        ("inch", "20 degC"),
        ("metric", "12 lb/in"),
        ("metric", "35 psi, cold"),
        ("inch", "4 N s/m"),
    ],
)
def test_the_look_itself_finds_what_it_should(system, text):
    assert left_over(text, system)
    assert not left_over(text, {"inch": "metric", "metric": "inch"}[system])
