"""The form of a new truck: what it says while something is wrong. One server for all, as nothing is saved here."""

import subprocess
import sys
from contextlib import suppress

import pytest

from tests.browser.test_local_page import number, ready, typed, until, wait_for_text

CROSSED = {"front.dampers.main.length_extended": "14.25 in", "front.dampers.main.length_collapsed": "23.5 in"}


@pytest.fixture(scope="module")
def address(tmp_path_factory):
    with subprocess.Popen(
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


def test_the_truck_faces_right(page):
    """The larger tyre is the front one."""
    typed(page, "front.tyre.outside_diameter", "40 in")
    wheels = "() => [...document.querySelectorAll('#truck circle.tyre')].map((wheel) => wheel.getBoundingClientRect())"
    until(page, f"() => {{ const [a, b] = ({wheels})(); return Math.abs(a.width - b.width) > 5; }}")
    rear, front = sorted(page.evaluate(wheels), key=lambda box: box["width"])
    assert front["x"] > rear["x"]
