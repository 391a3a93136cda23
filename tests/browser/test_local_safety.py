"""What gets in the way of the page of `jounce open`: two tabs, a file changed from outside, a stopped server, odd names, other hosts and pages."""

import re
import threading
from http.server import BaseHTTPRequestHandler, HTTPServer

import pytest

from sim.describe.files.reader import read
from tests.browser.local import (
    PATIENCE_MS,
    box,
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
    # Wherever somebody is on the page, he sees that it was not saved, and what can be done about it.
    two.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    two.keyboard.press("Control+s")
    wait_for_text(two, "#state", "Nothing was written")
    in_view = "id => { const { top, bottom } = document.getElementById(id).getBoundingClientRect(); return top >= 0 && bottom <= innerHeight; }"
    until(two, in_view, "notice")
    two.evaluate("scrollTo(0, document.documentElement.scrollHeight)")
    until(two, in_view, "state")
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


def test_what_is_typed_after_the_server_has_stopped_is_not_called_saved(child, truck, opened):
    address, process = served(child, truck.parent, truck)
    page = ready(opened, address)
    process.kill()
    process.wait()
    wait_for_text(page, "#notice", "Everything is saved")
    # A tab has what was typed at its own port alone; a truck that was new has another one by itself.
    port = re.match(r"http://127\.0\.0\.1:(\d+)/", address)[1]
    assert f"jounce open {truck.name} --port {port}" in page.locator("#notice").inner_text()
    typed(page, "wheelbase", "116 in")
    wait_for_text(page, "#notice", "did not save")
    assert "Everything is saved" not in page.locator("#notice").inner_text()
    own = page.get_by_label("What you typed and did not save")
    assert own.input_value() == "wheelbase: 116 in"
    # Whoever marks it to copy it keeps the mark: it is not drawn anew with each try to connect.
    own.evaluate("box => { box.mine = true; box.select(); }")
    page.wait_for_timeout(3500)
    assert own.evaluate("box => box.mine === true && document.activeElement === box")


def test_what_is_typed_outlives_a_server_that_is_stopped_and_started_again(child, truck, opened):
    """Without a port, a truck has the same one each time: the new address, opened in the same tab, has what was typed."""
    address, process = served(child, truck.parent, truck)
    page = ready(opened, address)
    page.on("dialog", lambda dialog: dialog.accept())
    typed(page, "wheelbase", "116 in")
    until(page, "() => document.querySelector('#numbers').textContent.includes('Ride frequency')")
    process.kill()
    process.wait()
    again, _ = served(child, truck.parent, truck)
    assert re.match(r"http://[^/]+", again)[0] == re.match(r"http://[^/]+", address)[0]
    assert again != address
    page.goto(again)
    page.wait_for_selector("#numbers tbody tr", state="attached")
    assert box(page, "wheelbase").input_value() == "116 in"
    assert "Wheelbase: 116 in" in page.locator("#kept").inner_text()
    page.click("#save")
    wait_for_text(page, "#state", "Saved")
    assert read(truck).data["wheelbase"] == "116 in"
    # A second server of the truck, beside this one, has a port of its own.
    beside, _ = served(child, truck.parent, truck)
    assert re.match(r"http://[^/]+", beside)[0] != re.match(r"http://[^/]+", again)[0]


def test_what_is_typed_outlives_a_reload_and_is_said_and_put_away(child, truck, opened):
    address, _ = served(child, truck.parent, truck)
    before = truck.read_bytes(), sorted(truck.parent.iterdir())
    page, other = ready(opened, address), ready(opened, address)
    page.on("dialog", lambda dialog: dialog.accept())
    assert page.locator("#kept").is_hidden()
    typed(page, "wheelbase", "116 in")
    typed(page, "front.tyre.rate", "12 parrots")
    typed(other, "wheelbase", "3 m")
    page.reload()
    page.wait_for_selector("#numbers tbody tr, #form .wrong", state="attached")
    said = page.locator("#kept").inner_text()
    assert "Not saved yet" in said
    assert "Wheelbase: 116 in" in said
    assert "12 parrots" in said
    assert box(page, "wheelbase").input_value() == "116 in"
    # What is wrong is still said at its box, and the other tab has its own.
    until(page, "() => document.querySelector('#form .wrong [data-path=\"front.tyre.rate\"]')")
    assert box(other, "wheelbase").input_value() == "3 m"
    page.get_by_role("button", name="Put it away").click()
    assert box(page, "wheelbase").input_value() == "2.95 m"
    until(page, "() => !document.querySelector('#form .wrong')")
    page.get_by_role("button", name="Bring it back").click()
    assert box(page, "wheelbase").input_value() == "116 in"
    page.get_by_role("button", name="Put it away").click()
    page.reload()
    page.wait_for_selector("#numbers tbody tr", state="attached")
    assert page.locator("#kept").is_hidden()
    assert box(page, "wheelbase").input_value() == "2.95 m"
    assert (truck.read_bytes(), sorted(truck.parent.iterdir())) == before
    assert page.complaints == []


def test_what_is_typed_over_a_file_that_was_changed_before_a_reload_waits_for_a_choice(page, truck):
    page.on("dialog", lambda dialog: dialog.accept())
    typed(page, "wheelbase", "116 in")
    changed = truck.read_text(encoding="utf-8").replace("2.95 m", "2.90 m", 1)
    truck.write_text(changed, encoding="utf-8")
    wait_for_text(page, "#notice", "was changed by another program or tab")
    with page.expect_navigation():
        page.get_by_role("button", name="Load the file again").click()
    page.wait_for_selector("#numbers tbody tr", state="attached")
    wait_for_text(page, "#kept", "was changed by another program or tab since you typed")
    assert "Wheelbase: 116 in (in the file: 2.90 m)" in page.locator("#kept").inner_text()
    # Still so after one more reload; neither button nor key saves until it is chosen.
    page.reload()
    page.wait_for_selector("#numbers tbody tr", state="attached")
    wait_for_text(page, "#kept", "was changed by another program or tab since you typed")
    page.click("#save")
    page.keyboard.press("Control+s")
    page.wait_for_timeout(300)
    assert truck.read_text(encoding="utf-8") == changed
    page.get_by_role("button", name="Keep what I typed").click()
    page.click("#save")
    wait_for_text(page, "#state", "Saved")
    assert read(truck).data["wheelbase"] == "116 in"


def test_a_new_truck_that_is_typed_outlives_a_reload_with_what_the_rear_has_the_same(child, tmp_path, opened):
    address, _ = served(child, tmp_path)
    page = ready(opened, address)
    page.on("dialog", lambda dialog: dialog.accept())
    typed(page, "name", "Old truck")
    box(page, "front.springs").evaluate("own => { own.closest('details').open = true; }")
    box(page, "front.springs").select_option("coils")
    page.locator('[data-same="step-springs"]').check()
    typed(page, "front.springs.coil.rate", "190 lb/in")
    page.reload()
    page.wait_for_selector("#kept:not([hidden])")
    assert page.locator("#title").text_content() == "Old truck"
    assert page.locator('[data-same="step-springs"]').is_checked()
    for axle in ("front", "rear"):
        assert box(page, f"{axle}.springs").input_value() == "coils"
        assert box(page, f"{axle}.springs.coil.rate").input_value() == "190 lb/in"
    assert "rear rate of one: 190 lb/in" in page.locator("#kept").inner_text()
    # It still repeats the front, and can be typed otherwise.
    typed(page, "front.springs.coil.rate", "200 lb/in")
    assert box(page, "rear.springs.coil.rate").input_value() == "200 lb/in"


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
