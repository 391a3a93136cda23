"""Pulling away on the page: engine and gears filled in, a launch chosen, what it comes to, wrong entries, keyboard alone, a phone."""

import pytest
import yaml

from tests.browser.local import PHONE, add_change, box, drawn, error, ready, typed, until, wait_for_text
from tests.browser.serving import served
from tests.browser.test_local_tries import SHOP_TRUCK

UPHILL = "Pull away: up 8 deg (14 %), firm rock"
TYPED = "Pull away: as typed"
LEVEL = "Pull away: level, firm rock"
ENGINE = {
    "driveline.engine.torque": "230 lbf ft", "driveline.engine.limit": "3900 rpm", "driveline.engine.inertia": "6.6 lb ft^2",
    "driveline.gear": "3.6", "driveline.transfer": "2.4", "rear.shafts.final_drive": "4.3", "rear.shafts.rate": "142 lbf ft/deg",
}  # fmt: skip
WHEELS = {"front.tyre.spin_inertia": "50 lb ft^2", "front.tyre.slip.stiffness": "16"}


@pytest.fixture
def shop(child, tmp_path, opened):
    """Return the page of a truck whose file says nothing of its engine."""
    path = tmp_path / "shop_truck.yaml"
    path.write_text(SHOP_TRUCK, encoding="utf-8")
    return ready(opened, served(child, tmp_path, path)[0])


@pytest.fixture
def hut(child, truck, opened):
    """Return the page of a truck that can pull away."""
    return ready(opened, served(child, truck.parents[1], truck)[0])


def verdict(page):
    """Return what the set-ups come to, once it is said of what was asked last."""
    until(page, "() => document.body.dataset.judged === String(window.lastAsked.run)")
    return page.locator("#verdict").inner_text()


def against_the_guidelines(page):
    """Return what axe-core finds: Web Content Accessibility Guidelines 2.1, levels A and AA, and its own best practice."""
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    return [(one["id"], one["nodes"][0]["html"]) for one in axe.Axe().run(page).response["violations"]]


def away(page, launch):
    drawn(page, lambda: page.select_option("#course", launch))
    return verdict(page)


def test_from_an_empty_engine_to_the_sentence_the_scenario_and_the_report(shop, tmp_path):
    page = shop
    page.click("#tab-try")
    page.select_option("#course", UPHILL)
    page.wait_for_selector("#needs:not([hidden])")
    needs = page.locator("#needs").inner_text()
    assert "Engine: greatest torque; " in needs
    assert "brakes" in needs
    assert page.locator("#verdict").is_hidden()
    # The way there: the step is open, and the first box is the one to type into.
    page.get_by_role("button", name="Fill them in").click()
    assert page.evaluate("document.activeElement.dataset.path") == "driveline.engine.torque"
    for path, text in ENGINE.items():
        typed(page, path, text)
        # Half of it holds nothing up.
        until(page, "() => !document.querySelector('.picture').classList.contains('stale')")
    page.locator("#step-driveline [data-same]").check()
    for path, text in WHEELS.items():
        typed(page, path, text)
    assert box(page, "rear.tyre.spin_inertia").input_value() == "50 lb ft^2"
    page.click("#tab-try")
    until(
        page,
        "() => document.querySelector('#needs').textContent.includes('brakes') && !document.querySelector('#needs').textContent.includes('Engine')",
    )
    # On the level no brake is asked for.
    said = away(page, LEVEL)
    assert "the rear axle" in said
    assert "winds up by" in said
    row = page.locator("#measures tr", has=page.get_by_role("rowheader", name="Rear axle winds up, most (pinion up)"))
    assert float(row.locator("td").first.inner_text().split()[0]) > 1.0
    assert page.locator("#plots h3").first.inner_text() == "Rear axle winds up, pinion up [deg]"
    assert page.locator("#speed").is_hidden()
    change = add_change(page, 1, "rear.dampers.main.count")
    drawn(page, lambda: change.fill("4"))
    assert "Against “As it is”" in verdict(page)
    # A ticket and a tape: what it is said by is mostly estimated.
    assert "numbers of the truck are estimated, and “How sure is that?”" in page.locator("#verdict-rests").inner_text()
    page.click("#save")
    wait_for_text(page, "#state", "Saved")
    page.fill("#scenario-name", "Take-off")
    page.get_by_role("button", name="Save scenario").click()
    page.get_by_role("button", name="Write the report").click()
    page.wait_for_selector("#work-said a, #work-said .error")
    assert "winds up by" in page.locator("#work-said").inner_text()
    run = yaml.safe_load((tmp_path / "take_off.yaml").read_text(encoding="utf-8"))["run"]
    assert run["kind"] == "launch"
    assert run["surface"] == {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}
    assert page.complaints == []


def test_what_was_chosen_is_there_after_a_reload_and_once_the_scenario_is_opened(hut):
    page = hut
    page.click("#tab-try")
    away(page, UPHILL)
    drawn(page, lambda: page.fill("#launch-to_speed", "6 mph"))
    page.reload()
    page.wait_for_selector("#verdict:not([hidden])")
    assert page.locator("#course").input_value() == TYPED
    assert page.locator("#launch-to_speed").input_value() == "6 mph"
    page.fill("#scenario-name", "Up the ramp")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Saved up_the_ramp.yaml")
    with page.expect_navigation():
        page.select_option("#open-scenario", "up_the_ramp.yaml")
    page.wait_for_selector("#verdict:not([hidden])")
    assert page.locator("#course").input_value() == "Pull away: as in up_the_ramp.yaml"
    assert page.locator("#launch-climb").input_value() == "8 deg"
    assert page.locator("#launch-to_speed").input_value() == "6 mph"
    assert [one.inner_text() for one in page.locator("#works button").all()][1:3] == [
        "Try other mounts against wind-up (lean)", "Map where it hops by itself (tramp)",
    ]  # fmt: skip
    # A course takes the launch's boxes and its sentence away.
    drawn(page, lambda: page.select_option("#course", "One speed hump"))
    assert page.locator("#launch").is_hidden()
    assert page.locator("#verdict").is_hidden()
    assert page.locator("#speed").is_visible()
    assert "Upward acceleration" in page.locator("#plots h3").first.inner_text()
    assert page.complaints == []


def test_what_was_typed_of_a_launch_is_there_again_after_a_look_at_a_course(hut, truck):
    page = hut
    page.click("#tab-try")
    away(page, UPHILL)
    # Another hill is still that ground; with another grip it is not firm rock any more.
    drawn(page, lambda: page.fill("#launch-climb", "5 deg"))
    assert page.locator("#course").input_value() == TYPED
    drawn(page, lambda: page.fill("#launch-friction", "0.8"))
    drawn(page, lambda: page.select_option("#course", "One speed hump"))
    away(page, UPHILL)
    assert page.locator("#launch-climb").input_value() == "8 deg"
    away(page, TYPED)
    assert page.locator("#launch-climb").input_value() == "5 deg"
    assert page.locator("#launch-friction").input_value() == "0.8"
    page.reload()
    page.wait_for_selector("#verdict:not([hidden])")
    drawn(page, lambda: page.select_option("#course", "One speed hump"))
    away(page, TYPED)
    assert page.locator("#launch-friction").input_value() == "0.8"
    page.fill("#scenario-name", "Own grip")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Saved own_grip.yaml")
    run = yaml.safe_load((truck.parent / "own_grip.yaml").read_text(encoding="utf-8"))["run"]
    assert run["climb"] == "5 deg"
    assert run["surface"] == {"friction": 0.8, "sliding": 0.62, "peak_at": "13 %"}
    assert page.complaints == []


@pytest.mark.parametrize("width", [1366, PHONE])
def test_a_wrong_entry_is_said_at_its_box_and_the_answers_turn_pale(hut, width):
    page = hut
    page.set_viewport_size({"width": width, "height": 844})
    page.click("#tab-try")
    away(page, UPHILL)
    for key, text, words in (
        ("climb", "50 deg", "steeper than any truck"), ("friction", "", "is needed"), ("sliding", "0.9", "less than “Grip: most”"),
        ("sliding", "0.1", "of these tyres"), ("peak_at", "13 mm", "a percentage"), ("throttle", "0", "more than 0"), ("throttle_rise", "x", "a number with its unit"),
        ("throttle_off_after", "-1 s", "more than 0"), ("brakes_off", "20 s", "10 s"), ("watch", "1000 s", "120 s"), ("to_speed", "8 kg", "not a speed"),
    ):  # fmt: skip
        was = page.locator(f"#launch-{key}").input_value()
        page.fill(f"#launch-{key}", text)
        wait_for_text(page, f"#launch-{key}-error", words)
        assert page.locator(f"#launch-{key}").get_attribute("aria-invalid") == "true"
        assert page.locator("#verdict").get_attribute("class") == "verdict stale"
        assert page.locator("#stale-run").is_visible()
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        drawn(page, lambda key=key, was=was: page.fill(f"#launch-{key}", was))
        assert page.locator(f"#launch-{key}-error").inner_text() == ""
    assert "winds up by" in verdict(page)
    assert page.locator("#verdict").get_attribute("class") == "verdict"
    assert page.complaints == []


def test_each_box_of_the_step_says_what_is_wrong_with_it(shop):
    page = shop
    for path, text, words in (
        ("driveline.engine.torque", "much", "is written as a number with its unit"), ("driveline.engine.limit", "70 rpm", "above idle"),
        ("driveline.engine.idle", "fast", "number with its unit"), ("driveline.engine.inertia", "0 kg m^2", "more than 0"),
        ("driveline.engine.drag", "-3 N m", "less than 0"), ("driveline.gear", "-1", "more than 0"), ("driveline.transfer", "2 mm", "without a unit"),
        ("driveline.centre_torque", "200 N m", "limited slip"), ("rear.shafts.final_drive", "40", "30"), ("rear.shafts.rate", "11 kN", "not an angular rate"),
        ("rear.shafts.damping", "-1 N m s/rad", "less than 0"), ("front.tyre.spin_inertia", "2 kg", "kg"), ("front.tyre.slip.stiffness", "1", "more than 1"),
        ("front.tyre.slip.relaxation_length", "5 m", "1"), ("front.brakes.torque", "3400", "needs a unit"),
    ):  # fmt: skip
        typed(page, path, text)
        own = error(page, path)
        until(page, "own => own.textContent !== ''", own.element_handle())
        assert words in own.inner_text()
        assert "to mend" in page.locator("#step-driveline .count").inner_text()
        typed(page, path, "")
        until(page, "own => own.textContent === ''", own.element_handle())
    # How it is found is one click away, with the range that is usual.
    page.get_by_role("button", name="About: Engine: governed or greatest speed").click()
    assert "Usually 1800 to 8000 rpm" in page.locator("#step-driveline").inner_text()
    assert page.complaints == []


def test_a_launch_by_keyboard_alone(hut):
    page = hut
    page.locator("#tab-measure").focus()
    page.keyboard.press("ArrowRight")
    page.keyboard.press("ArrowRight")
    page.keyboard.press("Tab")  # units
    for _ in range(6):
        if page.evaluate("document.activeElement.id") == "course":
            break
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "course"
    drawn(page, lambda: page.keyboard.type("Pull away: up"))
    assert page.locator("#course").input_value() == UPHILL
    before = verdict(page)
    for _ in range(4):
        if page.evaluate("document.activeElement.id") == "launch-climb":
            break
        page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "launch-climb"
    page.keyboard.press("Control+a")
    drawn(page, lambda: page.keyboard.type("2 deg"))
    assert verdict(page) != before
    assert page.complaints == []


def test_on_a_phone_nothing_runs_out_of_the_page_and_every_box_can_be_read(hut):
    page = hut
    page.set_viewport_size({"width": PHONE, "height": 844})
    page.click("#tab-try")
    away(page, UPHILL)
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
    for one in page.locator("#launch input, #launch select").all():
        place = one.bounding_box()
        assert place["x"] >= 0
        assert place["x"] + place["width"] <= PHONE
        assert place["height"] >= 40
    page.locator("#launch summary").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
    assert against_the_guidelines(page) == []
    page.click("#tab-measure")
    page.locator("#step-driveline summary").click()
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
    assert against_the_guidelines(page) == []


def test_how_sure_a_launch_is(shop):
    page = shop
    page.locator("#step-driveline summary").click()
    page.locator("#step-driveline [data-same]").check()
    for path, text in (ENGINE | WHEELS).items():
        typed(page, path, text)
    page.click("#tab-try")
    away(page, LEVEL)
    change = add_change(page, 1, "rear.dampers.main.count")
    drawn(page, lambda: change.fill("4"))
    drawn(page, lambda: page.fill("#launch-watch", "1 s"))
    page.click("#sure")
    until(page, "() => !document.querySelector('#sure').disabled")
    assert "Rear" in page.locator("#sure-list").inner_text()
    assert page.locator("#sure-said").inner_text().startswith("Of the set-ups")
    assert page.complaints == []
