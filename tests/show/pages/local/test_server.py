"""The page's server: who may ask, what it answers, what it writes."""

import json
import re
import shutil
from pathlib import Path

import pytest
import yaml
from starlette.testclient import TestClient
from starlette.websockets import WebSocketDisconnect

from sim.describe.files.reader import read
from sim.show.pages.local.guarded import policy
from sim.show.pages.local.scenarios import opened
from sim.show.pages.local.server import HERE, application
from sim.show.pages.report.render import SCRIPTS

SCENARIOS = Path(__file__).parents[4] / "scenarios"
PORT, TOKEN = 8123, "t0ken"
HOME = f"http://127.0.0.1:{PORT}"
OWN = {"origin": HOME}


def client_on(path, folder):
    return TestClient(application(opened(path, folder), TOKEN, PORT), base_url=HOME)


@pytest.fixture
def folder(tmp_path):
    for name in ("vehicles", "courses"):
        shutil.copytree(SCENARIOS / name, tmp_path / name)
    shutil.copy(SCENARIOS / "two_or_four.yaml", tmp_path)
    return tmp_path


@pytest.fixture
def truck(folder):
    return folder / "vehicles" / "hut_supply_truck.yaml"


@pytest.fixture
def client(truck):
    with client_on(truck, truck.parent) as own:
        yield own


def stands(client, **asked):
    with client.websocket_connect(f"ws://127.0.0.1:{PORT}/{TOKEN}/live", headers=OWN) as socket:
        socket.send_text(json.dumps({"kind": "stand", "seq": 1, "mark": "", "edits": {}, **asked}))
        return json.loads(socket.receive_text())


def test_the_page_comes_with_its_policy_and_nothing_from_elsewhere(client):
    page = client.get(f"/{TOKEN}/")
    assert page.status_code == 200
    assert page.headers["content-security-policy"] == policy(PORT)
    assert "unsafe" not in policy(PORT)
    for header, value in (
        ("referrer-policy", "no-referrer"),
        ("cache-control", "no-store"),
        ("x-content-type-options", "nosniff"),
    ):
        assert page.headers[header] == value
    assert "http://" not in page.text.replace("http://www.w3.org", "")
    assert "https://" not in page.text
    for name in (
        *(f"page/{one.name}" for one in (HERE / "static").iterdir()),
        "truck/uplot.js",
        *(f"truck/{name}" for name in SCRIPTS),
        "truck/truck.css",
    ):
        assert client.get(f"/{TOKEN}/{name}").status_code == 200


@pytest.mark.parametrize(
    "path", ["/", "/live", "/save", "/wrong/", f"/{TOKEN}x/", f"//{TOKEN}/", "/%2e%2e/", f"/x/../{TOKEN}x"]
)
def test_without_the_token_there_is_nothing(client, path):
    assert client.get(path).status_code == 404


@pytest.mark.parametrize("host", ["elsewhere.example", f"elsewhere.example:{PORT}", "127.0.0.1:1", "127.0.0.1", ""])
def test_another_hosts_name_is_refused(client, host):
    assert client.get(f"/{TOKEN}/", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("where", ["save", "scenario"])
@pytest.mark.parametrize(
    "origin", ["http://elsewhere.example", "null", f"http://127.0.0.1:{PORT + 1}", f"https://127.0.0.1:{PORT}", None]
)
def test_another_page_cannot_post(client, truck, where, origin):
    before = truck.read_bytes()
    headers = {} if origin is None else {"origin": origin}
    answer = client.post(f"/{TOKEN}/{where}", json={"mark": "", "edits": {"name": "x"}}, headers=headers)
    assert answer.status_code == 403
    assert truck.read_bytes() == before
    assert len(list(truck.parent.iterdir())) == 2


@pytest.mark.parametrize("headers", [{"origin": "http://elsewhere.example"}, {}, {**OWN, "host": "elsewhere.example"}])
def test_another_page_cannot_open_the_socket(client, headers):
    with (
        pytest.raises(WebSocketDisconnect) as closed,
        client.websocket_connect(f"ws://127.0.0.1:{PORT}/{TOKEN}/live", headers=headers),
    ):
        pass
    assert closed.value.code == 1008


def test_only_scenarios_of_this_truck_are_offered_and_opened(folder, truck):
    (folder / "other.yaml").write_text(
        "kind: scenario\nname: x\nvehicle: nothing.yaml\nrun: {kind: drop, height: 50 mm}\nsetups: {a: }\n"
    )
    (folder / "broken.yaml").write_text("kind: scenario\nsetups: [")
    with client_on(truck, truck.parent) as client:
        assert re.findall(r"<option[^>]*>([^<]*\.yaml)<", client.get(f"/{TOKEN}/").text) == ["../two_or_four.yaml"]
        for name in ("../other.yaml", "/etc/passwd", "../broken.yaml", "two_or_four.yaml"):
            assert client.post(f"/{TOKEN}/open", json={"file": name}, headers=OWN).status_code == 422
        assert client.post(f"/{TOKEN}/open", json={"file": "../two_or_four.yaml"}, headers={}).status_code == 403
        assert client.post(f"/{TOKEN}/open", json={"file": "../two_or_four.yaml"}, headers=OWN).status_code == 200
        given = json.loads(re.search(r'id="given"[^>]*>(.*?)</script>', client.get(f"/{TOKEN}/").text, re.S)[1])
        assert [row["name"] for row in given["trial"]["setups"]] == list(
            read(folder / "two_or_four.yaml").data["setups"]
        )
        assert given["scenario"] == "two_or_four.yaml"
        client.post(f"/{TOKEN}/open", json={"file": ""}, headers=OWN)
        assert '"scenario": ""' in client.get(f"/{TOKEN}/").text


def test_too_much_is_refused(client):
    answer = client.post(f"/{TOKEN}/save", content=b"x" * 1_100_000, headers=OWN)
    assert answer.status_code == 413


@pytest.mark.parametrize("body", [b"", b"[]", b"{", b"\xff\xfe"])
def test_what_the_page_does_not_send_is_refused(client, body):
    assert client.post(f"/{TOKEN}/save", content=body, headers=OWN).status_code == 400


def test_names_with_quotes_and_angle_brackets_stand_as_written(folder):
    path = folder / "vehicles" / "odd.yaml"
    odd = "</script><script>alert(1)</script> \"quoted\" & 'more' <img src=x onerror=alert(2)>"
    text = (folder / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    path.write_text(text.replace("name: Hut supply truck", "name: " + json.dumps(odd)), encoding="utf-8")
    with client_on(path, folder) as client:
        html = client.get(f"/{TOKEN}/").text
        # No tag of it survives, in no place; what is shown is escaped.
        assert "<script>alert" not in html
        assert "<img src=x" not in html
        assert "&lt;/script&gt;&lt;script&gt;alert(1)" in html
        assert stands(client)["scene"]["name"] == odd


def test_a_truck_stands_with_the_numbers_of_the_command_line(client):
    from sim.describe.files.vehicles import load_vehicle
    from sim.describe.shown import show, shown_in
    from sim.linear.standing import stand

    said = stands(client)
    assert said["problems"] == []
    rows = {row["label"]: row["cells"] for row in said["numbers"]}
    standing = stand(load_vehicle(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"))
    with shown_in("metric"):  # as its file is written
        loads = [show(standing.axles[name].load, "load") for name in ("front", "rear")]
    assert rows["Load on the ground"] == loads
    assert rows["Ride frequency"] == [
        show(standing.axles[name].ride_frequency, "frequency") for name in ("front", "rear")
    ]


def test_of_a_new_truck_it_is_said_that_its_numbers_are_estimated_and_what_is_out_of_the_usual(tmp_path):
    """As `jounce stand` has it. 36 N/cm in place of 36 N/mm: it bounces at under a hertz, and 1.0 to 2.3 Hz are usual (common practice, no source)."""
    from sim.describe.files.vehicles import vehicle_from

    given = {
        "weighed": {"front": "1180 kg", "rear": "960 kg"},
        "wheelbase": "2580 mm",
        "front": {"springs": {"coil": {"rate": "36 N/cm"}}},
    }
    (tmp_path / "my.yaml").write_text(yaml.safe_dump({"kind": "vehicle", "name": "My truck"} | given), encoding="utf-8")
    with client_on(tmp_path / "my.yaml", tmp_path) as client:
        unusual, guessed = stands(client)["beside"]
    assert unusual.startswith("Out of the usual")
    assert re.search(r"front ride frequency 0\.\d+ Hz: .*usual 1\.0 to 2\.3 Hz", unusual)
    assert guessed.startswith(f"{len(vehicle_from(given).estimates)} numbers are estimated")


def test_of_a_truck_that_was_measured_nothing_is_called_estimated(client):
    assert not [text for text in stands(client)["beside"] if "estimated, as" in text]


def test_what_is_typed_is_answered_in_the_projects_own_words(client):
    said = stands(client, edits={"front.tyre.rate": "265", "wheelbase": "", "rear.dampers.main.count": "two"})
    at = {row["where"]: row["message"] for row in said["problems"]}
    assert "needs a unit" in at["front.tyre.rate"]
    assert "missing" in at["wheelbase"]
    assert "rear.dampers.main.count" in at
    assert said["scene"] is None


def test_a_damper_that_is_too_short_for_its_mounts_is_seen_at_once(client):
    said = stands(client, edits={"front.dampers.main.length_extended": "20 in"})
    assert said["problems"] == []
    assert "The front damper would be" in said["refused"]


def test_a_save_writes_the_file_and_keeps_a_copy(client, truck):
    before = truck.read_text(encoding="utf-8")
    page = client.get(f"/{TOKEN}/").text
    mark = json.loads(page.split('type="application/json">')[1].split("</script>")[0])["mark"]
    answer = client.post(f"/{TOKEN}/save", json={"mark": mark, "edits": {"wheelbase": "116 in"}}, headers=OWN)
    assert answer.status_code == 200
    assert truck.read_text(encoding="utf-8") == before.replace("wheelbase: 2.95 m", "wheelbase: 116 in")
    assert (truck.parent / answer.json()["copy"]).read_text(encoding="utf-8") == before
    # A second tab that still has the old state is told, and writes nothing.
    late = client.post(f"/{TOKEN}/save", json={"mark": mark, "edits": {"wheelbase": "3 m"}}, headers=OWN)
    assert late.status_code == 409
    assert late.json()["conflict"] == "ChangedOutsideError"
    assert "116 in" in truck.read_text(encoding="utf-8")


def test_what_a_late_tab_typed_can_be_kept_under_another_name(client, truck):
    client.get(f"/{TOKEN}/")
    state = {"edits": {"wheelbase": "3 m"}, "mark": "", "as_new": True, "name": "Another truck"}
    answer = client.post(f"/{TOKEN}/save", json=state, headers=OWN)
    assert answer.json()["file"] == "another_truck.yaml"
    # The commands to copy are of the file that the truck has from now on.
    assert all("another_truck.yaml" in command for command in answer.json()["terminal"])
    assert len(answer.json()["terminal"]) == client.get(f"/{TOKEN}/").text.count("data-copy=")
    assert "wheelbase: 3 m" in (truck.parent / "another_truck.yaml").read_text(encoding="utf-8")
    assert "wheelbase: 2.95 m" in truck.read_text(encoding="utf-8")


def test_a_change_from_outside_is_noticed(client, truck):
    page = client.get(f"/{TOKEN}/").text
    mark = json.loads(page.split('type="application/json">')[1].split("</script>")[0])["mark"]
    with client.websocket_connect(f"ws://127.0.0.1:{PORT}/{TOKEN}/live", headers=OWN) as socket:
        socket.send_text(json.dumps({"kind": "stand", "seq": 1, "mark": mark, "edits": {}}))
        assert json.loads(socket.receive_text())["kind"] == "stand"
        assert json.loads(socket.receive_text()) == {"kind": "file", "changed": False, "gone": False}
        truck.write_text(truck.read_text(encoding="utf-8") + "# later\n", encoding="utf-8")
        assert json.loads(socket.receive_text()) == {"kind": "file", "changed": True, "gone": False}


def test_a_file_that_is_no_truck_is_said_so_in_the_page(tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text("kind: vehicle\nname: x\n", encoding="utf-8")
    what = opened(path, tmp_path)
    path.write_text("kind: [vehicle\n", encoding="utf-8")
    with TestClient(application(what, TOKEN, PORT), base_url=HOME) as client:
        answer = client.get(f"/{TOKEN}/")
        assert answer.status_code == 422
        assert "this is not YAML" in answer.text


def test_a_scenario_brings_its_set_ups_course_and_speed(folder):
    what = opened(folder / "two_or_four.yaml", folder)
    assert what.vehicle == folder / "vehicles" / "hut_supply_truck.yaml"
    assert [row["name"] for row in what.trial["setups"]] == list(read(folder / "two_or_four.yaml").data["setups"])
    assert (what.trial["course"], what.trial["speed"]) == ("Hut track", "26 km/h")
