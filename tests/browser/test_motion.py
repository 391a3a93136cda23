"""The truck in motion, driven and pushed: a hill as steep as it is, wind-up as large as is said, a damped beside an undamped push.

Expected places are the run's CSV, which lies beside the page; that a picture turns as the hill does is geometry.
"""

from math import cos, radians, sin

import pytest
import yaml

from sim.cli import main
from tests.browser.test_report import BOXES, CUT, DESK, PHONE, SCENARIOS, WORLD, overlapping, rows_of, url

pytestmark = pytest.mark.long

CLIMB_DEG = 8.0
LAUNCH = {
    "kind": "scenario", "name": "Up a hill", "question": "Does it wind up?", "vehicle": str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"),
    "run": {
        "kind": "launch", "climb": f"{CLIMB_DEG} deg", "throttle_rise": "0.25 s", "watch": "1.2 s",
        "surface": {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"},
    },
    "setups": {"as fitted": {}, "no rear dampers": {"rear.dampers": "none"}},
}  # fmt: skip
TIMES = [round(0.112 * k, 3) for k in range(1, 11)]
"""Ten times, each on a frame [s]."""

SCREEN = """(number) => {
  const truck = window.jounce.trucks[number];
  const picture = truck.figure.querySelector("svg.truck").getScreenCTM();
  const pixels = picture.a * 1000 / truck.view.width;
  const place = (element) => { const to = element.getScreenCTM(); return [to.e / pixels, -to.f / pixels]; };
  const wheels = [...truck.figure.querySelectorAll("g.wheel")].map(place).sort((a, b) => a[0] - b[0]);
  const surface = truck.figure.querySelector(".surface");
  const ends = [surface.points[0], surface.points[surface.points.length - 1]].map((point) => point.matrixTransform(surface.getScreenCTM()));
  return {
    rear: wheels[0], front: wheels[1], gravity: place(truck.figure.querySelector(".gravity")),
    slope: Math.atan2(ends[0].y - ends[1].y, ends[1].x - ends[0].x),
  };
}"""
"""Where things are on the screen, in metres to the right and up, and the slope of the ground [rad]."""

HOUSING = """([number, time, times]) => {
  const select = document.getElementById("times");
  select.value = String(times);
  select.dispatchEvent(new Event("change"));
  window.jounce.set(time);
  const truck = window.jounce.trucks[number];
  const rear = [...truck.figure.querySelectorAll(".housing")]
    .map((element) => element.getAttribute("points").split(" ").map((pair) => pair.split(",").map(Number)))
    .sort((a, b) => a[0][0] - b[0][0])[0];
  const [top, , , bottom] = rear;
  return {
    pinion_up: Math.atan2(top[0] - bottom[0], bottom[1] - top[1]) * -180 / Math.PI,
    caption: truck.figure.querySelector(".enlarged").textContent,
    cell: truck.figure.querySelector("td[data-kind=wind_up][data-axle=rear]").textContent,
  };
}"""
"""How the rear housing is drawn, turned from upright in the picture before it is turned by a hill [deg], and what is said of it."""


def compared(scenario, folder):
    path = folder / "asked.yaml"
    path.write_text(yaml.safe_dump(scenario, sort_keys=False), encoding="utf-8")
    main(["compare", str(path), "--outputs", str(folder), "--no-plots"])
    return folder / "asked"


@pytest.fixture(scope="module")
def climbed(tmp_path_factory):
    """Return the folder of a launch up a hill."""
    return compared(LAUNCH, tmp_path_factory.mktemp("climbed"))


@pytest.fixture(scope="module")
def pushed(tmp_path_factory):
    """Return the folder of the demo's push."""
    folder = tmp_path_factory.mktemp("pushed")
    main(["compare", str(SCENARIOS / "push_on_the_bumper.yaml"), "--outputs", str(folder), "--no-plots"])
    return folder / "push_on_the_bumper"


def number_of(page, name):
    return [text.strip() for text in page.locator("figcaption .name").all_inner_texts()].index(name)


def by_time(path):
    return {round(float(row["time [s]"]), 3): row for row in rows_of(path)}


def along(place, slope):
    """Return a place on the screen along and square to a slope."""
    return place[0] * cos(slope) + place[1] * sin(slope), place[1] * cos(slope) - place[0] * sin(slope)


def test_a_hill_is_drawn_as_steep_as_it_is_with_the_truck_on_it(climbed, opened):
    rows = by_time(climbed / "as_fitted.csv")
    page = opened(url(climbed))
    number = number_of(page, "as fitted")
    stood = page.evaluate(WORLD, [number, 0.0])
    for t in TIMES:
        world = page.evaluate(WORLD, [number, t])
        seen = page.evaluate(SCREEN, number)
        assert seen["slope"] == pytest.approx(radians(CLIMB_DEG), abs=1e-5)
        # Square to the hill, both wheels are as far apart as the run has them; to a tenth of a millimetre of the truck.
        front, rear = (along(seen[axle], seen["slope"])[1] for axle in ("front", "rear"))
        height = {
            axle: float(rows[t][f"wheel height {axle} [mm]"]) / 1e3 + stood[axle]["z"] for axle in ("front", "rear")
        }
        assert front - rear == pytest.approx(height["front"] - height["rear"], abs=2e-4)
        for axle in ("front", "rear"):
            assert world[axle]["length"] == pytest.approx(
                float(rows[t][f"damper {axle} main length [mm]"]) / 1e3, abs=2e-6
            )
    words = page.locator(".motion .note").last.inner_text()
    assert f"{CLIMB_DEG:.1f} deg (14 %) uphill" in words  # tan 8° = 0.1405
    assert page.locator(".level").first.get_attribute("hidden") is None


def test_a_drive_up_a_hill_reads_on_a_desk_and_in_the_dark_on_a_phone(climbed, opened):
    """Contrast and names by the Web Content Accessibility Guidelines 2.1, levels A and AA, as axe-core measures them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe for Playwright is not installed")
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    for width, dark in ((DESK, False), (PHONE, True)):
        page = opened(url(climbed), width=width, dark=dark)
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
        assert page.evaluate(CUT) == []
        assert overlapping(page.evaluate(BOXES)) == []
        violations = axe.Axe().run(page, context=".motion", options=rules).response["violations"]
        assert [(one["id"], [node["html"][:160] for node in one["nodes"]]) for one in violations] == []


def test_the_simulator_draws_the_same_hill(climbed, opened):
    page = opened(url(climbed))
    page.locator("#try:not([hidden])").wait_for()
    turned = page.locator("#try-truck > .turned").get_attribute("transform")
    assert turned.startswith(f"rotate({-CLIMB_DEG:.4f} ")
    assert "uphill 8.0 deg (14 %)" in page.locator("#try-truck .level").text_content()


def test_wind_up_is_drawn_as_many_times_as_large_as_is_said(climbed, opened):
    rows = by_time(climbed / "no_rear_dampers.csv")
    page = opened(url(climbed))
    number = number_of(page, "no rear dampers")
    most = max(
        abs(float(row[f"wind-up {axle} pinion up [deg]"]))
        for name in ("as_fitted", "no_rear_dampers") for row in rows_of(climbed / f"{name}.csv") for axle in ("front", "rear")
    )  # fmt: skip
    # Unasked by as much as leaves it within 25 degrees.
    times = int(page.locator("#times").input_value())
    assert times == max(one for one in (1, 2, 5, 10) if one * most <= 25.0)
    assert f"Wind-up is drawn {times} times as large" in page.locator(".motion .note").last.inner_text()
    largest = 0.0
    for t in TIMES:
        wound = float(rows[t]["wind-up rear pinion up [deg]"])
        true = page.evaluate(HOUSING, [number, t, 1])
        assert true["caption"] == ""
        for factor in (2, 10):
            seen = page.evaluate(HOUSING, [number, t, factor])
            # Corners are written to a hundredth of a unit, some 25 of which lie between them.
            assert seen["pinion_up"] - true["pinion_up"] == pytest.approx((factor - 1) * wound, abs=0.05)
            assert seen["caption"] == f"wind-up drawn {factor} times as large"
            assert float(seen["cell"].replace("\u2212", "-").split()[0]) == pytest.approx(wound, abs=0.0051)
        largest = max(largest, abs(wound))
    assert largest > 2.0


def test_a_push_shows_bare_springs_beside_dampers_and_both_move_as_the_run_did(pushed, opened):
    page = opened(url(pushed))
    assert page.locator("figure.moving:visible figcaption .name").all_inner_texts() == ["bare springs", "as fitted"]
    for name in ("bare springs", "as fitted"):
        rows = by_time(pushed / f"{name.replace(' ', '_')}.csv")
        number = number_of(page, name)
        page.evaluate("window.jounce.set(0)")
        stood = page.evaluate(SCREEN, number)["gravity"][1]
        moved = set()
        for k in range(1, 11):
            t = round(0.496 * k, 3)
            world = page.evaluate(WORLD, [number, t])
            up = page.evaluate(SCREEN, number)["gravity"][1] - stood
            # To the hundredth of a unit that places are written with, 0.06 mm of the truck, and what the browser rounds.
            assert up == pytest.approx(float(rows[t]["bounce up [mm]"]) / 1e3, abs=1.5e-4)
            if name == "as fitted":
                length = float(rows[t]["damper front main length [mm]"]) / 1e3
                assert world["front"]["length"] == pytest.approx(length, abs=2e-6)
            moved.add(round(up, 3))
        assert len(moved) > 3
    assert page.locator("figure.moving:visible").first.locator("g.damper").count() == 0
    # A push goes nowhere: only its time is said.
    assert page.locator("#now").inner_text() == "4.96 s"


def test_a_push_is_drawn_and_said_while_it_lasts(pushed, opened):
    """By the demo's own file: 800 N downwards, full after 1 s, held for 1.5 s; a half of it at half that rise (a cosine's)."""
    page = opened(url(pushed))
    lengths = {}
    for t in (0.0, 0.504, 1.504, 3.0):
        page.evaluate("(t) => window.jounce.set(t)", t)
        arrow = page.locator("figure.moving:visible .push").first
        lengths[t] = 0.0
        if arrow.get_attribute("hidden") is None:
            places = [tuple(map(float, pair.split(","))) for pair in arrow.get_attribute("points").split()]
            # Its point is its lowest: it presses down.
            assert places[0][1] == max(y for _, y in places)
            lengths[t] = places[0][1] - min(y for _, y in places)
    assert lengths[0.0] == lengths[3.0] == 0.0
    assert lengths[0.504] / lengths[1.504] == pytest.approx(0.5 - 0.5 * cos(radians(180.0 * 0.504)), abs=1e-3)
    page.evaluate("window.jounce.set(1.504)")
    assert "pressed down with 800 N (180 lbf)" in page.locator("#now").inner_text().replace("\u00a0", " ")
