"""The form of a new truck: what it says while something is wrong. One server for all, as nothing is saved here."""

import subprocess
import sys
from contextlib import suppress

import pytest

from tests.browser.local import box, error, number, ready, typed, until, wait_for_text
from tests.waiting import begun

CROSSED = {"front.dampers.main.length_extended": "14.25 in", "front.dampers.main.length_collapsed": "23.5 in"}


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    with begun(
        [sys.executable, "-m", "sim", "open", "--no-browser"], cwd=tmp_path_factory.mktemp("new"),
        stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    ) as process:  # fmt: skip
        yield process.stdout.readline().strip()
        with suppress(ProcessLookupError):
            process.kill()


@pytest.fixture
def page(address, opened):
    return ready(opened, address)


def test_a_truck_that_cannot_stand_shows_no_old_answer_as_its_own(page):
    typed(page, "wheelbase", "92 in")
    wait_for_text(page, "#numbers", "not known: measure the damper eye to eye at ride")
    for path, text in CROSSED.items():
        typed(page, path, text)
    page.wait_for_selector("#stale-said:not([hidden])")
    assert "cannot stand" in page.locator("#stale-said").text_content()
    assert "stale" in page.locator("#stands").get_attribute("class")
    # No word of a verdict is left, whatever stood there.
    assert number(page, "Damper fits", "front").text_content() == "–"
    # The other side is of the same truck.
    page.click("#tab-try")
    page.wait_for_selector("#stale-run:not([hidden])")
    page.click("#tab-measure")
    for path in CROSSED:
        typed(page, path, "")
    until(page, "() => document.querySelector('#stale-said').hidden")
    assert "not known" in number(page, "Damper fits", "front").text_content()


def test_springs_of_another_kind_put_aside_what_was_typed_of_the_first(page):
    """An arm's pivot has no box where leaf packs hold the axle: it is kept for the arms, and is no fault of the packs."""
    pivot = "front.guide.pivot.behind_front_axle"
    typed(page, "wheelbase", "92 in")
    box(page, "front.springs").evaluate("own => { own.closest('details').open = true; }")
    box(page, "front.springs").select_option("coils")
    typed(page, pivot, "880 mm")
    typed(page, "front.springs.coil.rate", "33 N/mm")
    until(page, "() => document.querySelector('#refused').hidden")
    box(page, "front.springs").evaluate("own => { own.closest('details').open = true; }")
    box(page, "front.springs").select_option("leaf packs")
    until(page, "() => window.lastAsked && document.querySelector('#numbers').textContent.includes('Ride frequency')")
    page.wait_for_timeout(500)
    assert page.locator("#refused").is_hidden()
    assert page.locator("#form .wrong, #form .astray").count() == 0
    assert page.locator(".step .count").all_text_contents() == [""] * page.locator(".step").count()
    box(page, "front.springs").select_option("coils")
    assert box(page, pivot).input_value() == "880 mm"
    assert box(page, "front.springs.coil.rate").input_value() == "33 N/mm"


def test_slips_are_asked_about_at_their_own_box(page):
    def said(path):
        return box(page, path).locator("xpath=ancestor::div[contains(concat(' ', @class, ' '), ' cell ')]").inner_text()

    # With nothing else filled in, too: what follows from it is not said in its place.
    for path, typed_, words in (
        ("weighed.front", "1.510 kg", "1510 kg?"),
        ("weighed.front", "-1510 kg", "1510 kg would be usual: look at the sign"),
        ("wheelbase", "2650", "'2650 mm'"),
        ("weighed.aboard", "85 kg driver, half a tank", "Counted as a load: driver, 85 kg. Weighed with the truck and a part of it: half a tank."),
        ("weighed.aboard", "driver and full tank", "Counted as a load: driver, of usual weight. Weighed with the truck and a part of it: full tank."),
        ("weighed.aboard", "Driver 85kg; tools", "Counted as a load: driver, 85kg. Weighed with the truck and a part of it: tools."),
        ("weighed.aboard", "two friends", "Nobody is counted as a load"),
        ("driveline.engine.torque", "210 Nm at 1800/min", "one point is no curve: write 210 Nm alone"),
    ):  # fmt: skip
        typed(page, path, typed_)
        until(
            page,
            "([path, words]) => document.querySelector(`#form [data-path=\"${path}\"]`).closest('.cell').innerText.includes(words)",
            [path, words],
        )
        typed(page, path, "")
    typed(page, "wheelbase", "2,65 m")
    until(
        page,
        "() => document.querySelector('#form [data-path=wheelbase]').closest('.cell').innerText.includes('2.65 m')",
    )
    assert "2800" not in said("wheelbase")
    typed(page, "wheelbase", "2650 mm")
    typed(page, "weighed.front", "1510 kg")
    typed(page, "weighed.rear", "2750 kg")
    until(
        page,
        "() => document.querySelector('#form [data-path=\"weighed.rear\"]').closest('.cell').innerText.includes('rear 1240 kg, if 2750 kg is both axles together')",
    )
    assert "usual" not in said("weighed.front").lower()
    # Whoever types millimetres is shown millimetres: 92 in are 2337 mm.
    page.get_by_role("button", name="About: Wheelbase", include_hidden=True).evaluate("own => own.click()")
    about = box(page, "wheelbase").locator("xpath=ancestor::div[contains(concat(' ', @class, ' '), ' line ')]")
    about.evaluate("own => { own.closest('details').open = true; }")
    assert "Write it like 2337 mm." in about.inner_text()
    page.select_option("#units", "both")
    until(page, "() => document.querySelector('#form').dataset.system === 'both'")
    assert "Write it like 2337 mm or 92 in." in about.inner_text()


def test_the_truck_faces_right(page):
    """The larger tyre is the front one."""
    typed(page, "front.tyre.outside_diameter", "40 in")
    typed(page, "rear.tyre.outside_diameter", "30 in")
    wheels = "() => [...document.querySelectorAll('#truck circle.tyre')].map((wheel) => wheel.getBoundingClientRect())"
    until(page, f"() => {{ const [a, b] = ({wheels})(); return Math.abs(a.width - b.width) > 5; }}")
    rear, front = sorted(page.evaluate(wheels), key=lambda box: box["width"])
    assert front["x"] > rear["x"]


def test_a_wrong_torque_leaves_the_truck_drawn_and_the_launch_alone_waits(page):
    typed(page, "driveline.engine.torque", "310")
    wait_for_text(page, "#refused", "before it can pull away; it stands, and drives over courses")
    assert error(page, "driveline.engine.torque").inner_text()
    assert not page.locator("#stands").evaluate("own => own.classList.contains('stale')")
    page.click("#tab-try")
    until(page, "() => document.querySelectorAll('#measures tbody tr').length > 4")
    assert page.locator("#asked-error").inner_text() == ""
    page.select_option("#course", "Pull away: level, firm rock")
    wait_for_text(page, "#asked-error", "310")


def test_what_is_out_of_the_usual_and_estimated_stands_beneath_the_numbers(page):
    typed(page, "wheelbase", "2580 mm")
    wait_for_text(page, "#beside", "numbers are estimated, as nobody measured them")
    box(page, "front.springs").evaluate("own => { own.closest('details').open = true; }")
    box(page, "front.springs").select_option("coils")
    typed(page, "front.springs.coil.rate", "36 N/cm")
    wait_for_text(page, "#beside", "front ride frequency")
    # Of a truck that cannot stand nothing of it is left.
    for path, text in CROSSED.items():
        typed(page, path, text)
    page.wait_for_selector("#stale-said:not([hidden])")
    assert page.locator("#beside").text_content() == ""


def test_a_course_of_points_is_driven_at_once(page):
    page.click("#tab-try")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    page.locator(".own-course summary").click()
    page.fill("#course-name", "Behind the shed")
    page.fill("#course-points", "0 0\n1 15")
    # Half way along a strip of 30 m, and a quarter of it up from its middle, 75 mm.
    strip = page.locator("#course-drawing").bounding_box()
    page.locator("#course-drawing").click(position={"x": strip["width"] / 2, "y": strip["height"] / 4})
    rows = page.locator("#course-points").input_value().splitlines()
    assert len(rows) == 3
    far, high = map(float, rows[-1].split())
    assert abs(far - 15) < 0.3
    assert abs(high - 75) < 5
    page.get_by_role("button", name="Use this course").click()
    wait_for_text(page, "#course-said", "at least 4 are needed")
    page.fill("#course-points", "0 0\n1 15\n2 40\n3 0\n4 0")
    page.get_by_role("button", name="Use this course").click()
    wait_for_text(page, "#course-said", "Saved courses/behind_the_shed.yaml")
    assert page.locator("#course").input_value() == "Behind the shed"
    until(page, "() => document.querySelector('#stale-run').hidden")
    # Only what a page that is refused a file says of itself.
    assert all("422" in text for text in page.complaints)


def test_what_the_rear_has_the_same_is_typed_once(page):
    """Until it is typed otherwise, and only while it is said so."""
    page.locator('[data-same="step-springs"]').evaluate("own => { own.closest('details').open = true; }")
    box(page, "front.springs").select_option("coils")
    assert box(page, "rear.springs").input_value() == ""
    page.locator('[data-same="step-springs"]').check()
    assert box(page, "rear.springs").input_value() == "coils"
    until(
        page,
        "() => !document.querySelector('#f-' + document.querySelector('[data-path=\"rear.springs.coil.rate\"]').id.slice(2)).closest('.cell').hidden",
    )
    typed(page, "front.springs.coil.rate", "190 lb/in")
    assert box(page, "rear.springs.coil.rate").input_value() == "190 lb/in"
    typed(page, "rear.springs.coil.rate", "210 lb/in")
    typed(page, "front.springs.coil.rate", "200 lb/in")
    assert box(page, "rear.springs.coil.rate").input_value() == "210 lb/in"
    # Where a part is mounted is of its own axle.
    assert box(page, "rear.guide.pivot.behind_front_axle").get_attribute("data-follows") == ""
    page.locator('[data-same="step-springs"]').uncheck()
    assert box(page, "rear.springs").input_value() == ""
    assert box(page, "rear.springs.coil.rate").input_value() == "210 lb/in"


def test_an_empty_box_shows_a_whole_number_and_says_its_spread(page):
    typed(page, "front.tyre.outside_diameter", "33 in")
    rear = box(page, "rear.tyre.outside_diameter")
    until(
        page, "() => document.querySelector('[data-path=\"rear.tyre.outside_diameter\"]').placeholder.includes('33 in')"
    )
    rate = box(page, "rear.springs.pack.rate")
    assert "+-" not in rate.get_attribute("placeholder")
    assert "±" in rate.get_attribute("title")
    # Where it comes from is said with its size, and not once more without.
    about = rate.locator("xpath=ancestor::div[contains(concat(' ', @class, ' '), ' line ')]")
    about.locator(".about").evaluate("own => { own.closest('details').open = true; own.click(); }")
    assert about.locator(".left-out").is_hidden()
    assert "left empty, taken as about" in about.inner_text()
    assert box(page, "overall_length").get_attribute("placeholder") == "not measured"
    assert box(page, "rear.springs").locator("option").first.text_content() == "left empty: leaf packs"
    assert rear.input_value() == ""


def test_numbers_that_vary_are_chosen_with_their_ranges(page):
    """Of a truck that has no file yet the page says so, and keeps what was chosen."""
    page.click("#tab-try")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    page.locator(".vary summary").click()
    page.select_option("#vary-what", "sweep")
    number_, first, last = (
        page.get_by_label(words, exact=True) for words in ("Number 1 that varies", "Number 1: from", "Number 1: to")
    )
    number_.focus()
    number_.select_option("run.speed")
    assert first.input_value().split()[1] == page.locator("#speed").input_value().split()[1]
    page.click("#vary-add")
    assert page.locator("#vary-add").is_disabled()
    page.get_by_label("Take number 2 out").click()
    number_.select_option("rear.dampers.main.gas_force")
    ends = [float(end.input_value().split()[0]) for end in (first, last)]
    assert ends[0] < ends[1]
    # What is typed as a tape shows it begins with one number and its unit: 0.7 and 1.3 of 3 1/8 in, -3 in and 92 in, by hand.
    asked = page.evaluate("window.lastAsked.run")
    page.click("#tab-measure")
    typed(page, "front.dampers.main.lean_inward", "3 1/8 in")
    typed(page, "front.dampers.main.axle.ahead", "-3 in")
    typed(page, "wheelbase", "7 ft 8 in")
    page.click("#tab-try")
    until(page, "asked => Number(document.body.dataset.drawn) > asked", asked)
    for path, began in (
        ("front.dampers.main.lean_inward", ["2.19 in", "4.06 in"]), ("front.dampers.main.axle.ahead", ["-3.9 in", "-2.1 in"]),
        ("wheelbase", ["64.4 in", "120 in"]),
    ):  # fmt: skip
        number_.select_option(path)
        assert [first.input_value(), last.input_value()] == began
    page.fill("#scenario-name", "Which speed")
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Save the truck first")
    page.select_option("#vary-what", "tune")
    number_.select_option("front.dampers.main.valving|scale")
    assert (first.input_value(), last.input_value()) == ("0.5", "2")
    assert page.locator("#vary-goals input:checked").count() == 3
    page.get_by_label("Off the bump stops in front").check()
    page.get_by_label("Left to the rear bump stops, at least").fill("10 mm")
    page.select_option("#vary-what", "sweep")
    assert not page.locator("#vary-limits").is_visible()
    assert all("422" in text for text in page.complaints)


def test_a_slider_begins_with_the_number_as_a_tape_shows_it(page):
    page.click("#tab-try")
    until(page, "() => Number(document.body.dataset.drawn) > 0")
    card = page.locator("#cards .card").nth(1)
    card.get_by_label("Change something in").select_option("front.dampers.main.lean_inward")
    change = card.locator('[data-change="front.dampers.main.lean_inward"]')
    slide = card.locator('.change input[type="range"]')
    for text, begins, moved in (("3 1/4 in", "3.25", "2.6 in"), ("-3 in", "-3", "-2.4 in"), ("50 mm", "50", "40 mm")):
        change.fill(text)
        until(
            page,
            "begins => document.querySelector('#cards .card:nth-child(2) input[type=range]')?.value === begins",
            begins,
        )
        slide.evaluate(
            "(slide, to) => { slide.value = to; slide.dispatchEvent(new Event('input')); }", moved.split()[0]
        )
        assert change.input_value() == moved


EVERY = """text => {
  const typed = [];
  for (const box of document.querySelectorAll('#form input[data-path]')) {
    if (box.closest('.cell').hidden || ['name', 'weighed.aboard'].includes(box.dataset.path)) continue;
    box.value = text;
    box.dispatchEvent(new Event('input', { bubbles: true }));
    typed.push(box.dataset.path);
  }
  return typed;
}"""


@pytest.mark.parametrize("text", ["12 parrots", "-1", "1e400 in", "nan", "' <b>\" {"])
def test_every_box_says_what_is_wrong_with_what_is_typed(page, text):
    """All boxes of a new truck at once; each says it beside itself, and emptied nothing is wrong."""
    paths = page.evaluate(EVERY, text)
    assert len(paths) > 45
    wrong = "() => [...document.querySelectorAll('#form .wrong [data-path]')].map((box) => box.dataset.path)"
    until(page, f"paths => {{ const wrong = ({wrong})(); return paths.every((path) => wrong.includes(path)); }}", paths)
    assert f"{len(page.evaluate(wrong))} boxes want another look" in page.locator("#refused").text_content()
    assert all(page.locator("#form .wrong .error").evaluate_all("own => own.map((one) => one.textContent)"))
    # Nothing of it is left over for the line above the form.
    assert page.locator("#state").text_content() == ""
    page.evaluate(EVERY, "")
    until(page, "() => !document.querySelector('#form .wrong') && document.querySelector('#refused').hidden")
    assert page.complaints == []


COVERED = """() => {
  const own = document.activeElement, box = own.getBoundingClientRect();
  // What is taller than the screen cannot be seen whole.
  if (box.height > innerHeight) return '';
  const there = document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2);
  return own === document.body || own.contains(there) || there?.contains(own) ? '' : (own.dataset.path ?? own.outerHTML.slice(0, 80));
}"""


@pytest.mark.parametrize("side", ["tab-measure", "tab-aboard"])
def test_on_a_phone_no_box_that_the_keyboard_reaches_is_covered(address, opened, side):
    """Focus not obscured: WCAG 2.2, 2.4.11. The picture stays in sight above the form, and must not lie on what is typed."""
    page = ready(opened, address, width=380, height=780)
    page.locator("#step-dampers").evaluate("step => { step.open = true; }")
    page.click(f"#{side}")
    if side == "tab-aboard":
        until(page, "() => document.querySelectorAll('#loads tbody tr').length > 4")
    page.locator(f"#{side}").focus()
    met = []
    for _ in range(70):
        page.keyboard.press("Tab")
        met.append(page.evaluate(COVERED))
    assert [one for one in met if one] == []
    # And back up, where what stays on top is met from below.
    for _ in range(30):
        page.keyboard.press("Shift+Tab")
        met.append(page.evaluate(COVERED))
    assert [one for one in met if one] == []
    assert page.evaluate("document.documentElement.scrollWidth") <= 380


def test_a_table_that_is_wider_than_the_page_says_so_and_where_there_is_more(address, opened):
    page = ready(opened, address, width=390, height=780)
    typed(page, "wheelbase", "92 in")
    page.click("#tab-aboard")
    page.locator("#loads input[type=checkbox]").first.check()
    page.wait_for_selector("#loaded .scroll td")
    # The table is laid out anew with each answer, so all is asked of the one that is there.
    asked = """const box = document.querySelector('#loaded .scroll');
        const said = document.querySelector('#loaded .sideways');
        if (!box || !said || said.hidden) return false;
        const [left, right] = ['more-left', 'more-right'].map((name) => box.classList.contains(name));"""
    until(
        page,
        f"""() => {{ {asked}
        return box.scrollWidth > box.clientWidth && !left && right && said.textContent.includes('to the right'); }}""",
    )
    until(
        page,
        f"""() => {{ {asked}
        box.scrollLeft = box.scrollWidth;
        return left && !right && said.textContent.includes('to the left'); }}""",
    )
    # Where there is room for all of it nothing is said.
    page.set_viewport_size({"width": 1600, "height": 900})
    until(
        page,
        """() => document.querySelector('#loaded .sideways').hidden
        && document.querySelector('#loaded .scroll').className === 'scroll'""",
    )


@pytest.mark.parametrize(("width", "height"), [(390, 844), (1366, 768)])
def test_whoever_types_sees_the_box_and_tables_fit(page, width, height):
    page.set_viewport_size({"width": width, "height": height})
    page.locator("#stands").evaluate("own => { own.open = true; }")
    typed(page, "wheelbase", "2650")
    until(page, "() => document.querySelector('#form .wrong')")
    if width < 1000:
        # Picture and numbers leave more than half of the height to the form.
        assert page.locator("#measure .side").bounding_box()["height"] < 0.5 * height
    typed(page, "wheelbase", "2650 mm")
    page.click("#tab-aboard")
    until(page, "() => document.querySelectorAll('#loaded tbody').length > 4")
    # What loads leave as it is is not said again with each.
    for table in page.locator("#loaded table").all():
        heads = table.locator("tbody th").all_text_contents()
        assert len(heads) == len(set(heads)) > 2
        assert sum("holds the hanging axle" in text for text in heads) <= 1
    if width > 1000:
        # With all loads and a lift, in both units, too.
        page.select_option("#units", "both")
        page.fill("#lift-front", "2 in")
        for own in page.locator("#loads input[type=checkbox]").all():
            own.check()
        until(
            page,
            "() => document.querySelector('#loaded').textContent.includes('Of the truck as lifted') && /mm \\(.* in\\)/.test(document.querySelector('#loaded td').textContent)",
        )
        assert page.locator("#loaded .scroll").evaluate_all(
            "own => own.map((one) => one.scrollWidth - one.clientWidth)"
        ) == [0, 0]
    assert page.evaluate("document.documentElement.scrollWidth") <= width
