"""What the page says of set-ups that are tried: what the form holds now, what is not saved yet, and a table that can be read."""

import pytest

from tests.browser.local import add_change, drawn, ready, tried, typed, until, wait_for_text
from tests.browser.serving import served

RATE = "front.springs.coil.rate"
SHOP_TRUCK = """\
kind: vehicle
name: Shop truck
weighed: {front: 2450 lb, rear: 1780 lb, aboard: [driver]}
wheelbase: 92 in
front:
  springs: {coil: {kind: coil, rate: 260 lb/in}}
rear:
  springs: {pack: {kind: leaf_pack}}
"""


@pytest.fixture
def truck(tmp_path):
    path = tmp_path / "shop_truck.yaml"
    path.write_text(SHOP_TRUCK, encoding="utf-8")
    return path


@pytest.fixture
def page(child, truck, opened):
    own = ready(opened, served(child, truck.parent, truck)[0])
    own.asked = []
    own.on("dialog", lambda dialog: (own.asked.append(dialog.type), dialog.accept()))
    return own


def offered(page, words):
    """Return what the first set-up's list offers under some words, with the part that it is of, as it is before anybody opens it."""
    return page.locator("#cards .choose").first.evaluate(
        "(own, words) => [...own.options].filter((one) => one.textContent.startsWith(words)).map((one) => [one.parentElement.label, one.textContent])",
        words,
    )


def test_the_list_says_what_the_form_holds_now_and_offers_no_spring_that_an_axle_has_not(page):
    assert offered(page, "Rate of one")[0] == ["Front springs", "Rate of one: now 260 lb/in"]
    assert [part for part, _ in offered(page, "Rate of one")] == ["Front springs", "Rear springs"]
    typed(page, RATE, "150 lb/in")
    tried(page)
    assert offered(page, "Rate of one")[0] == ["Front springs", "Rate of one: now 150 lb/in"]
    # An emptied box is estimated, as the form says in grey.
    page.click("#tab-measure")
    typed(page, RATE, "")
    until(page, "path => document.querySelector(`#form [data-path=\"${path}\"]`).placeholder.includes('lb/in')", RATE)
    grey = page.locator(f'#form [data-path="{RATE}"]').get_attribute("placeholder")
    assert "260" not in grey
    tried(page)
    assert offered(page, "Rate of one")[0][1].startswith("Rate of one: now ")
    assert "260" not in offered(page, "Rate of one")[0][1]
    # Other springs are chosen: their numbers take the place of those before.
    page.click("#tab-measure")
    page.locator('#form [data-path="rear.springs"]').evaluate("box => { box.closest('details').open = true; }")
    page.locator('#form [data-path="rear.springs"]').select_option("coils")
    drawn(page, lambda: page.click("#tab-try"))
    rear = page.locator('#cards .choose >> nth=0 >> optgroup[label="Rear springs"] >> option')
    values = rear.evaluate_all("own => own.map((one) => one.value)")
    assert "rear.springs.coil.rate" in values
    assert not any(".pack." in value for value in values)


def test_a_page_with_something_unsaved_asks_before_it_goes(page):
    tried(page)
    page.locator("#speed").fill("20 mph")
    page.reload()
    # A course and a speed are chosen again in a moment.
    assert page.asked == []
    page.wait_for_selector("#numbers tbody tr", state="attached")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    assert page.locator("#speed").input_value() == "20 mph"
    add_change(page, 1, RATE)
    page.reload()
    assert page.asked == ["beforeunload"]
    page.wait_for_selector("#numbers tbody tr", state="attached")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    # It is still there, and still not saved; what is saved as a scenario is asked about no more, and what follows is.
    change = page.locator(f'#cards [data-change="{RATE}"]')
    assert change.count() == 1
    page.fill("#scenario-name", "Stiffer in front")
    page.click("#keep-scenario button:text('Save scenario')")
    wait_for_text(page, "#scenario-said", "Saved")
    page.reload()
    assert page.asked == ["beforeunload"]
    page.wait_for_selector("#numbers tbody tr", state="attached")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    # So is what that scenario may be given to.
    assert "stiffer_in_front.yaml" in page.locator("#works").inner_text()
    page.click("#tab-measure")
    typed(page, "wheelbase", "93 in")
    page.reload()
    assert page.asked == ["beforeunload"] * 2


def test_units_loads_and_a_lift_outlive_a_reload_and_write_nothing(page, truck):
    before = truck.read_bytes(), sorted(truck.parent.iterdir())
    page.select_option("#units", "both")
    page.click("#tab-aboard")
    until(page, "() => document.querySelectorAll('#loads tbody tr').length > 4")
    page.get_by_label("cargo: mass").fill("300 kg")
    page.fill("#lift-front", "2 in")
    page.fill("#tyres-rear", "35 in")
    page.click("#own-load")
    page.get_by_label("Name of the load").fill("anvil")
    # An own load without a number holds up itself alone.
    wait_for_text(page, "#loads-error", "anvil")
    until(page, "() => document.querySelector('#loaded').textContent.includes('cargo')")
    page.reload()
    page.wait_for_selector("#loaded tbody")
    until(page, "() => document.querySelector('#loaded').textContent.includes('cargo')")
    assert page.locator("#units").input_value() == "both"
    assert page.get_by_label("cargo: mass").input_value() == "300 kg"
    assert page.locator("#lift-front").input_value() == "2 in"
    assert page.locator("#tyres-rear").input_value() == "35 in"
    assert page.get_by_label("Name of the load").input_value() == "anvil"
    page.get_by_label("Take anvil out").click()
    until(page, "() => document.querySelector('#loads-error').textContent === ''")
    assert (truck.read_bytes(), sorted(truck.parent.iterdir())) == before


def test_a_scenario_is_opened_from_the_page(page):
    tried(page)
    assert page.locator("#open-scenario").is_hidden()
    change = add_change(page, 1, RATE)
    drawn(page, lambda: change.fill("300 lb/in"))
    page.fill("#scenario-name", "Stiffer")
    page.click("#keep-scenario button:text('Save scenario')")
    wait_for_text(page, "#scenario-said", "Saved stiffer.yaml")
    page.get_by_role("button", name="Take To try out").click()
    until(page, "() => document.querySelectorAll('#cards .card').length === 1")
    with page.expect_navigation():
        page.select_option("#open-scenario", "stiffer.yaml")
    until(
        page, "() => document.querySelectorAll('#cards .card').length === 2 && Number(document.body.dataset.drawn) > 0"
    )
    assert page.locator(f'#cards [data-change="{RATE}"]').input_value() == "300 lb/in"
    assert page.locator("#open-scenario").input_value() == "stiffer.yaml"
    assert page.complaints == []


def test_a_scenario_is_saved_again_under_its_name(page, truck):
    """As the truck's file is: with a copy beside it, and never over what somebody else wrote there."""
    file = truck.parent / "stiffer.yaml"

    def saved(rate, says):
        drawn(page, lambda: page.locator(f'#cards [data-change="{RATE}"]').fill(rate))
        page.get_by_role("button", name="Save scenario").click()
        wait_for_text(page, "#scenario-said", says)

    tried(page)
    add_change(page, 1, RATE)
    page.fill("#scenario-name", "Stiffer")
    saved("300 lb/in", "Saved stiffer.yaml.")
    first = file.read_text(encoding="utf-8")
    saved("320 lb/in", "What was there is kept as stiffer_before_")
    second = first.replace("300 lb/in", "320 lb/in")
    assert file.read_text(encoding="utf-8") == second
    (copy,) = truck.parent.glob("stiffer_before_*.yaml")
    assert copy.read_text(encoding="utf-8") == first
    # After a reload it is still known, by its name, too.
    page.reload()
    page.wait_for_selector("#numbers tbody tr", state="attached")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    assert page.locator("#scenario-name").input_value() == "Stiffer"
    saved("340 lb/in", "What was there is kept as stiffer_before_")
    third = file.read_text(encoding="utf-8") + "# mine\n"
    file.write_text(third, encoding="utf-8")
    saved("360 lb/in", "was changed by another program or tab")
    assert file.read_text(encoding="utf-8") == third
    # Opened on the truck alone, a name that is there is asked about.
    with page.expect_navigation():
        page.select_option("#open-scenario", "stiffer.yaml")
    page.wait_for_selector("#numbers tbody tr", state="attached")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    assert page.locator("#scenario-name").input_value() == "Stiffer"
    with page.expect_navigation():
        page.select_option("#open-scenario", "")
    page.evaluate("sessionStorage.clear()")
    page.goto(page.url)
    page.wait_for_selector("#numbers tbody tr", state="attached")
    tried(page)
    add_change(page, 1, RATE)
    page.fill("#scenario-name", "Stiffer")
    saved("380 lb/in", "Write over it?")
    assert file.read_text(encoding="utf-8") == third
    page.get_by_role("button", name="Write over stiffer.yaml").click()
    wait_for_text(page, "#scenario-said", "What was there is kept as stiffer_before_")
    assert "380 lb/in" in file.read_text(encoding="utf-8")
    assert file.read_text(encoding="utf-8").endswith("# mine\n")
    # Only what a page that is refused a file says of itself.
    assert all("409" in text for text in page.complaints)


CLIPPED = """() => [...document.querySelectorAll('.sure :is(th, td, li, caption)')]
  .filter((own) => own.scrollWidth > own.clientWidth + 1 && getComputedStyle(own).display !== 'inline').map((own) => own.textContent)"""


def test_how_sure_it_is_stands_in_tables(page):
    """Each number in doubt says in words what it is and decides: nothing of it hangs on a colour."""
    tried(page)
    change = add_change(page, 1, RATE)
    drawn(page, lambda: change.fill("330 lb/in"))
    page.click("#sure")
    wait_for_text(page, "#sure-said", "as they were when this was started (Washboard, hump and dip):")
    assert page.locator("#sure-list .left-open caption").all_text_contents() == ["“To try” against “As it is”"]
    rows = page.locator("#sure-list .in-doubt tbody tr")
    texts = rows.evaluate_all("own => own.map((row) => [...row.cells].map((cell) => cell.textContent))")
    shares = [0.0 if "under" in row[4] else float(row[4].removesuffix(" %")) for row in texts]
    assert shares == sorted(shares, reverse=True)
    assert shares[0] > 0.0
    assert {row[1] for row in texts} <= {"given", "estimated"}
    assert all(" to " in row[3] for row in texts)
    assert not any("_" in text or "front." in text for row in texts for text in row)
    # The whole is of all tries; what numbers decide alone cannot be more.
    assert sum(shares) <= 100.0 + len(shares)
    page.locator("#sure-list summary").click()
    for width in (390, 1366):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert page.evaluate(CLIPPED) == []
    assert page.complaints == []


@pytest.mark.parametrize("width", [390, 1280])
def test_one_flagged_set_up_leaves_the_columns_of_the_table_alike(page, width):
    page.set_viewport_size({"width": width, "height": 900})
    tried(page)
    # So fast that the front runs through its bump stops, unless its coils are stiff and hold it higher.
    drawn(page, lambda: page.fill("#speed", "28 mph"))
    change = add_change(page, 1, RATE)
    drawn(page, lambda: change.fill("600 lb/in"))
    until(page, "() => document.querySelectorAll('#measures .flagged').length === 1")
    assert page.locator("#measures tr:has(.flagged) th").text_content() == "As it is: flagged"
    heads = page.locator("#measures thead th").evaluate_all(
        "own => own.map((one) => one.getBoundingClientRect().width)"
    )
    assert len(heads) == 2
    assert max(heads) - min(heads) < 2
    # A number and its unit stand on one line, of both systems too but for the second one in its brackets.
    for units, lines in (("inch", 1), ("both", 2)):
        drawn(page, lambda units=units: page.select_option("#units", units))
        high = page.locator("#measures tbody td:not(.flagged)").evaluate_all(
            "own => own.map((cell) => { const text = document.createRange(); text.selectNodeContents(cell); return new Set([...text.getClientRects()].map((one) => Math.round(one.top))).size; })"
        )
        assert max(high) <= lines
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", [390, 1280])
def test_the_longest_name_is_whole_in_its_card_and_stays_one_line_of_text(page, width):
    """80 letters, the most that a scenario takes."""
    page.set_viewport_size({"width": width, "height": 900})
    tried(page)
    name = page.locator("#cards .name").nth(1)
    long = "lifted 50 mm in front and 50 mm behind, bumper and winch, cargo, both tanks full"
    assert len(long) == 80
    drawn(page, lambda: name.fill(long))
    name.press("Enter")
    assert name.input_value() == long
    sizes = name.evaluate(
        "own => [own.scrollWidth - own.clientWidth, own.scrollHeight - own.clientHeight, own.clientHeight]"
    )
    assert sizes[0] <= 1
    assert sizes[1] <= 1
    # With little to say it takes one line again.
    drawn(page, lambda: name.fill("Lifted"))
    assert name.evaluate("own => own.clientHeight") < sizes[2]
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_curve_says_its_figures_while_it_is_pulled_and_leaves_the_truck_as_it_is(page):
    tried(page)
    first = page.locator("#cards .card").nth(0)
    ratio = first.locator("figcaption").first.text_content()
    assert "damping ratio 0." in ratio
    handle = first.locator(".handle").first
    handle.scroll_into_view_if_needed()
    place = handle.bounding_box()
    x, y = place["x"] + place["width"] / 2, place["y"] + place["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    drawn(page, lambda: page.mouse.move(x, y - 20, steps=4))
    until(page, "() => document.querySelectorAll('#cards .card').length === 3")
    until(page, "() => document.querySelector('#cards .curve .at').textContent.includes(' at ')")
    held = first.locator(".points .held").first.text_content()
    assert held.startswith("compression ")
    assert first.locator(".curve .at").first.text_content() in held
    until(page, "ratio => document.querySelector('#cards figcaption').textContent !== ratio", ratio)
    drawn(page, page.mouse.up)
    # The truck as it is has its own curve again; the new set-up has what was pulled, by force and speed.
    until(page, "ratio => document.querySelector('#cards figcaption').textContent === ratio", ratio)
    assert first.locator(".change").count() == 0
    assert "stays as it is" in page.locator("#state").text_content()
    rows = page.locator("#cards .card").nth(2).locator(".change")
    until(
        page,
        "() => document.querySelectorAll('#cards .card')[2].querySelector('.change .force').textContent.includes(' at ')",
    )
    assert "valving: compression" not in rows.first.text_content()
    assert rows.first.text_content().startswith("Front dampers")


def test_half_as_hard_is_one_field_and_one_change(page):
    tried(page)
    card = page.locator("#cards .card").nth(1)
    factor = card.get_by_label("Force of front: main, times what the truck has")
    drawn(page, lambda: factor.fill("0.5"))
    until(
        page,
        "() => document.querySelectorAll('#cards .card')[1].querySelector('.change .force')?.textContent === 'force × 0.5'",
    )
    assert card.locator(".change").count() == 1
    # One scale for all: half as hard looks half as hard.
    high = "number => Math.abs(110 - document.querySelectorAll('#cards .card')[number].querySelector('.handle').getAttribute('cy'))"
    assert page.evaluate(high, 1) == pytest.approx(0.5 * page.evaluate(high, 0), rel=1e-3)
    factor.fill("0,5")
    # Under the box that it is of, and no other.
    wait_for_text(page, "#cards .card:nth-child(2) figure:nth-child(1) .not-taken", "write 0.5")
    assert factor.get_attribute("aria-invalid") == "true"
    assert (
        sum(
            page.locator("#cards :is(.error, .not-taken)").evaluate_all(
                "all => all.map((own) => own.textContent !== '')"
            )
        )
        == 1
    )
    drawn(page, lambda: factor.fill("1"))
    until(page, "() => !document.querySelectorAll('#cards .card')[1].querySelector('.change')")
    assert factor.get_attribute("aria-invalid") == "false"
    # What is no factor makes no set-up beside the truck as it is.
    bare = page.locator("#cards .card").first.get_by_label("Force of front: main, times what the truck has")
    bare.fill("-2")
    wait_for_text(page, "#cards .card:nth-child(1) figure:nth-child(1) .not-taken", "must be more than 0")
    assert page.locator("#cards .card").count() == 2
    # On paper nothing can be scrolled: nothing is cut off.
    page.click("#tab-measure")
    page.emulate_media(media="print")
    assert page.locator("#stands").evaluate("own => own.scrollHeight <= own.clientHeight + 1")
    assert page.locator("#measure .side").evaluate("own => own.scrollHeight <= own.clientHeight + 1")
    page.emulate_media(media="null")
    assert page.complaints == []


@pytest.mark.parametrize("width", [390, 1366])
def test_trucks_stand_on_one_ground_at_one_scale_so_that_a_lift_is_seen(page, width):
    page.set_viewport_size({"width": width, "height": 844})
    page.click("#tab-aboard")
    for axle in ("front", "rear"):
        page.fill(f"#lift-{axle}", "2 in")
    until(page, "() => !document.querySelector('#try-lift').disabled")
    drawn(page, lambda: page.click("#try-lift"))
    # A name of several lines makes its picture no lower.
    drawn(
        page,
        lambda: page.locator("#cards .name").nth(1).fill("Lifted by nothing at all and yet with a name of many words"),
    )
    places = page.evaluate(
        """() => [...document.querySelectorAll('#trucks svg.truck')].map((one) =>
          [...['.surface', '.outline', '.tyre'].map((part) => one.querySelector(part).getBoundingClientRect().top), one.querySelector('.tyre').getBoundingClientRect().height])"""
    )
    grounds, roofs, _, tyres = zip(*places, strict=True)
    assert max(grounds) - min(grounds) < 0.5
    assert max(tyres) - min(tyres) < 0.5
    # Higher than the truck as it is, by some part of a tyre.
    assert roofs[0] == pytest.approx(roofs[1], abs=0.5)
    assert 0.02 < (roofs[0] - roofs[2]) / tyres[0] < 0.12  # 2 in of a tyre of 24 to 40 in, on its springs


def test_a_second_set_of_dampers_and_a_strap_are_tried(page):
    tried(page)
    card = page.locator("#cards .card").nth(1)
    drawn(page, lambda: card.locator("select.choose").select_option("front.dampers.added"))
    assert card.locator("figure").count() == 3
    rows = card.locator(".rows").inner_text()
    assert "second set" in rows
    # It says where it stands, beside the first, and can be moved: one set ahead of the axle, one behind.
    assert "second set: Upper mount: behind front axle" in rows
    lower = card.get_by_label("Front dampers, second set: Lower mount: ahead of axle", exact=True)
    first = lower.input_value()
    drawn(page, lambda: lower.fill(first.removeprefix("-") if first.startswith("-") else f"-{first}"))
    assert card.locator(".error").text_content() == ""
    strap = add_change(page, 1, "rear.strap.length")
    drawn(page, lambda: strap.fill("17 in"))
    assert card.locator(".error").text_content() == ""
    wait_for_text(page, "#measures", "Rear: droop left to the strap")
    assert page.complaints == []
