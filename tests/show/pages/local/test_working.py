"""A command beside the page: what it says, where its report is, and that it ends with all that it started."""

import shutil
import time
from pathlib import Path

import pytest

from sim.show.pages.local.working import Working, said_of, works_of

SCENARIOS = Path(__file__).parents[4] / "scenarios"
DROP = "kind: scenario\nname: A drop\nvehicle: hut_supply_truck.yaml\nrun: {kind: drop, height: 50 mm, watch: 1 s}\nsetups: {as it is: }\n"
PATIENCE_S = 300.0
"""A busy machine is slow, and not at fault for it."""


@pytest.fixture
def started(tmp_path):
    shutil.copy(SCENARIOS / "vehicles" / "hut_supply_truck.yaml", tmp_path)
    works = []

    def start(text=DROP, command="compare", setup=""):
        scenario = tmp_path / "a_drop.yaml"
        scenario.write_text(text, encoding="utf-8")
        works.append(Working(command, scenario, tmp_path / "outputs", "metric", setup))
        return works[-1]

    yield start
    for work in works:
        work.stop()


def heard(work):
    """Return the last thing that a command says."""
    given_up = time.monotonic() + PATIENCE_S
    while (said := work.next()) is None or "of" in said:
        assert time.monotonic() < given_up
    return said


def test_a_report_is_written_and_its_place_said(started, tmp_path):
    said = heard(started())
    assert said["report"] == "a_drop/report.html"
    assert all(text.endswith((".", "?", ")")) for text in said["said"])
    assert (tmp_path / "outputs" / said["report"]).is_file()


@pytest.mark.long
def test_an_order_sheet_is_of_the_set_up_that_was_chosen(started, tmp_path):
    two = DROP.replace("{as it is: }", "{as it is: , '--four': {front.dampers.main.count: 4}}")
    said = heard(started(two, "sheet", "--four"))
    folder, _, page = said["report"].partition("/")
    assert "four" in folder
    assert page == "report.html"
    assert "--four" in (tmp_path / "outputs" / said["report"]).read_text(encoding="utf-8")
    assert "there is no set-up" in heard(started(two, "sheet", "five"))["why"]


def test_a_best_at_the_end_of_its_range_is_said_to_be_there_wherever_the_best_is_said():
    ends = "At the end of its range: Force in front. Only a wider range would tell whether more helps."
    verdict = ["Set Force in front × 2.00.", "FLAGGED: too soft.", "Damping ratio 0.42.", ends, "Ride: 84 %."]
    assert said_of("tune", verdict) == [*verdict[:2], ends]
    assert said_of("sweep", verdict) == verdict[:1]


VARIED = (
    ("sweep", "sweep: {vary: {run.height: {first: 40 mm, last: 60 mm, points: 3}}}\n", ("best", "40 mm", "60 mm")),
    (
        "tune",
        "tune: {start: two, move: {Force in front: {kind: scale, path: front.dampers.main.valving, low: 0.5, high: 2}}, goal: {ride_wk_driver: 1}, "
        "generations: 2}\n",
        ("Force in front", "'two'"),
    ),
)


@pytest.mark.long
@pytest.mark.parametrize(("command", "section", "words"), VARIED)
def test_a_sweep_and_a_tuning_say_what_they_come_to_and_where_their_report_is(
    started, tmp_path, command, section, words
):
    two = DROP.replace("{as it is: }", "{as it is: , two: {front.springs.coil.rate: 45 N/mm}}")
    said = heard(started(two + section, command))
    assert (tmp_path / "outputs" / said["report"]).is_file()
    assert said["report"].endswith("/report.html")
    # What it comes to, and no line of how far it was.
    assert all(word in said["said"][0] for word in words)
    assert not any("Wrote" in text or " of 32" in text or str(tmp_path) in text for text in said["said"])


def test_what_the_truck_lacks_is_said_in_the_forms_words_with_its_box(started, tmp_path):
    own = tmp_path / "hut_supply_truck.yaml"
    text = own.read_text(encoding="utf-8")
    assert text.count("final_drive: 4.3, ") == 2
    own.write_text(text.replace("final_drive: 4.3, ", ""), encoding="utf-8")
    said = heard(started())
    assert "final drive" in said["why"].lower()
    assert "is not filled in" in said["why"]
    assert said["why"].endswith("Nothing was run or written.")
    assert not any(word in said["why"] for word in (".yaml", "the key", "final_drive"))
    assert said["box"] == "front.shafts.final_drive"


def test_what_is_wrong_with_a_scenario_is_said(started):
    said = heard(started(DROP.replace("50 mm", "50 parrots")))
    assert "run.height" in said["why"]


def test_it_is_stopped_at_will(started, tmp_path):
    work = started()
    work.stop()
    assert work._process.poll() is not None
    assert not (tmp_path / "outputs").exists()


def test_a_tuning_is_offered_with_the_set_up_that_it_starts_from():
    setups = {"as it is": None, "lifted": {}}
    for tune, start in (({}, "as it is"), ({"start": "lifted"}, "lifted")):
        words = {one["command"]: one["words"] for one in works_of({"tune": tune, "setups": setups})}
        assert words["tune"].endswith(f"from “{start}”")
        assert start not in words["compare"]


def test_only_what_a_file_asks_for_is_offered():
    assert [one["command"] for one in works_of({})] == ["compare", "sheet"]
    assert [one["command"] for one in works_of({"sweep": {}, "tune": {}})] == ["compare", "sweep", "tune", "sheet"]


AWAY = (
    "kind: scenario\nname: Away\nvehicle: hut_supply_truck.yaml\nrun: {kind: launch, surface: {friction: 0.85, sliding: 0.62, peak_at: 13 %}, watch: 1 s}\n"
    "setups: {as it is: }\n"
)


def test_lean_and_tramp_are_offered_of_a_launch_alone():
    launch = [one["command"] for one in works_of({"run": {"kind": "launch"}})]
    assert launch == ["compare", "lean", "tramp", "sheet"]
    for kind in ("course", "brake", "push"):
        assert [one["command"] for one in works_of({"run": {"kind": kind}})] == ["compare", "sheet"]


@pytest.mark.long
def test_lean_says_what_it_comes_to_with_its_picture_and_its_tables(started, tmp_path):
    said = heard(started(AWAY, "lean"))
    assert "lean the rear dampers" in said["said"][0]
    assert said["picture"].endswith("/leans.png")
    assert {Path(one).name for one in said["tables"]} == {"leans.csv", "lean_changes.csv"}
    for one in (said["picture"], *said["tables"], said["report"]):
        assert (tmp_path / "outputs" / one).stat().st_size > 0


@pytest.mark.long
def test_tramp_is_of_the_set_up_that_was_chosen(started):
    assert "there is no set-up" in heard(started(AWAY, "tramp", "five"))["why"]


def test_a_stop_before_the_answer_is_read_leaves_nothing_to_say(started):
    work = started()
    given_up = time.monotonic() + PATIENCE_S
    while work._process.poll() is None:
        assert time.monotonic() < given_up
        time.sleep(0.05)
    work.stop()
    # That it has ended is still there to be taken, and its answer is gone.
    said = []
    while work._lines.qsize():
        said.append(work.next())
    assert said
    assert said[-1] is None
