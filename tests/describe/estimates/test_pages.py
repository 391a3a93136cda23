"""Pages of docs/measure: there for every estimate, and their worked numbers are what the commands say."""

import re
import shlex
from pathlib import Path

import pytest

from sim.cli import main
from sim.describe.estimates import ESTIMATES
from sim.describe.estimates.fields import fields
from sim.describe.estimates.tyre_rate import rate_of
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.estimates.valving import RATIOS
from sim.study.by_hand import METHODS

PAGES = Path(__file__).parents[3] / "docs" / "measure"


def test_every_estimate_field_and_method_has_its_page():
    index = (PAGES / "README.md").read_text(encoding="utf-8")
    asked = {one.page for one in (*ESTIMATES, *fields(), *METHODS)}
    there = {path.name for path in PAGES.glob("*.md")} - {"README.md"}
    assert asked == there
    for name in there:
        assert f"]({name})" in index
    for method in METHODS:
        assert f"jounce measure {method.name} " in (PAGES / method.page).read_text(encoding="utf-8")
        assert "**Caution" in (PAGES / method.page).read_text(encoding="utf-8")


def typed():
    for path in sorted(PAGES.glob("*.md")):
        for line in re.findall(r"^jounce (measure .*)$", path.read_text(encoding="utf-8"), re.MULTILINE):
            yield path.name, line


@pytest.mark.parametrize(("page", "line"), list(typed()))
def test_worked_numbers_are_what_the_command_says(page, line, capsys):
    assert main(shlex.split(line)) == 0
    said = re.match(r".*?: ([\d.]+) [^(]*\(([\d.]+) ", capsys.readouterr().out)
    metric, inch = float(said[1]), float(said[2])
    text = (PAGES / page).read_text(encoding="utf-8").replace("\u00a0", " ")
    numbers = [
        float(one.replace(" ", "")) for one in re.findall(r"\d[\d ]*\d(?:\.\d+)?|\d+(?:\.\d+)?", text.split(line)[1])
    ]
    for value in (metric, inch):
        # as many figures as the page has, three at least
        assert any(abs(one - value) <= 0.005 * value for one in numbers), (value, numbers)


def test_words_for_the_valving_stand_on_their_page():
    text = (PAGES / "dampers.md").read_text(encoding="utf-8")
    assert dict(re.findall(r"^\| (\w+) \| (0\.\d\d) \|", text, re.MULTILINE)) == {
        word: f"{ratio:.2f}" for word, ratio in RATIOS.items()
    }


def test_the_relation_for_tyres_is_as_written():
    """0.00028 P √((1.03 - 0.004 AR) SN (SN AR/50 + DR)) + 3.45 kgf/mm, worked by hand for 235/85R16 at 310 kPa: 34.8 kgf/mm."""

    assert rate_of(tyre_size("235/85R16"), 310e3) / 9806.65 == pytest.approx(34.8, rel=2e-3)
