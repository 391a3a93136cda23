"""The report in a browser: it opens alone, reads at any width, moves as the run did, and prints."""

import re
from csv import DictReader
from pathlib import Path

import pytest
import yaml

from sim.cli import main

SCENARIOS = Path(__file__).parents[2] / "scenarios"
DESK, PHONE = 1200, 390
LOOKS = [(DESK, False), (DESK, True), (PHONE, False), (PHONE, True)]
ODD = {
    "<b>bold</b> & 'single' \"double\"": {},
    "two\nlines </script><script>window.broken = 1</script>": {"front.dampers.main.count": 4},
}
"""Names that a page must show as they are written."""

# Text that lies on other text by more than this is not read [px].
TOUCHING = 2.0

BOXES = """() => {
  const boxes = [];
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (!node.textContent.trim() || node.parentElement.closest("svg, script, style, noscript, .skip, details:not([open]) > :not(summary)")) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    for (const box of range.getClientRects()) {
      if (box.width > 0 && box.height > 0) boxes.push([box.left, box.top, box.right, box.bottom, node.textContent.trim().slice(0, 40)]);
    }
  }
  return boxes;
}"""

CUT = """() => [...document.querySelectorAll("body *")].filter((element) => {
  const style = getComputedStyle(element);
  const hides = (way) => ["hidden", "clip"].includes(way);
  return !element.closest("svg, pre") && ((hides(style.overflowX) && element.scrollWidth > element.clientWidth + 1)
    || (hides(style.overflowY) && element.scrollHeight > element.clientHeight + 1));
}).map((element) => element.outerHTML.slice(0, 120))"""


@pytest.fixture(scope="module")
def demo(tmp_path_factory):
    """Return the folder of the demo's comparison."""
    outputs = tmp_path_factory.mktemp("outputs")
    main(["compare", str(SCENARIOS / "two_or_four.yaml"), "--outputs", str(outputs)])
    return outputs / "two_or_four"


@pytest.fixture(scope="module")
def odd(tmp_path_factory):
    """Return the folder of a comparison whose names and question are full of signs that mean something in a page."""
    folder = tmp_path_factory.mktemp("odd")
    scenario = {
        "kind": "scenario",
        "name": "Push <i>it</i>",
        "question": 'Is "one" < two & \'more\' <img src=x onerror="window.broken=1">?',
        "vehicle": str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"),
        "run": {"kind": "push", "over": "front", "force": "500 N"},
        "setups": ODD,
    }
    (folder / "odd.yaml").write_text(yaml.safe_dump(scenario, allow_unicode=True), encoding="utf-8")
    main(["compare", str(folder / "odd.yaml"), "--outputs", str(folder / "outputs"), "--no-plots"])
    return folder / "outputs" / "odd"


def rows_of(path):
    with path.open(encoding="utf-8") as file:
        return list(DictReader(file))


def url(folder):
    return (folder / "report.html").as_uri()


def test_it_opens_with_one_request_and_without_a_complaint(demo, opened):
    page = opened(url(demo))
    assert page.requests == [url(demo)]
    assert page.complaints == []


def test_it_is_small(demo):
    assert (demo / "report.html").stat().st_size < 2e6


@pytest.mark.parametrize(("width", "dark"), LOOKS)
def test_no_text_is_cut_or_lies_on_other_text(demo, odd, opened, width, dark):
    for folder in (demo, odd):
        page = opened(url(folder), width=width, dark=dark)
        assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") <= 0
        assert page.evaluate(CUT) == []
        boxes = page.evaluate(BOXES)
        assert len(boxes) > 50
        assert overlapping(boxes) == []


def overlapping(boxes):
    """Return the texts of boxes that lie on one another."""
    found = []
    for number, (left, top, right, bottom, text) in enumerate(boxes):
        for other in boxes[number + 1 :]:
            across = min(right, other[2]) - max(left, other[0])
            down = min(bottom, other[3]) - max(top, other[1])
            if across > TOUCHING and down > TOUCHING:
                found.append((text, other[4]))
    return found


HINTS = """() => [...document.querySelectorAll('.wide')].map((box) => {
  const line = box.previousElementSibling;
  const said = line?.classList.contains('sideways') && !line.hidden && line.getClientRects().length > 0 ? line.textContent : '';
  return [box.getAttribute('aria-label'), box.scrollWidth > box.clientWidth + 1, said];
})"""


def test_a_table_wider_than_the_page_says_that_it_can_be_moved(demo, opened):
    for width in (PHONE, DESK):
        page = opened(url(demo), width=width)
        found = page.evaluate(HINTS)
        assert len(found) > 3
        for name, wider, said in found:
            assert bool(said) == wider, name
        # Of four columns of words, which no phone has room for.
        (traded,) = [said for name, _, said in found if name == "What is traded"]
        assert ("More to the right" in traded) == (width == PHONE)
        page.emulate_media(media="print")
        assert page.locator(".sideways:visible").count() == 0


def test_a_phone_reads_what_each_plot_says_whole_and_once(demo, opened):
    page = opened(url(demo), width=PHONE)
    for figure in page.locator(".picture").all():
        said = figure.locator("figcaption")
        box = said.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= PHONE
        lines = figure.locator("text.said")
        assert said.inner_text() == " ".join(lines.all_text_contents())
        assert not any(line.is_visible() for line in lines.all())
    page.set_viewport_size({"width": DESK, "height": 900})
    assert page.locator(".picture figcaption:visible").count() == 0
    assert page.locator("text.said").first.is_visible()


# Colours are of the light, names and order of the width: two of four have both.
@pytest.mark.parametrize(("width", "dark"), [(DESK, False), (PHONE, True)])
def test_contrast_and_names_for_screen_readers_are_those_of_wcag_aa(demo, opened, width, dark):
    """Web Content Accessibility Guidelines 2.1, levels A and AA, as axe-core measures them."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe for Playwright is not installed")
    page = opened(url(demo), width=width, dark=dark)
    rules = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa"]}
    violations = axe.Axe().run(page, options=rules).response["violations"]
    assert [(one["id"], [node["html"][:160] for node in one["nodes"]]) for one in violations] == []


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_it_prints_to_few_pages(demo, opened, paper):
    page = opened(url(demo))
    pdf = page.pdf(format=paper, print_background=True)
    pages = len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
    plots = page.locator(".picture").count()
    # Two plots to a page, three pages of answer, trucks and figures, and one of cautions at the end; one more for breaks.
    assert plots / 2 + 2 <= pages <= -(-plots // 2) + 5


def test_paper_holds_every_table_and_plot_whole(demo, opened):
    page = opened(url(demo), width=700)  # about the width of paper at 96 dots an inch, less its margins
    page.emulate_media(media="print")
    assert page.evaluate(CUT) == []
    assert overlapping(page.evaluate(BOXES)) == []
    wide = page.evaluate("[...document.querySelectorAll('table, .plot')].map((e) => e.getBoundingClientRect().right)")
    assert max(wide) <= 700


def test_the_truck_moves_as_the_run_did(demo, opened):
    """At ten times, heights of wheels and lengths of dampers against the CSV beside the page."""
    rows = {round(float(row["time [s]"]), 3): row for row in rows_of(demo / "two_front.csv")}
    page = opened(url(demo))
    number = [text.strip() for text in page.locator("figure.moving figcaption .name").all_inner_texts()].index(
        "two front"
    )
    seen = {t: page.evaluate(WORLD, [number, t]) for t in (0.0, *(round(1.112 * k, 3) for k in range(1, 11)))}
    drawn = {t: page.evaluate(DRAWN, number) for t in seen if page.evaluate(WORLD, [number, t])}
    stood = seen[0.0]
    for t in list(seen)[1:]:
        for axle in ("front", "rear"):
            height = float(rows[t][f"wheel height {axle} [mm]"]) / 1e3
            assert seen[t][axle]["z"] - stood[axle]["z"] == pytest.approx(height, abs=2e-6)
            length = float(rows[t][f"damper {axle} main length [mm]"]) / 1e3
            assert seen[t][axle]["length"] == pytest.approx(length, abs=2e-6)
            assert seen[t][axle]["off"] == (float(rows[t][f"tyre load {axle} [N]"]) == 0.0)
        # As drawn: both wheels, from pixels of the picture to metres, to a tenth of a millimetre.
        apart = (drawn[t]["front"][1] - drawn[t]["rear"][1]) / drawn[t]["scale"]
        assert apart == pytest.approx(seen[t]["rear"]["z"] - seen[t]["front"]["z"], abs=1e-4)


WORLD = """([number, time]) => {
  window.jounce.set(time);
  const truck = window.jounce.trucks[number];
  truck.figure.hidden = false;
  const world = truck.view.draw(truck.draw(time));
  return Object.fromEntries(Object.entries(world.axles).map(([name, axle]) => [name, {
    x: axle.centre[0], z: axle.centre[1], off: axle.off_ground,
    length: axle.lines.find((own) => own.line.role === "damper")?.length_m,
  }]));
}"""

DRAWN = """(number) => {
  const truck = window.jounce.trucks[number];
  const place = (wheel) => wheel.getAttribute("transform").match(/-?[0-9.]+/g).map(Number);
  const [rear, front] = [...truck.figure.querySelectorAll("g.wheel")].map(place).sort((a, b) => a[0] - b[0]);
  return { front, rear, scale: 1000 / truck.view.width };
}"""


def test_the_cursor_of_the_plots_follows(demo, opened):
    page = opened(url(demo))
    page.evaluate("window.jounce.set(6)")
    places = page.evaluate("""() => [...document.querySelectorAll("rect.along")].map((panel) => {
      const cursor = panel.nextElementSibling;
      const share = (Number(cursor.getAttribute("x1")) - Number(panel.getAttribute("x"))) / Number(panel.getAttribute("width"));
      return [panel.dataset.quantity, Number(panel.dataset.low) + share * (Number(panel.dataset.high) - Number(panel.dataset.low))];
    })""")
    assert {quantity for quantity, _ in places} == {"time", "distance"}
    # Of the first set-up, to the hundredths of a pixel that a cursor's place is written with.
    distance = next(
        float(row["distance [m]"]) for row in rows_of(demo / "bare_springs.csv") if row["time [s]"] == "6.0000"
    )
    for quantity, place in places:
        assert place == pytest.approx(6.0 if quantity == "time" else distance, abs=0.01)


def test_the_keyboard_alone_plays_steps_and_changes_units(demo, opened):
    page = opened(url(demo))
    page.locator("#time").focus()
    page.keyboard.press("ArrowRight")
    assert page.evaluate("window.jounce.time") == pytest.approx(0.008)
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "ahead"
    page.keyboard.press("Enter")
    assert page.evaluate("window.jounce.time") == pytest.approx(0.016)
    page.locator("#play").focus()
    page.keyboard.press("Space")
    page.wait_for_function("() => window.jounce.time > 0.05")
    page.keyboard.press("Space")
    assert page.locator("#play").inner_text() == "Play"
    page.locator("#units-both").focus()
    page.keyboard.press("ArrowLeft")
    assert page.locator("#units-inch").is_checked()
    assert page.locator(".metric").first.is_hidden()
    assert " mm" not in page.locator("figure.moving:visible table").first.inner_text().replace("\u00a0", " ")
    page.keyboard.press("ArrowLeft")
    assert page.locator(".inch").first.is_hidden()
    assert "(" not in page.locator("figure.moving:visible td[data-kind=stop]").first.inner_text()


def test_names_are_shown_as_they_are_written(odd, opened):
    page = opened(url(odd))
    assert page.complaints == []
    assert page.title() == 'Is "one" < two & \'more\' <img src=x onerror="window.broken=1">?'
    assert page.locator("h1").inner_text() == page.title()
    names = page.locator("figure.moving figcaption .name").all_text_contents()
    assert names == list(ODD)
    assert page.evaluate("window.broken") is None
    assert page.locator("h1 img, .name b, .name script").count() == 0


def test_a_strict_policy_lets_nothing_else_run(demo, opened):
    page = opened(url(demo))
    policy = page.locator("meta[http-equiv=Content-Security-Policy]").get_attribute("content")
    assert "default-src 'none'" in policy
    # The kernel of the simulator is compiled, which is the one thing besides the page's own script.
    assert "unsafe" not in policy.replace("'wasm-unsafe-eval'", "")
    assert "http" not in policy
    page.evaluate("""() => {
      const script = document.createElement("script");
      script.textContent = "window.broken = 1";
      document.body.append(script);
      const button = document.createElement("button");
      button.setAttribute("onclick", "window.broken = 2");
      document.body.append(button);
      button.click();
    }""")
    assert page.evaluate("window.broken") is None
    assert (demo / "report.html").read_text(encoding="utf-8").count(' style="') == 0


def test_without_scripts_it_still_reads(demo, opened):
    page = opened(url(demo), java_script_enabled=False)
    assert page.locator(".verdict").inner_text().startswith("Against “two front”")
    assert page.locator("#units-inch").is_visible()
    assert page.locator(".picture").count() > 5
    assert page.locator("#controls").is_hidden()
