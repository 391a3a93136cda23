"""More load in the bed on the page: beneath its box it says what it is added to."""

from tests.browser.local import until, wait_for_text
from tests.browser.test_local_tries import page, truck  # noqa: F401


def test_what_more_load_is_added_to_is_said_beneath_its_box(page):  # noqa: F811
    page.click("#tab-aboard")
    until(page, "() => document.querySelectorAll('#loads tbody tr').length > 4")
    page.get_by_label("cargo: mass").fill("600 lb")
    until(page, "() => !document.querySelector('#try-loads').disabled")
    page.click("#try-loads")
    assert not page.locator("#more-load").is_visible()
    page.fill("#load", "200 lb")
    wait_for_text(page, "#more-load", "“With cargo” carries cargo 600 lb of its own: with it 800 lb of load.")
    page.fill("#load", "")
    until(page, "() => document.querySelector('#more-load').hidden")
