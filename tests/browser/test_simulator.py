"""The simulator of a report: in a browser the kernel runs as here, and what is chosen and slid is what is drawn."""

import base64
import re

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.describe.runs.changed import changed_run
from sim.show.pages.simulator.calls import call_of
from tests.browser.local import numbers_drawn
from tests.browser.test_report import SCENARIOS, url
from tests.show.pages.in_node import SHARE, apart, native

STEADY = "#try:not([hidden])"
"""Shown once the kernel is ready."""


@pytest.fixture(scope="module")
def reports(tmp_path_factory):
    """Return a function that writes the report of a demo scenario, and returns its folder."""
    outputs = tmp_path_factory.mktemp("outputs")
    written = {}

    def report(name):
        if name not in written:
            main(["compare", str(SCENARIOS / f"{name}.yaml"), "--outputs", str(outputs), "--no-plots"])
            written[name] = outputs / name
        return written[name]

    return report


@pytest.fixture
def tried(reports, opened):
    """Open the report of a scenario, and wait for its simulator."""

    def open_report(name, **more):
        page = opened(url(reports(name)), **more)
        page.locator(STEADY).wait_for()
        return page

    return open_report


TRACED = """(number) => {
  const { packed, every, numbers, outputs } = window.jounceTried.tried.traced(number, false, 0.001);
  const columns = packed.given.out.out;
  const bytes = new Uint8Array(numbers.slice(0, outputs * columns).buffer);
  let text = "";
  for (let i = 0; i < bytes.length; i += 32768) text += String.fromCharCode(...bytes.subarray(i, i + 32768));
  return [btoa(text), columns, every];
}"""
"""What the kernel writes of a set-up as it is now, at each millisecond."""


def traced(page, number):
    """Return what the kernel writes of a set-up in the browser (outputs, channels), and steps an output."""
    text, columns, every = page.evaluate(TRACED, number)
    return np.frombuffer(base64.b64decode(text)).reshape(-1, columns), every


def here(vehicle, run, parts):
    return native(call_of(vehicle, run, parts))


@pytest.mark.parametrize("name", ["two_or_four", "brake_from_speed", "does_a_block_hop"])
def test_every_set_up_runs_as_here(tried, name):
    scenario = sim.load(SCENARIOS / f"{name}.yaml")
    page = tried(name)
    for number, vehicle in enumerate(scenario.setups.values()):
        own, parts = traced(page, number)
        assert apart(here(vehicle, scenario.run, parts), own).max() < SHARE


def slid(page, words, axle, value):
    """Move a slider by what is written beside it."""
    slider = page.locator("fieldset", has_text=axle).locator("label", has_text=words).locator("input")
    slider.evaluate("(input, value) => { input.value = value; input.dispatchEvent(new Event('input')); }", str(value))


def settled(page):
    """Wait until what was moved last is drawn."""
    page.evaluate("() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def test_what_is_slid_and_chosen_is_the_same_change_in_the_file(tried):
    scenario = sim.load(SCENARIOS / "two_or_four.yaml")
    number = list(scenario.setups).index("two front")
    page = tried("two_or_four")
    page.locator("#try-setup").select_option(label="two front")
    slid(page, "Compression, up to the knee", "Front", 0.5)
    slid(page, "Rebound, above the knee", "Front", 1.5)
    slid(page, "Rebound, up to the knee", "Rear", 2.0)
    settled(page)
    law = {
        "front.dampers.main.valving": {
            "kind": "knee",
            "compression": {"low": "0.95 kN s/m", "knee": "0.12 m/s", "high": "0.9 kN s/m"},
            "rebound": {"low": "5.2 kN s/m", "knee": "0.12 m/s", "high": "2.85 kN s/m"},
        },
        "rear.dampers.main.valving": {
            "kind": "knee",
            "compression": {"low": "1.7 kN s/m", "knee": "0.13 m/s", "high": "0.8 kN s/m"},
            "rebound": {"low": "8.4 kN s/m", "knee": "0.13 m/s", "high": "1.7 kN s/m"},
        },
    }
    vehicle = scenario.setups["two front"].changed(law)
    own, parts = traced(page, number)
    assert apart(here(vehicle, scenario.run, parts), own).max() < SHARE
    page.locator("fieldset", has_text="Front").locator("select").select_option("4")
    page.locator("#try-way").select_option(index=2)
    faster = changed_run(scenario.run, "speed", "32.5 km/h")
    own, parts = traced(page, number)
    assert apart(here(vehicle.changed({"front.dampers.main.count": 4}), faster, parts), own).max() < SHARE


def test_what_is_taken_from_compression_is_put_on_rebound(tried):
    """At the knee both together push as before: half of the lesser side's force has changed sides."""
    page = tried("two_or_four")
    page.locator("#try-setup").select_option(label="two front")
    slid(page, "From compression to rebound", "Front", 0.5)
    settled(page)
    factors = page.evaluate("() => window.jounceTried.tried.factors(window.jounceTried.changed, 0)")
    # 1.9 and 5.2 kN s/m at 0.12 m/s.
    compression, rebound = 228.0, 624.0
    assert factors == pytest.approx([0.5, 0.5, (rebound + 114.0) / rebound, (rebound + 114.0) / rebound])
    assert factors[0] * compression + factors[2] * rebound == pytest.approx(compression + rebound)


def test_what_is_drawn_is_what_was_run(tried):
    page = tried("two_or_four")
    table = page.locator("#try-peaks tbody tr")
    assert table.count() == 4
    setups = list(sim.load(SCENARIOS / "two_or_four.yaml").setups)
    number = setups.index("two front")
    before = table.nth(number).inner_text()
    own, _ = traced(page, number)
    most = own[::4, 3].max() * 1e3  # jounce of the front axle, at each fourth millisecond
    assert f"{most:.1f}" in before.replace("\u00a0", " ")
    assert page.locator(".try .before").is_hidden()
    slid(page, "Compression, above the knee", "Front", 2.0)
    settled(page)
    assert table.nth(number).inner_text() != before
    assert page.locator(".try .before").is_visible()
    assert page.complaints == []
    page.locator("#try-reset").click()
    settled(page)
    assert table.nth(number).inner_text() == before
    assert page.locator(".try .before").is_hidden()


def test_numbers_beside_axes_have_minus_signs(tried):
    """Jounce swings about where the truck stands, so that some are negative; none is written with a hyphen."""
    page = tried("two_or_four")
    texts = numbers_drawn(page, lambda: slid(page, "Compression, above the knee", "Front", 2.0))
    assert any(re.fullmatch("−[0-9.]+", text) for text in texts)
    assert not [text for text in texts if "-" in text]
    assert any(re.fullmatch("[0-9.]+ s", text) for text in texts)


def test_the_readings_beside_sliders_are_forces_of_the_file(tried):
    page = tried("two_or_four")
    page.locator("#try-setup").select_option(label="two front")
    label = page.locator("fieldset", has_text="Front").locator("label", has_text="Rebound, above the knee")
    # 5.2 kN s/m up to 0.12 m/s and 1.9 kN s/m beyond it: 624 N and 722 N at half a metre a second.
    assert "1346 N" in label.inner_text().replace("\u00a0", " ")
    page.locator("#units-inch").check()
    assert "303 lbf at 19.7 in/s" in label.inner_text().replace("\u00a0", " ")
    assert "mm" not in page.locator("#try-peaks").inner_text()


def test_an_axle_without_such_a_damper_has_no_plot(tried):
    """Only the front axle of this scenario's set-ups has a second set of dampers."""
    page = tried("four_each_how")
    page.locator("#try-drawn").select_option(label="damper forces “second”")
    assert page.locator("#try-plots > div:visible h3").all_inner_texts() == [
        "Front damper, force of one, compression up [N] by time [s]"
    ]
    page.locator("#try-drawn").select_option(label="damper forces “main”")
    assert page.locator("#try-plots > div:visible").count() == 2
    assert page.complaints == []


def test_it_says_what_its_runs_leave_out(tried):
    page = tried("two_or_four")
    page.locator(".simulator summary").click()
    words = page.locator(".simulator details").inner_text()
    for left in ("verdict", "numerical error", "gas bubbles", "hours of track", "Flags"):
        assert re.search(left, words, re.IGNORECASE), left


def test_without_webassembly_the_rest_is_whole(reports, browser):
    """A browser that has none says so in its place."""
    context = browser.new_context()
    page = context.new_page()
    page.add_init_script("delete window.WebAssembly")
    page.goto(url(reports("two_or_four")))
    page.locator("#try-state", has_text="cannot run").wait_for()
    assert page.locator("#try").is_hidden()
    assert page.locator("#controls").is_visible()
    context.close()


LIMITED = """(() => {
  const Whole = WebAssembly.Memory;
  WebAssembly.Memory = function (limits) { return new Whole({ ...limits, maximum: PAGES }); };
})()"""
"""Gives a page so many pages of 64 kB and no more, as a browser does that has none left: it then refuses by itself."""


def limited(browser, address, pages):
    page = browser.new_page()
    page.complaints = []
    page.on("pageerror", lambda error: page.complaints.append(str(error)))
    page.add_init_script(LIMITED.replace("PAGES", str(pages)))
    page.goto(address)
    return page


def test_runs_that_memory_has_no_room_for_are_said_to_be_so(reports, browser):
    page = limited(browser, url(reports("two_or_four")), 4)
    page.locator("#try-state", has_text="memory has no room").wait_for()
    assert "shorter course" in page.locator("#try-state").inner_text()
    assert page.locator("#try").is_hidden()
    assert page.locator("#controls").is_visible()
    assert page.complaints == []
    page.close()


def test_a_longer_run_that_memory_has_no_room_for_leaves_what_was_drawn(tried, reports, browser):
    fits = tried("two_or_four").evaluate("window.jounceTried.tried.kernel.memory.buffer.byteLength / 65536")
    page = limited(browser, url(reports("two_or_four")), int(fits))
    page.locator(STEADY).wait_for()
    before = page.locator("#try-peaks").inner_text()
    # Three quarters of the speed: a third more of time.
    page.locator("#try-way").select_option(index=1)
    page.locator("#try-state", has_text="memory has no room").wait_for()
    assert page.locator("#try-peaks").inner_text() == before
    page.locator("#try-way").select_option(index=2)
    page.locator("#try-state", has_text="run and drawn").wait_for()
    assert page.locator("#try-peaks").inner_text() != before
    assert page.complaints == []
    page.close()
