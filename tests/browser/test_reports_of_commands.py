"""Every command's page to hand over, in a browser: opens alone, reads at any width, in both lights and unit systems, and prints.

Each is made once, of the smallest question whose names and sentences are full of signs that mean something in a page. Contrast by the Web Content
Accessibility Guidelines 2.1, level AA, as axe-core measures it.
"""

import re
import shutil
from math import ceil

import pytest
import yaml

from sim.cli import main
from tests.browser.test_report import BOXES, CUT, LOOKS, SCENARIOS, overlapping, url

pytestmark = pytest.mark.long

ODD = "<b>odd</b> & 'single' \"double\"\nsecond line </script><script>window.broken = 1</script>"
QUESTION = 'Is "one" < two & \'more\' <img src=x onerror="window.broken=1">?'
TRUCK = "vehicles/hut_supply_truck.yaml"
PUSH = {"kind": "push", "over": "front", "force": "500 N", "press": "0.3 s", "hold": "0.3 s", "watch": "1.5 s"}
DRIVE = {"kind": "drive", "course": "courses/corrugated_track.yaml", "speed": "40 km/h", "distance": "20 m"}
LAUNCH = {
    "kind": "launch", "climb": "8 deg", "throttle_rise": "0.25 s", "watch": "0.6 s",
    "surface": {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"},
}  # fmt: skip
FORCE = {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.5, "high": 2}
SCENARIO = {"kind": "scenario", "name": "Push <i>it</i>", "question": QUESTION, "vehicle": TRUCK}
FILES = {
    "push": SCENARIO | {"run": PUSH, "setups": {"as fitted": {}, ODD: {"front.dampers.main.count": 4}}},
    "bare": SCENARIO | {"run": PUSH, "setups": {ODD: {}}},
    "away": SCENARIO | {"run": LAUNCH, "setups": {ODD: {}}},
    "track": SCENARIO | {"run": {"kind": "track", "air": "20 °C", "stages": [DRIVE]}, "setups": {ODD: {}}},
    "tune": SCENARIO | {"run": PUSH, "setups": {ODD: {}}, "tune": {
        "start": ODD, "move": {"front <b>force</b>": FORCE}, "goal": {"front_body_settling_time": 1}, "generations": 1,
    }},
}  # fmt: skip
COMMANDS = {
    "simulate": ["simulate", "bare.yaml", "--no-doubt", "--no-plots"],
    "sweep": ["sweep", "bare.yaml", "--vary", "front.tyre.rate", "200 N/mm", "300 N/mm", "2", "--workers", "1"],
    "tune": ["tune", "tune.yaml", "--workers", "1", "--no-plots"],
    "endure": ["endure", "track.yaml", "--workers", "1"],
    "lean": ["lean", "away.yaml", "--steps", "3"],
    "convert": ["convert", "bare.yaml"],
    "dyno": ["dyno", "dampers/front_returned.csv", "--against", "bare.yaml", "--damper", "front.main"],
    "sheet": ["sheet", "push.yaml", "--setup", ODD],
}
"""The smallest question to each command that writes a page; `compare` has tests of its own (test_report.py)."""

SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
"""Paper by ISO 216 and by ANSI/ASME Y14.1."""

ASIDE_MM, ABOVE_BELOW_MM = 28.0, 32.0
"""Margins that the page asks for, both sides together."""


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    """Return a folder with the demo's files and those of this test."""
    own = tmp_path_factory.mktemp("asked")
    shutil.copytree(SCENARIOS, own, dirs_exist_ok=True)
    for name, scenario in FILES.items():
        (own / f"{name}.yaml").write_text(
            yaml.safe_dump(scenario, allow_unicode=True, sort_keys=False), encoding="utf-8"
        )
    return own


def expected_pages(page, paper):
    """Return how many pages all needs at the paper's width, and how many at most: a picture that is not cut leaves up to half a page free."""
    wide, high = (size / 25.4 * 96.0 for size in SHEETS_MM[paper])
    page.emulate_media(media="print")
    page.set_viewport_size({"width": round(wide - ASIDE_MM / 25.4 * 96.0), "height": 900})
    # Nothing that is wider than the paper, which would cut it or shrink the rest.
    rights = page.evaluate("[...document.querySelectorAll('table, .plot')].map((e) => e.getBoundingClientRect().right)")
    assert max(rights) <= page.viewport_size["width"]
    tall = page.evaluate("document.body.getBoundingClientRect().height")
    whole = page.locator(".picture, figure.moving:visible").count()
    page.emulate_media(media="null")  # as it is: a page that is held to a screen is printed as on one
    least = ceil(tall / (high - ABOVE_BELOW_MM / 25.4 * 96.0))
    return least, least + ceil(whole / 2) + 1


@pytest.mark.parametrize(
    "command",
    [
        # What differs between their pages is seen in these two; all eight take a minute.
        name if name in ("sweep", "sheet") else pytest.param(name, marks=pytest.mark.hours)
        for name in COMMANDS
    ],
)
def test_its_page_opens_alone_reads_and_prints(command, folder, opened, monkeypatch):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe for Playwright is not installed")
    monkeypatch.chdir(folder)
    assert main([*COMMANDS[command], "--outputs", command]) in (0, 3)
    # A tuning drives what it arrived at once more, which is a comparison of its own.
    made = min((folder / command).glob("*/report.html"), key=lambda path: len(path.parent.name)).parent
    page = opened(url(made))
    for width, dark in LOOKS:
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme="dark" if dark else "light")
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
        assert page.evaluate(CUT) == []
        if not dark:  # colours alone differ
            boxes = page.evaluate(BOXES)
            assert len(boxes) > 30
            assert overlapping(boxes) == []
        if (width > 1000) != dark:
            rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
            violations = axe.Axe().run(page, options=rules).response["violations"]
            assert [(one["id"], [node["html"][:160] for node in one["nodes"]]) for one in violations] == []
    page.locator("#units-inch").check()
    assert page.locator(".metric:visible").count() == 0
    page.locator("#units-metric").check()
    assert page.locator(".inch:visible").count() == 0
    page.locator("#units-both").check()
    for paper in SHEETS_MM:
        least, most = expected_pages(page, paper)
        pdf = page.pdf(format=paper, print_background=True)
        assert least <= len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) <= most, paper
    # Names are shown as they are written, and nothing of them has run.
    assert page.evaluate("window.broken") is None
    assert page.locator("main b, main i, main img").count() == 0
    assert ODD.split("\n")[0] in page.locator("main").inner_text()
    assert page.requests == [url(made)]
    assert page.complaints == []
