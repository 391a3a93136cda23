"""What tests of the page of `jounce open` do in it, and wait for."""

import time

PHONE = 390

PATIENCE_MS = 300_000
"""How long something is waited for: a busy machine is slow, and is not at fault for it."""


def ready(opened, address, **more):
    """Open a page and wait until the truck stands in it."""
    page = opened(address, **more)
    page.set_default_timeout(PATIENCE_MS)
    page.wait_for_selector("#numbers tbody tr", state="attached")
    return page


def until(page, function, given=None):
    """Wait until a function of the page says so; Playwright's own way is refused by the page's policy, which it tests."""
    last = time.monotonic() + PATIENCE_MS / 1e3
    while not page.evaluate(function, given):
        assert time.monotonic() < last, f"never came: {function}"
        page.wait_for_timeout(20)


def box(page, path):
    return page.locator(f'#form [data-path="{path}"]')


def typed(page, path, text):
    """Type into a box, its step opened first."""
    own = box(page, path)
    own.evaluate("box => { box.closest('details').open = true; }")
    own.fill(text)


def number(page, label, axle):
    """Return a live number's text."""
    row = page.locator(
        "#numbers tbody tr", has=page.get_by_role("rowheader", name=label, exact=True, include_hidden=True)
    )
    return row.locator("td").nth(("front", "rear").index(axle))


def error(page, path):
    return (
        box(page, path).locator("xpath=ancestor::div[contains(concat(' ', @class, ' '), ' cell ')]").locator(".error")
    )


def wait_for_text(page, selector, text):
    until(page, "([selector, text]) => document.querySelector(selector)?.textContent.includes(text)", [selector, text])


def drawn(page, act):
    """Do something and wait until what it asked for is drawn."""
    page.evaluate("window.asked = Number(document.body.dataset.drawn ?? 0)")
    act()
    until(page, "() => Number(document.body.dataset.drawn) > window.asked")


def tried(page):
    drawn(page, lambda: page.click("#tab-try"))


def add_change(page, setup, path):
    card = page.locator("#cards .card").nth(setup)
    drawn(page, lambda: card.locator("select").select_option(path))
    return card.locator(f'[data-change="{path}"]')


def numbers_drawn(page, act):
    """Return the texts that plots write on their canvases while something is done that draws them anew."""
    page.evaluate(
        """() => {
          window.writtenOnPlots = [];
          const own = CanvasRenderingContext2D.prototype.fillText;
          CanvasRenderingContext2D.prototype.fillText = function (text, ...more) {
            window.writtenOnPlots.push(String(text));
            return own.call(this, text, ...more);
          };
        }"""
    )
    act()
    until(page, "() => window.writtenOnPlots.length > 0")
    page.wait_for_timeout(300)
    return page.evaluate("window.writtenOnPlots")
