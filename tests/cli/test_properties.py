"""Properties of whole commands: a truck in inches and pounds, in another order, beside other set-ups, or of another size gives what it must."""

import csv
import re
import shutil
from pathlib import Path

import pytest

from sim.cli import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"

INCH = {
    "mm": (1 / 25.4, "in"), "m": (1 / 0.3048, "ft"), "kg": (1 / 0.45359237, "lb"), "N/mm": (25.4 / 4.4482216152605, "lbf/in"),
    "kN/mm": (25.4e3 / 4.4482216152605, "lbf/in"), "N": (1 / 4.4482216152605, "lbf"), "kN s/m": (1e3 * 0.0254 / 4.4482216152605, "lbf s/in"),
    "N s/m": (0.0254 / 4.4482216152605, "lbf s/in"), "m/s": (1 / 0.0254, "in/s"), "kg m^2": (1 / (0.45359237 * 0.3048**2), "lb ft^2"),
    "kN m/rad": (1e3 / (4.4482216152605 * 0.3048), "lbf ft/rad"), "N m s/rad": (1 / (4.4482216152605 * 0.3048), "lbf ft s/rad"),
    "N m": (1 / (4.4482216152605 * 0.3048), "lbf ft"), "km/h": (1 / 1.609344, "mph"), "deg": (3.141592653589793 / 180, "rad"),
}  # fmt: skip
"""Of each unit of the demo what it is in the other system; exact by definition (NIST SP 811, appendix B.8)."""

QUANTITY = re.compile(
    r"(?<![\w.])(-?\d+(?:\.\d+)?) (" + "|".join(sorted(map(re.escape, INCH), key=len, reverse=True)) + r")(?![\w/^])"
)


def in_inches(text: str) -> str:
    """The same file in inches and pounds, with all digits."""
    return QUANTITY.sub(lambda match: f"{float(match[1]) * INCH[match[2]][0]:.17g} {INCH[match[2]][1]}", text)


@pytest.fixture
def place(tmp_path, monkeypatch):
    shutil.copytree(SCENARIOS, tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scenarios"


SETUPS = {
    "as it is": "{}",
    "firm": "{front.dampers.main.count: 4}",
    "low": "{front.springs.coil.rate: 30 N/mm, rear.stop.gap: 80 mm}",
}


def scenario(
    place: Path,
    name: str,
    setups: list[str],
    run: str,
    vehicle: str = "vehicles/hut_supply_truck.yaml",
    change=lambda text: text,
) -> Path:
    lines = "".join(f"  {one}: {SETUPS[one]}\n" for one in setups)
    path = place / f"{name}.yaml"
    path.write_text(
        change(
            f"kind: scenario\nname: {name}\nvehicle: {vehicle}\nrun: {run}\nreference: as it is\nsetups:\n{lines}show: []\n"
        ),
        encoding="utf-8",
    )
    return path


def measures(path: Path) -> dict[str, dict[str, float | str]]:
    """By set-up, each measure in its unit."""
    assert main(["compare", str(path), "--no-doubt", "--units", "metric", "--outputs", "out"]) in (0, 3)
    with Path("out", path.stem, "summary.csv").open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    setups = [name for name in rows[0] if name in SETUPS]
    return {name: {f"{row['measure']} [{row['unit']}]": row[name] for row in rows} for name in setups}


def same(one: dict[str, str], other: dict[str, str], share: float) -> None:
    assert one.keys() == other.keys()
    for key, value in one.items():
        try:
            expected, given = float(value), float(other[key])
        except ValueError:
            assert value == other[key], key
        else:
            assert given == pytest.approx(expected, rel=share, abs=share), key


PUSH = "{kind: push, over: front, force: 600 N, press: 0.4 s, hold: 0.6 s, watch: 2 s}"
COURSE = "{kind: course, course: courses/washboard_hump_dip.yaml, speed: 22 km/h}"


@pytest.mark.parametrize("run", [PUSH, COURSE], ids=["push", "course"])
def test_the_same_truck_in_inches_and_pounds(place, run):
    """To rounding of the last digits of what is written, which stops and wheels that lift off make a little larger."""
    truck = (place / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    inches = in_inches(truck)
    assert not re.search(r"\d (mm|kg|N/mm|N|kN s/m)\b", inches.split("\n", 6)[-1].replace("kg m^2", "")), (
        "everything is turned into inches"
    )
    (place / "vehicles" / "in_inches.yaml").write_text(inches, encoding="utf-8")
    metric = measures(scenario(place, "metric", list(SETUPS), run))
    other = measures(scenario(place, "inches", list(SETUPS), run, "vehicles/in_inches.yaml", in_inches))
    for name in SETUPS:
        same(metric[name], other[name], 2e-5)


def test_a_set_up_does_not_depend_on_its_neighbours_nor_on_their_order(place):
    """Digit by digit."""
    whole = measures(scenario(place, "whole", list(SETUPS), PUSH))
    turned = measures(scenario(place, "turned", list(SETUPS)[::-1], PUSH))
    alone = measures(scenario(place, "alone", ["as it is"], PUSH))
    two = measures(scenario(place, "two", ["as it is", "low"], PUSH))
    for name in SETUPS:
        assert whole[name] == turned[name], name
    assert alone["as it is"] == whole["as it is"]
    assert two["low"] == whole["low"]
