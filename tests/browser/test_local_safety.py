"""What gets in the way of the page of `jounce open`: two tabs, a file changed from outside, a stopped server, odd names, other hosts and pages."""

import re
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from sim.describe.files.reader import read
from tests.browser.local import (
    PATIENCE_MS,
    drawn,
    ready,
    tried,
    typed,
    until,
    wait_for_text,
)
from tests.browser.serving import served


def test_nothing_is_asked_of_any_other_host_and_nothing_is_complained_of(page):
    tried(page)
    page.click("#play")
    home = re.match(r"http://127\.0\.0\.1:\d+/", page.url)[0]
    assert page.requests
    assert all(url.startswith((home, "data:")) for url in page.requests)
    assert page.complaints == []


def test_two_tabs_do_not_write_over_each_other(child, truck, opened):
    address, _ = served(child, truck.parent, truck)
    one, two = ready(opened, address), ready(opened, address)
    typed(one, "wheelbase", "116 in")
    typed(two, "wheelbase", "3 m")
    one.click("#save")
    wait_for_text(one, "#state", "Saved")
    wait_for_text(two, "#notice", "was changed by another program or tab")
    two.click("#save")
    wait_for_text(two, "#state", "Nothing was written")
    assert read(truck).data["wheelbase"] == "116 in"
    two.once("dialog", lambda dialog: dialog.accept("The other one"))
    two.get_by_role("button", name="Save mine under another name").click()
    wait_for_text(two, "#state", "Saved the_other_one.yaml")
    assert read(truck.parent / "the_other_one.yaml").data["wheelbase"] == "3 m"
    assert read(truck).data["wheelbase"] == "116 in"


def test_a_change_from_outside_is_noticed_and_can_be_loaded(page, truck):
    truck.write_text(truck.read_text(encoding="utf-8").replace("2.95 m", "2.90 m", 1), encoding="utf-8")
    wait_for_text(page, "#notice", "was changed by another program or tab")
    page.get_by_role("button", name="Load the file again").click()
    until(page, "() => document.querySelector('[data-path=\"wheelbase\"]').value === '2.90 m'")
    # What is typed before the page listens is not heard.
    page.wait_for_selector("#numbers tbody tr", state="attached")
    typed(page, "wheelbase", "2.91 m")
    truck.unlink()
    wait_for_text(page, "#notice", "is not there any more")
    assert page.get_by_role("button", name="Load the file again").count() == 0
    page.once("dialog", lambda dialog: dialog.accept("Kept"))
    page.get_by_role("button", name="Save mine under another name").click()
    wait_for_text(page, "#state", "Saved kept.yaml")
    assert read(truck.parent / "kept.yaml").data["wheelbase"] == "2.91 m"


def test_a_server_that_is_stopped_in_the_middle_loses_nothing_that_was_typed(child, truck, opened):
    address, process = served(child, truck.parent, truck)
    page = ready(opened, address)
    typed(page, "wheelbase", "116 in")
    process.kill()
    process.wait()
    wait_for_text(page, "#notice", "The server has stopped")
    assert page.get_by_label("What you typed and did not save").input_value() == "wheelbase: 116 in"
    page.click("#save")
    wait_for_text(page, "#state", "does not answer")
    assert "2.95 m" in truck.read_text(encoding="utf-8")


ODD = "<img src=x onerror=\"window.broken=1\"> & 'one' </script><script>broken=1</script>"


def test_names_with_quotes_and_angle_brackets_stay_as_written(child, truck, opened):
    page = ready(opened, served(child, truck.parent, truck)[0])
    typed(page, "name", ODD)
    page.click("#save")
    wait_for_text(page, "#state", "Saved")
    assert read(truck).data["name"] == ODD
    page.reload()
    page.wait_for_selector("#numbers tbody tr", state="attached")
    assert page.locator("#title").text_content() == ODD
    tried(page)
    name = page.locator("#cards .name").nth(1)
    drawn(page, lambda: name.fill(ODD))
    until(
        page, "odd => document.querySelector('#trucks figure:nth-child(2) figcaption').textContent.trim() === odd", ODD
    )
    assert page.locator("#measures th").nth(1).text_content() == ODD
    page.fill("#scenario-name", ODD)
    page.get_by_role("button", name="Save scenario").click()
    wait_for_text(page, "#scenario-said", "Saved ")
    (file,) = [path for path in truck.parent.glob("*.yaml") if read(path).data["kind"] == "scenario"]
    assert ODD in read(file).data["setups"]
    assert page.evaluate("window.broken") is None
    assert page.complaints == []


class Foreign(BaseHTTPRequestHandler):
    """A page of another origin."""

    def do_GET(self):
        self.send_response(200)
        self.send_header("content-type", "text/html")
        self.end_headers()
        self.wfile.write(b"<!doctype html><title>foreign</title>")

    def log_message(self, *of):
        """Say nothing: the test reads what the page got."""


@pytest.fixture
def foreign():
    server = HTTPServer(("127.0.0.1", 0), Foreign)
    thread = threading.Thread(target=server.serve_forever)
    thread.start()
    yield f"http://127.0.0.1:{server.server_port}/"
    server.shutdown()
    thread.join()
    server.server_close()


ATTACKS = """async (home) => {
  const tries = {};
  const body = JSON.stringify({ mark: "", edits: { name: "taken over" }, as_new: true, name: "taken over" });
  for (const kind of ["text/plain", "application/json"]) {
    try { tries[kind] = (await fetch(home + "save", { method: "POST", mode: "cors", headers: { "content-type": kind }, body })).status; } catch { tries[kind] = "refused"; }
  }
  try { tries.blind = (await fetch(home + "save", { method: "POST", mode: "no-cors", body })).type; } catch { tries.blind = "refused"; }
  try { tries.read = await (await fetch(home)).text(); } catch { tries.read = "refused"; }
  tries.socket = await new Promise((done) => {
    const socket = new WebSocket(home.replace("http", "ws") + "live");
    socket.onopen = () => done("open");
    socket.onerror = socket.onclose = () => done("refused");
  });
  tries.frame = await new Promise((done) => {
    const frame = document.createElement("iframe");
    frame.src = home;
    frame.onload = () => { try { done(frame.contentDocument ? "own" : "other"); } catch { done("other"); } };
    document.body.append(frame);
  });
  const form = document.createElement("form");
  form.method = "POST";
  form.action = home + "save";
  form.enctype = "text/plain";
  document.body.append(form);
  return [tries, frames.length];
}"""


def test_a_foreign_page_that_knows_the_address_can_neither_write_nor_read_nor_listen(child, truck, opened, foreign):
    address, _ = served(child, truck.parent, truck)
    before = {path.name: path.read_bytes() for path in truck.parent.iterdir()}
    page = opened(foreign)
    page.set_default_timeout(PATIENCE_MS)
    tries, _ = page.evaluate(ATTACKS, address)
    assert tries["text/plain"] in ("refused", 403)
    assert tries["application/json"] in ("refused", 403)
    assert tries["read"] == "refused"
    assert tries["socket"] == "refused"
    with page.expect_navigation():
        page.evaluate("document.querySelector('form').submit()")
    assert "asked for by another page" in page.locator("body").text_content()
    assert {path.name: path.read_bytes() for path in truck.parent.iterdir()} == before
