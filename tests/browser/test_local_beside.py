"""Commands beside the page: of which set-up they are, and what they say when they have ended."""

import pytest

from tests.browser.local import add_change, drawn, ready, typed, until, wait_for_text
from tests.browser.serving import served

SCENARIO = """\
kind: scenario
name: Softer or harder
vehicle: vehicles/hut_supply_truck.yaml
run: {kind: course, course: courses/hut_track.yaml, speed: 20 km/h}
setups: {as it is: , stiff: {front.springs.coil.rate: 45 N/mm}, soft: {front.springs.coil.rate: 30 N/mm}}
tune:
  start: stiff
  move: {Force in front: {kind: scale, path: front.dampers.main.valving, low: 0.5, high: 2}}
  goal: {ride_wk_driver: 1}
  generations: 2
"""


IN_VIEW = """() => {
  const { top, bottom } = (document.querySelector('#work-said p') ?? document.querySelector('#work-said')).getBoundingClientRect();
  return top >= document.querySelector('.moving').getBoundingClientRect().bottom && bottom <= innerHeight;
}"""


@pytest.fixture
def page(child, truck, opened):
    folder = truck.parents[1]
    (folder / "softer.yaml").write_text(SCENARIO, encoding="utf-8")
    page = ready(opened, served(child, folder, folder / "softer.yaml")[0])
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    return page


def test_a_tuning_says_from_which_set_up_and_what_it_comes_to_with_its_report(page):
    start = page.get_by_label("Set-up that is tuned")
    assert start.evaluate("own => own.selectedOptions[0].textContent") == "stiff"
    page.get_by_role("button", name="Run its tuning, from “stiff”").click()
    page.wait_for_selector("#work-said a, #work-said .error")
    text = page.locator("#work-said").inner_text()
    assert "Force in front" in text
    assert "'stiff'" in text
    assert "Open the report" in text
    # No word of the terminal, and nothing out of its box.
    assert not any(word in text for word in ("Wrote", "Next: jounce", "Drawing"))
    for width in (390, 1366):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.locator("#work").evaluate("own => own.scrollWidth <= own.clientWidth")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    with page.context.expect_page() as report:
        page.click("#work-said a")
    report.value.wait_for_load_state()
    assert "Force in front" in report.value.locator("body").inner_text()
    assert page.complaints == []


def test_what_is_tuned_and_ordered_is_what_somebody_works_on(page):
    ordered = page.get_by_label("Set-up that is ordered")
    # The truck as it is has its dampers: nobody orders those.
    assert ordered.input_value() == "soft"
    start = page.get_by_label("Set-up that is tuned")
    page.select_option("#vary-what", "")
    drawn(page, lambda: page.get_by_role("button", name="Add a set-up").click())
    change = add_change(page, 3, "front.dampers.main.count")
    drawn(page, lambda: change.fill("4"))
    page.select_option("#vary-what", "tune")
    assert start.locator("option").all_text_contents() == ["as it is", "stiff", "soft", "Set-up 4"]
    # The file's own start stays chosen: it was read from there.
    assert start.evaluate("own => own.selectedOptions[0].textContent") == "stiff"
    start.select_option(label="Set-up 4")
    page.fill("#scenario-name", "Four of them")
    page.get_by_role("button", name="Save scenario").click()
    page.get_by_role("button", name="Run its tuning, from “Set-up 4”").wait_for()
    assert ordered.input_value() == "Set-up 4"
    # What somebody has chosen stays chosen.
    ordered.select_option("soft")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "is kept as")
    assert ordered.input_value() == "soft"
    assert page.complaints == []


def test_what_is_on_the_page_and_in_no_file_is_asked_about_before_a_command_takes_the_files(page, truck):
    page.set_viewport_size({"width": 1366, "height": 800})
    page.click("#tab-measure")
    typed(page, "wheelbase", "116 in")
    page.click("#tab-try")
    page.get_by_role("button", name="Write the order sheet").click()
    said = page.locator("#work-said")
    assert "not saved: Wheelbase: 116 in." in said.inner_text()
    assert "Set-ups" not in said.inner_text()
    assert page.locator("#work-stop").is_hidden()
    assert page.evaluate(IN_VIEW)
    drawn(page, lambda: page.fill("#load", "100 kg"))
    page.get_by_role("button", name="Write the report").click()
    assert "load are not as softer.yaml has them" in said.inner_text()
    # The files as they are, if that is what somebody wants; or both written first.
    page.get_by_role("button", name="Go on with the files as they are").click()
    page.wait_for_selector("#work-stop:not([hidden])")
    # An answer to the files is not about what the page has now, and says so.
    assert page.locator("#work-old").is_visible()
    page.click("#work-stop")
    assert page.locator("#work-old").is_hidden()
    assert "116 in" not in truck.read_text(encoding="utf-8")
    page.get_by_role("button", name="Write the report").click()
    page.get_by_role("button", name="Save, then go on").click()
    page.wait_for_selector("#work-stop:not([hidden])")
    assert page.locator("#work-old").is_hidden()
    # What is changed after that is not in it.
    page.fill("#load", "110 kg")
    assert page.locator("#work-old").is_visible()
    page.fill("#load", "100 kg")
    assert page.locator("#work-old").is_hidden()
    page.click("#work-stop")
    assert "wheelbase: 116 in" in truck.read_text(encoding="utf-8")
    (saved,) = truck.parents[1].rglob("softer_or_harder_2.yaml")
    assert "100 kg" in saved.read_text(encoding="utf-8")
    assert "Of softer_or_harder_2.yaml." in page.locator("#works").inner_text()
    hours_of_track(page, truck)
    assert page.complaints == []


def hours_of_track(page, truck):
    """Ask whether dampers fade over a kilometre: what is wrong is said at its box, and what is not saved is saved first."""
    page.locator("#hours > summary").press("Enter")
    page.get_by_label("Distance", exact=True).fill("1")
    wait_for_text(page, "#hours-far-error", "needs a unit")
    page.click("#hours-go")
    assert page.evaluate("document.activeElement.id") == "hours-far"
    page.get_by_label("Distance", exact=True).fill("1 km")
    page.get_by_label("Rest at the end").fill("2 min")
    wait_for_text(page, "#hours-told", "parked 2 min")
    page.click("#hours-go")
    assert "in no file yet" in page.locator("#hours-said").inner_text()
    page.locator("#hours-said button").press("Enter")
    page.wait_for_selector("#hours-stop:not([hidden])")
    page.click("#hours-stop")
    assert page.locator("#hours-said").inner_text().startswith("Stopped.")
    # It is as its file has it: nothing is asked again.
    page.click("#hours-go")
    page.wait_for_selector("#hours-said a, #hours-said .error")
    said = page.locator("#hours-said").inner_text()
    assert said.startswith("Hours of track: hours_of_track.yaml")
    assert "of the force on its sheet left when hottest" in said
    assert page.locator("#hours-old").is_hidden()
    page.get_by_label("Outside temperature").fill("40 °C")
    assert page.locator("#hours-old").is_visible()
    # Another report is not about that box.
    assert page.locator("#work-old").is_hidden()
    assert "distance: 1 km" in (truck.parent / "hours_of_track.yaml").read_text(encoding="utf-8")
    for width in (390, 1366):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.locator("#hours").evaluate("own => own.scrollWidth <= own.clientWidth")
        assert page.evaluate("document.documentElement.scrollWidth") <= width


LAUNCH = """\
kind: scenario
name: Away
vehicle: vehicles/hut_supply_truck.yaml
run: {kind: launch, surface: {name: firm rock, friction: 0.85, sliding: 0.62, peak_at: 13 %}, throttle_rise: 0.25 s, watch: 2 s}
setups: {as it is: , soft: {rear.guide.wind_up.rate: 19 kN m/rad}}
"""


@pytest.fixture
def launch(child, truck, opened):
    folder = truck.parents[1]
    (folder / "away.yaml").write_text(LAUNCH, encoding="utf-8")
    page = ready(opened, served(child, folder, folder / "away.yaml")[0])
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    return page


@pytest.mark.parametrize(
    ("button", "picture", "tables", "words"),
    [
        ("Try other mounts against wind-up (lean)", "leans.png", "leans.csv", "lean the rear dampers"),
        # The same path as of the one before, and a study of a quarter of a minute.
        pytest.param(
            "Map where it hops by itself (tramp)", "tramp.png", "tramp.csv", "Lean alone", marks=pytest.mark.hours
        ),
    ],
)
def test_lean_and_tramp_run_beside_and_leave_their_finding_picture_and_tables(launch, button, picture, tables, words):
    page = launch
    page.set_viewport_size({"width": 1366, "height": 800})
    page.get_by_role("button", name=button).click()
    # What it is at, and what it comes to, are beneath its button: the page goes there by itself.
    assert page.evaluate(IN_VIEW)
    until(
        page,
        "() => document.querySelector('#work-said img, #work-said .error') !== null && document.querySelector('#work-stop').hidden",
    )
    assert page.evaluate(IN_VIEW)
    assert words in page.locator("#work-said").inner_text()
    # Which command it is of stands above, as another may be looked for by then.
    assert page.locator("#work-said p").first.inner_text().startswith(f"{button}: away.yaml")
    shown = page.locator("#work-said img")
    until(page, "() => document.querySelector('#work-said img').naturalWidth > 300")
    assert shown.get_attribute("src").endswith(f"/{picture}")
    assert len(shown.get_attribute("alt")) > 30
    table = page.locator("#work-said a", has_text=tables).first.get_attribute("href")
    answer = page.request.get(f"{page.url.partition('#')[0]}{table}")
    assert answer.ok
    assert answer.text().startswith("scenario," if "leans" in tables else "moved,")
    for width in (390, 1366):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.locator("#work").evaluate("own => own.scrollWidth <= own.clientWidth")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.complaints == []


def test_lean_is_stopped_in_the_middle_and_starts_again(launch):
    page = launch
    page.get_by_role("button", name="Try other mounts against wind-up (lean)").click()
    page.wait_for_selector("#work-stop:not([hidden])")
    page.click("#work-stop")
    assert page.locator("#work-said").inner_text() == "Stopped."
    page.wait_for_timeout(1500)
    assert page.locator("#work-said").inner_text() == "Stopped."
    assert page.locator("#notice").is_hidden()
    assert page.locator("#work-said img").count() == 0
    # The page goes on, and so does whatever is started then.
    drawn(page, lambda: page.fill("#launch-watch", "1 s"))
    page.get_by_role("button", name="Map where it hops by itself (tramp)").click()
    # Its file has another launch than the page by now.
    page.get_by_role("button", name="Go on with the files as they are").click()
    assert page.locator("#work-stop").is_visible()
    page.click("#work-stop")
    assert page.complaints == []
