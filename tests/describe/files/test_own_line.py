"""A wrong key or value of a scenario's run stands in the scenario: the error points there, not at the course's file."""

import re
from pathlib import Path

import pytest

import sim
from sim.errors import InputError

SCENARIOS = Path(__file__).parents[3] / "scenarios"
COURSE = f"course: {SCENARIOS / 'courses' / 'hut_track.yaml'}"
HEAD = f"""kind: scenario
name: a
vehicle: {SCENARIOS / "vehicles" / "hut_supply_truck.yaml"}
setups: {{as it is:}}
run:
"""
FIRST = HEAD.count("\n") + 1
"""Line of the run's first key."""


@pytest.mark.parametrize(
    ("lines", "at", "said"),
    [
        (["kind: course", COURSE, "speed: 26 km/h", "settel: 2 s"], 3, "run.settel: the key 'settel' is not known here"),
        (["kind: course", COURSE, "speed: 26 kg"], 2, "run.speed: 'kg' is not a speed"),
        (["kind: course", COURSE, "speed: 26 km/h", "driver: cruise"], 3, "run.driver: 'cruise' is not one of the choices"),
        (["kind: course", COURSE, "speed: 26 km/h", "settle: -1 s"], 3, "run.settle: must not be less than 0.5 s"),
        (["kind: course", "course: nowhere.yaml", "speed: 26 km/h"], 1, "run.course: .*nowhere.yaml: there is no such file"),
        (
            ["kind: track", "stages:", f"  - {{kind: drive, {COURSE}, speed: 26 km/h, distance: 5 kg}}"],
            2, "run.stages.0.distance: 'kg' is not a length",
        ),
        (
            ["kind: course", "speed: 26 km/h", "course:", "  kind: course", "  name: x", "  items:",
             "    - {kind: flat, length: 10 m}", "    - {kind: plank, height: 40 mm, width: 1 m, wide: 1 m}"],
            7, "run.course.items.1.wide: the key 'wide' is not known here",
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_in_a_run_is_shown_at_its_own_line(tmp_path, lines, at, said):
    path = tmp_path / "scenario.yaml"
    path.write_text(HEAD + "".join(f"  {line}\n" for line in lines), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        sim.load(path)
    first = str(caught.value).splitlines()[0]
    place, _, rest = first.partition(": ")
    assert place.rsplit(":", 2)[0].endswith("scenario.yaml")
    assert int(place.rsplit(":", 2)[1]) == FIRST + at
    assert re.match(said, rest)


def test_what_is_wrong_in_a_course_is_shown_in_its_own_file(tmp_path):
    course = tmp_path / "bad.yaml"
    course.write_text("kind: course\nname: b\nitems:\n  - {kind: flat, length: 10 m}\n  - {kind: flat, lenght: 10 m}\n")
    path = tmp_path / "scenario.yaml"
    path.write_text(HEAD + "  kind: course\n  course: bad.yaml\n  speed: 26 km/h\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        sim.load(path)
    assert all(
        "bad.yaml:5:" in line for line in str(caught.value).splitlines() if "lenght" in line and ":" in line[:60]
    )
    assert "scenario.yaml:" not in str(caught.value)
