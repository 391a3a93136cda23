"""Loads, lift and other tyres on the page: each is said before and after, and becomes a set-up to try."""

from tests.browser.local import until, wait_for_text
from tests.browser.test_local_form import address, page  # noqa: F401


def test_loads_are_put_aboard_and_become_a_set_up(page):  # noqa: F811
    page.click("#tab-aboard")
    until(page, "() => document.querySelectorAll('#loads tbody tr').length > 4")
    page.get_by_label("bumper and winch: mass").fill("165 lb")
    until(page, "() => !document.querySelector('#try-loads').disabled")
    assert page.locator("#loaded tbody").count() == 4  # as it is and with it, for each axle
    page.get_by_label("bumper and winch: mass").fill("12 parrots")
    wait_for_text(page, "#loads-error", "bumper and winch, mass:")
    page.get_by_label("bumper and winch: mass").fill("165 lb")
    until(page, "() => !document.querySelector('#try-loads').disabled")
    page.click("#try-loads")
    assert page.locator("#cards .name").nth(2).input_value() == "With bumper and winch"
    until(page, "() => document.querySelectorAll('#trucks figure').length === 3")
    assert page.locator("#cards .error").all_text_contents() == ["", "", ""]
    groups = page.locator("#cards select").first.locator("optgroup").evaluate_all("own => own.map((one) => one.label)")
    assert groups[:2] == ["Front dampers", "Rear dampers"]
    assert page.complaints == []


def test_other_tyres_are_shown_before_and_after_and_become_a_set_up(page):  # noqa: F811
    """A size that is none is said, with what was meant; another one is tried as it was typed."""
    page.click("#tab-aboard")
    page.fill("#tyres-front", "35-12.50/15")
    wait_for_text(page, "#tyres-error", "is it 35x12.50R15?")
    assert page.locator("#try-tyres").is_disabled()
    page.fill("#tyres-front", "37x12.50R15")
    until(page, "() => !document.querySelector('#try-tyres').disabled")
    assert page.locator("#tyres-error").inner_text() == ""
    assert "road covered in one turn of the wheel" in page.locator("#tyred").inner_text()
    assert "in the same gear" in page.locator("#tyred").inner_text()
    page.click("#try-tyres")
    card = page.locator("#cards .card").last
    card.locator(".change").first.wait_for()
    assert "37x12.50R15" in [one.input_value() for one in card.locator(".change input").all()]
    assert card.locator(".change").first.text_content().startswith("Front tyres: Size on the wall")
    assert page.locator("#cards .error").all_text_contents()[-1] == ""
    # A size begins with a number and is none: nothing slides it.
    assert card.locator(".change input[type=range]").count() == 0


def test_a_lift_is_named_in_plain_words_and_asks_for_no_unit_of_its_own(page):  # noqa: F811
    """What a lift writes has no box in the form for leaf packs; whoever reads its card is told what it is, and not by a key."""
    page.click("#tab-aboard")
    assert "in" not in page.locator("#lift-rear").get_attribute("placeholder").split()
    page.fill("#lift-rear", "50 mm")
    until(page, "() => !document.querySelector('#try-lift').disabled")
    page.click("#try-lift")
    card = page.locator("#cards .card").last
    card.locator(".change").first.wait_for()
    assert (
        card.locator(".change span").first.text_content()
        == "Rear springs: arch without load, more than at ride as measured"
    )
