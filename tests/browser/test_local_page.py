"""The page of `jounce open` in a browser: from a box to the file, from a slider to the picture."""

import re
import shutil

import pytest

import sim
from sim.describe.files.reader import read
from tests.browser.local import (
    PATIENCE_MS,
    PHONE,
    add_change,
    box,
    drawn,
    error,
    number,
    numbers_drawn,
    ready,
    tried,
    typed,
    until,
    wait_for_text,
)
from tests.browser.serving import SCENARIOS, served


def test_what_is_typed_is_seen_standing_at_once_and_saved_to_the_letter(page, truck):
    before = truck.read_text(encoding="utf-8")
    load = number(page, "Load on the ground", "rear").text_content()
    typed(page, "body.mass", "4000 lb")
    until(
        page, "load => ![...document.querySelectorAll('#numbers td')].some((cell) => cell.textContent === load)", load
    )
    # 1 lb is 0.45359237 kg by definition; the sprung mass is the body with the driver of 85 kg and the dampers' rods, 1.0 and 0.9 kg.
    whole = 4000 * 0.45359237 + 85 + 2 * 1.0 + 2 * 0.9
    assert f"{whole:.0f} kg" in page.locator("#whole").text_content()
    typed(page, "front.tyre.radius", '15 3/4"')
    page.keyboard.press("Control+s")
    wait_for_text(page, "#state", "Saved hut_supply_truck.yaml. What was there is kept as")
    after = truck.read_text(encoding="utf-8")
    assert after == before.replace("mass: 1640 kg", "mass: 4000 lb").replace("radius: 402 mm", 'radius: 15 3/4"', 1)
    copies = [path for path in truck.parent.iterdir() if "_before_" in path.name]
    assert [path.read_text(encoding="utf-8") for path in copies] == [before]
    assert page.locator("#save").is_disabled()


def test_a_key_without_a_box_is_said_in_its_step_and_can_be_taken_out(child, tmp_path, opened):
    truck = tmp_path / "shop.yaml"
    truck.write_text(
        "kind: vehicle\nname: Shop\nweighed: {front: 2450 lb, rear: 1780 lb}\nwheelbase: 92 in\n"
        "front: {springs: {pack: {kind: leaf_pack}}, guide: {pivot: {behind_front_axle: 36 in}}}\nrear: {springs: {pack: {kind: leaf_pack}}}\n",
        encoding="utf-8",
    )
    page = opened(served(child, tmp_path, truck)[0])
    said = page.locator(".astray")
    said.wait_for(state="attached", timeout=PATIENCE_MS)
    step = page.locator(".step", has=said)
    assert step.locator("h2").text_content() == "What locates the axles"
    assert step.locator(".count").text_content() == "1 to mend"
    step.evaluate("own => { own.open = true; }")
    assert "front.guide.pivot" in said.text_content()
    said.get_by_role("button").click()
    page.wait_for_selector("#numbers tbody tr", state="attached", timeout=PATIENCE_MS)
    assert said.count() == 0
    page.click("#save")
    wait_for_text(page, "#state", "Saved shop.yaml")
    assert "pivot" not in truck.read_text(encoding="utf-8")


@pytest.mark.hours  # every box, one after the other
def test_every_box_says_what_is_wrong_with_what_is_typed(page):
    paths = page.locator("#form input[data-path]").evaluate_all("boxes => boxes.map((box) => box.dataset.path)")
    assert len(paths) > 80
    for path in paths:
        if path in ("name", "note"):
            continue
        own = box(page, path)
        was = own.input_value()
        own.evaluate("box => { box.closest('details').open = true; }")
        own.fill("12 parrots")
        until(
            page,
            "path => document.querySelector(`[data-path=\"${CSS.escape(path)}\"]`).closest('.cell').classList.contains('wrong')",
            path,
        )
        assert error(page, path).text_content(), path
        assert own.get_attribute("aria-invalid") == "true"
        own.fill(was)
        until(page, "() => !document.querySelector('#form .wrong')")


def test_a_number_without_its_unit_and_a_missing_one_are_said_at_their_boxes(page):
    typed(page, "front.tyre.rate", "265")
    typed(page, "wheelbase", "")
    until(page, "() => document.querySelectorAll('#form .wrong').length === 2")
    assert "needs a unit" in error(page, "front.tyre.rate").text_content()
    assert "missing" in error(page, "wheelbase").text_content()
    assert page.locator("#step-tyres .count").text_content() == "1 to mend"
    assert "stale" in page.locator(".picture").get_attribute("class")


def test_a_damper_too_short_for_its_mounts_is_seen_at_once(page):
    typed(page, "front.dampers.main.length_extended", "20 in")
    page.wait_for_selector("#refused:not([hidden])")
    assert "The front damper would be" in page.locator("#refused").text_content()


def test_set_ups_run_again_at_every_move_and_the_last_one_counts(page):
    tried(page)
    slope = "front.dampers.main.valving.rebound.low"
    change = add_change(page, 1, slope)
    assert change.input_value() == "5.2 kN s/m"
    cells = page.locator("#measures tbody tr", has=page.get_by_role("rowheader", name="Nose up, most")).locator("td")
    assert cells.nth(0).text_content() == cells.nth(1).text_content()
    drawn(page, lambda: change.fill("12 kN s/m"))
    assert cells.nth(0).text_content() != cells.nth(1).text_content()
    # As fast as a hand can, then a wait for the picture of the last one.
    slide = page.locator("#cards .card").nth(1).locator('.change input[type="range"]')
    last = slide.evaluate("""slide => {
      for (let share = 0; share <= 60; share += 1) {
        slide.value = Number(slide.max) * share / 60;
        slide.dispatchEvent(new Event("input", { bubbles: true }));
      }
      return document.querySelector('[data-change]').value;
    }""")  # fmt: skip
    until(page, "() => Number(document.body.dataset.drawn) === window.lastAsked?.run")
    assert change.input_value() == last
    curve = page.locator("#cards .card").nth(1).locator(".handle").nth(2)
    knee = float(re.search(r"([\d.]+) N ", curve.get_attribute("aria-valuetext"))[1])
    assert knee == pytest.approx(float(last.split()[0]) * 1e3 * 0.12, rel=0.01)


def test_a_wrong_change_is_said_at_its_set_up_and_the_other_goes_on(page):
    tried(page)
    change = add_change(page, 1, "front.dampers.main.count")
    drawn(page, lambda: change.fill("four"))
    wait_for_text(page, "#cards .card:nth-child(2) .error", "Front dampers: how many on the axle")
    assert page.locator("#cards .card").nth(0).locator(".error").text_content() == ""
    page.fill("#speed", "30")
    wait_for_text(page, "#asked-error", "needs a unit")
    drawn(page, lambda: page.fill("#speed", "20 mph"))
    assert page.locator("#asked-error").text_content() == ""


def test_a_curve_is_pulled_by_pointer_and_written_into_its_set_up(page):
    tried(page)
    handle = page.locator("#cards .card").nth(1).locator(".curve").first.locator(".handle").nth(1)
    handle.scroll_into_view_if_needed()
    place = handle.bounding_box()
    x, y = place["x"] + place["width"] / 2, place["y"] + place["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    drawn(page, lambda: page.mouse.move(x, y - 30, steps=4))
    page.mouse.up()
    change = page.locator('#cards .card:nth-child(2) [data-change="front.dampers.main.valving.compression.high"]')
    change.wait_for()
    assert float(change.input_value().split()[0]) > 900.0
    assert page.locator("#cards .card").nth(0).locator("[data-change]").count() == 0


def test_it_is_usable_by_keyboard_alone(page, truck):
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = []
    for _ in range(12):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.dataset.path ?? document.activeElement.id"))
        if reached[-1] == "wheelbase":
            break
    assert reached[0] == "tab-measure"
    assert "wheelbase" in reached
    page.keyboard.press("Control+a")
    page.keyboard.type("116 in")
    page.keyboard.press("Control+s")
    wait_for_text(page, "#state", "Saved")
    assert read(truck).data["wheelbase"] == "116 in"
    page.focus("#tab-measure")
    page.keyboard.press("ArrowRight")
    assert page.locator("#aboard").is_visible()
    drawn(page, lambda: page.keyboard.press("ArrowRight"))
    assert page.locator("#try").is_visible()
    handle = page.locator("#cards .card").nth(1).locator(".handle").first
    before = handle.get_attribute("aria-valuenow")
    handle.focus()
    drawn(page, lambda: page.keyboard.press("ArrowUp"))
    until(
        page,
        "before => document.querySelectorAll('#cards .card:nth-child(2) .handle')[0].getAttribute('aria-valuenow') !== before",
        before,
    )


@pytest.mark.parametrize("width", [PHONE, 320, 1400])
def test_nothing_is_wider_than_the_page_and_boxes_are_big_enough(child, truck, opened, width):
    page = ready(opened, served(child, truck.parent, truck)[0], width=width, height=780)
    for step in ("truck", "springs", "dampers"):
        page.locator(f"#step-{step}").evaluate("step => { step.open = true; }")
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    sizes = page.locator("#step-dampers input").evaluate_all(
        "boxes => boxes.map((box) => [parseFloat(getComputedStyle(box).fontSize), box.getBoundingClientRect().height, box.getBoundingClientRect().width])"
    )
    # Less than 16 px makes phones zoom in; 24 px is the least size of a target in WCAG 2.2, 2.5.8.
    assert min(size for size, _, _ in sizes) >= 16.0
    assert min(height for _, height, _ in sizes) >= 24.0
    assert min(breadth for _, _, breadth in sizes) >= 80.0
    tried(page)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_contrast_labels_and_roles_hold_by_the_rules_of_wcag(page):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe-playwright-python is not installed")
    for step in page.locator(".step").all():
        step.evaluate("step => { step.removeAttribute('name'); step.open = true; }")

    def aboard():
        page.click("#tab-aboard")
        until(page, "() => document.querySelectorAll('#loaded tbody').length > 4")
        page.fill("#lift-front", "2 in")
        until(page, "() => document.querySelectorAll('#lifted tbody tr').length > 4")

    def varied():
        page.locator(".vary summary").click()
        for what in ("sweep", "tune"):
            page.select_option("#vary-what", what)

    for act in (lambda: None, aboard, lambda: tried(page), varied):
        act()
        found = axe.Axe().run(page).response["violations"]
        assert [(one["id"], one["nodes"][0]["html"][:200]) for one in found] == []


def test_a_scenario_opens_with_its_set_ups_and_saves_them_again(child, truck, opened):
    folder = truck.parents[1]
    page = ready(opened, served(child, folder, folder / "two_or_four.yaml")[0])
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    names = page.locator("#cards .name").evaluate_all("boxes => boxes.map((box) => box.value)")
    assert names == list(read(folder / "two_or_four.yaml").data["setups"])
    assert page.locator("#trucks figure").count() == len(names)
    assert page.locator("#course").input_value() == "Hut track"
    page.fill("#scenario-name", "Again")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Saved again.yaml")
    assert page.locator("#cards .error").all_text_contents() == [""] * len(names)


def test_what_a_scenario_varies_stands_in_the_form_and_is_saved_as_it_was(child, truck, opened):
    folder = truck.parents[1]
    shutil.copy(SCENARIOS / "which_tyre_pressure.yaml", folder)
    page = ready(opened, served(child, folder, folder / "which_tyre_pressure.yaml")[0])
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    assert page.locator("#vary-what").input_value() == "sweep"
    first = page.get_by_label("Number 1: from", exact=True)
    assert first.input_value() == "1.2 bar"
    assert (
        page.get_by_label("Number 1 that varies").evaluate("box => box.selectedOptions[0].textContent")
        == "tyre pressure"
    )
    was = read(folder / "which_tyre_pressure.yaml").data["sweep"]
    for name, begins in (("Untouched", "1.2 bar"), ("Touched", "1.5 bar")):
        first.fill(begins)
        page.fill("#scenario-name", name)
        page.get_by_role("button", name="Save scenario").click()
        wait_for_text(page, "#scenario-said", f"Saved {name.lower()}.yaml")
        saved = read(truck.parent / f"{name.lower()}.yaml").data["sweep"]
        (path,) = was["vary"]
        assert saved == {**was, "vary": {path: {**was["vary"][path], "first": begins}}}
    assert page.complaints == []


def test_the_clock_moves_the_trucks_and_a_stopped_one_stands_still(page):
    tried(page)
    wheel = page.locator("#trucks figure").first.locator("g.wheel").first
    page.locator("#time").evaluate("slide => { slide.value = 0.4; slide.dispatchEvent(new Event('input')); }")
    there = page.locator("#trucks figure").first.locator("polygon.road").get_attribute("points")
    page.click("#play")
    until(page, "there => document.querySelector('#trucks polygon.road').getAttribute('points') !== there", there)
    page.click("#play")
    stopped = page.locator("#clock").text_content()
    assert wheel.is_visible()
    page.wait_for_timeout(200)
    assert page.locator("#clock").text_content() == stopped


def test_plots_say_what_they_show_and_what_the_tables_ride_is(page):
    """The same shake in two numbers: as an accelerometer has it, and weighted by ISO 2631-1."""
    tried(page)
    titles = page.locator("#plots h3").all_text_contents()
    assert titles[0] == "Upward acceleration at the driver, unweighted; ride in the table is weighted [g]"
    assert "Ride at the driver: upward weighted RMS (ISO 2631-1)" in page.locator("#measures").text_content()
    assert [title for title in titles if "against the frame" in title and "axle up" in title] == titles[2:4]


def test_numbers_beside_axes_have_minus_signs(page):
    """An acceleration swings about zero, so that some are negative; none is written with a hyphen."""
    tried(page)
    # A plot is drawn when it comes into sight.
    texts = numbers_drawn(page, lambda: page.locator("#plots .u-over").nth(1).scroll_into_view_if_needed())
    assert any(re.fullmatch("−[0-9.]+", text) for text in texts), texts
    assert not [text for text in texts if "-" in text]
    # Time has its unit at its last number.
    assert any(re.fullmatch("[0-9.]+ s", text) for text in texts), texts


def test_a_slow_estimate_goes_on_beside_and_can_be_stopped(page):
    tried(page)
    change = add_change(page, 1, "front.dampers.main.count")
    drawn(page, lambda: change.fill("4"))
    page.click("#sure")
    assert page.locator("#sure").is_disabled()
    # The page goes on meanwhile.
    drawn(page, lambda: page.fill("#speed", "28 km/h"))
    page.click("#sure-stop")
    assert page.locator("#sure-said").text_content() == "Stopped."
    assert page.locator("#sure").is_enabled()
    drawn(page, lambda: page.fill("#speed", "29 km/h"))
    assert page.locator("#sure-said").text_content() == "Stopped."


def test_numbers_are_shown_in_the_units_that_are_asked_for(page):
    own = number(page, "Bump travel left", "front")
    # As the file is written, until somebody chooses.
    assert own.text_content() == "88.0 mm"
    page.locator("#units").select_option("both")
    until(
        page,
        "() => [...document.querySelectorAll('#numbers td')].some((cell) => cell.textContent === '88.0 mm (3.46 in)')",
    )
    page.locator("#units").select_option("inch")
    until(page, "() => [...document.querySelectorAll('#numbers td')].some((cell) => cell.textContent === '3.46 in')")
    page.locator("#units").select_option("metric")
    until(page, "() => [...document.querySelectorAll('#numbers td')].some((cell) => cell.textContent === '88.0 mm')")


TICKET = {
    "name": "Ticket truck", "wheelbase": "92 in", "weighed.front": "2450 lb", "weighed.rear": "1780 lb",
    "front.tyre.outside_diameter": '33"', "rear.tyre.outside_diameter": '33"', "front.springs": "coils",
    "front.springs.coil.rate": "190 lb/in", "front.dampers.main.length_extended": "23.5 in",
    "front.dampers.main.length_collapsed": "14.25 in",
}  # fmt: skip
"""What a shop has with a weighbridge ticket, a tape and the old parts, and nothing else."""


@pytest.mark.long  # a command beside the page reads, stands and draws
def test_from_an_empty_form_to_a_file_to_a_run_to_an_order_sheet(child, tmp_path, opened):
    page = ready(opened, served(child, tmp_path)[0])
    for path, text in TICKET.items():
        own = box(page, path)
        own.evaluate("box => { box.closest('details').open = true; }")
        if own.evaluate("box => box.tagName") == "SELECT":
            own.select_option(text)
        else:
            own.fill(text)
    # Axle loads of the ticket.
    for axle, pounds in (("front", 2450), ("rear", 1780)):
        own = number(page, "Load on the ground", axle)
        until(
            page,
            "text => [...document.querySelectorAll('#numbers td')].some((cell) => cell.textContent.includes(text))",
            f"{pounds} lb",
        )
        assert f"{pounds} lb" in own.text_content()
    assert page.locator("#form .wrong").count() == 0
    # What is left empty shows what is taken instead.
    assert "about" in box(page, "front.stop.gap").get_attribute("placeholder")
    assert box(page, "front.dampers.main.body.above_ground").get_attribute("placeholder").startswith("guess ")
    about = box(page, "front.stop.gap").locator("xpath=ancestor::div[contains(concat(' ', @class, ' '), ' line ')]")
    about.locator(".about").evaluate("button => button.click()")
    assert "source" in about.locator(".told").text_content().lower()
    page.click("#save")
    wait_for_text(page, "#state", "Saved ticket_truck.yaml")
    file = tmp_path / "ticket_truck.yaml"
    data = read(file).data
    assert data["weighed"] == {"front": "2450 lb", "rear": "1780 lb"}
    assert data["front"]["springs"] == {"coil": {"kind": "coil", "rate": "190 lb/in"}}
    assert file.read_text(encoding="utf-8").startswith("# Ticket truck: as measured")
    tried(page)
    assert page.locator("#cards .error").all_text_contents() == ["", ""]
    change = add_change(page, 1, "front.dampers.main.count")
    drawn(page, lambda: change.fill("4"))
    page.fill("#scenario-name", "Two or four")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Saved two_or_four.yaml")
    scenario = sim.load(tmp_path / "two_or_four.yaml")
    assert [truck.front.dampers["main"].count for truck in scenario.setups.values()] == [2, 4]
    assert page.complaints == []
    ordered = page.get_by_label("Set-up that is ordered")
    assert ordered.locator("option").all_text_contents() == [name for name in scenario.setups]
    ordered.select_option(index=1)
    page.get_by_role("button", name="Write the order sheet").click()
    page.wait_for_selector("#work-said a")
    with page.context.expect_page() as sheet:
        page.click("#work-said a")
    sheet.value.wait_for_load_state()
    text = sheet.value.locator("body").inner_text()
    # What an order says: whose damper, how many, and the lengths that were typed.
    assert "quantity 4" in text
    for length in ("23.5", "14.25"):
        assert re.search(rf"{re.escape(length)}0* in", text), length
    assert "not known" in text  # nobody has measured it eye to eye as the truck stands
    assert page.complaints == []
