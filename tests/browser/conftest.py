"""A browser for tests of pages: the system's own, started once a file; without one they are skipped, with the reason."""

import os
import shutil
import time
from contextlib import suppress

import pytest

from tests.browser.local import ready
from tests.browser.serving import copied, served
from tests.conftest import _children

NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "chrome")
"""What systems call the open browser and what is built of it."""

ARGUMENTS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync",
)  # fmt: skip
"""Without them a browser in a container does not start, or asks the network for its own affairs."""


def pytest_collection_modifyitems(items):
    """Mark every test in this folder: `-m browser` asks for them; they are long, as a browser is started for each file."""
    for item in items:
        if "tests/browser/" in item.path.as_posix():
            item.add_marker(pytest.mark.browser)
            item.add_marker(pytest.mark.long)


@pytest.fixture(scope="module")
def browser():
    """Return the browser; it ends with its file of tests, as every child process does."""
    sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright for Python is not installed")
    executable = next(filter(None, map(shutil.which, NAMES)), None)
    if executable is None:
        pytest.skip(f"no browser on this system: none of {', '.join(NAMES)}")
    before = set(_children())
    with sync_api.sync_playwright() as driver:
        own = driver.chromium.launch(executable_path=executable, args=ARGUMENTS)
        yield own
        own.close()
    _helpers_ended(before)


def _helpers_ended(others):
    """Wait for the browser's helpers, which take a moment to end after it has: they are ours when it is gone.

    Parameters
    ----------
    others : set of int
        Processes that were there before it, a file's server: they end later.
    """
    given_up = time.monotonic() + 30.0
    while (left := [number for number in _children() if number not in others]) and time.monotonic() < given_up:
        for number in left:
            with suppress(ChildProcessError):
                os.waitpid(number, os.WNOHANG)
        time.sleep(0.05)


@pytest.fixture
def opened(browser):
    """Open pages: `opened(url, width=390, dark=True)`; a page keeps what it asked for and what it complained of."""
    contexts = []

    def open_page(url, width=1200, height=900, dark=False, **more):
        context = browser.new_context(
            viewport={"width": width, "height": height}, color_scheme="dark" if dark else "light", **more
        )
        contexts.append(context)
        page = context.new_page()
        page.requests, page.complaints = [], []
        page.on("request", lambda request: page.requests.append(request.url))
        page.on("console", lambda message: page.complaints.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: page.complaints.append(str(error)))
        page.goto(url)
        return page

    yield open_page
    for context in contexts:
        context.close()


@pytest.fixture
def truck(tmp_path):
    """Return the demo's truck in a folder of its own."""
    return copied(tmp_path)


@pytest.fixture
def page(child, truck, opened):
    """Return the page opened on that truck."""
    return ready(opened, served(child, truck.parent, truck)[0])
