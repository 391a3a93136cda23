"""Which set-up the others are judged against, and what is said where it cannot be."""

import pytest
import yaml

from sim.describe.files.scenario import load_scenario
from sim.errors import InputError
from tests.synthetic import SCENARIOS

SETUPS = {
    "bare springs": {"front.dampers": "none", "rear.dampers": "none"},
    "no rear dampers": {"rear.dampers": "none"},
    "stiff": {"front.springs.coil.rate": "40 N/mm"},
    "as it is": {},
}


def written(folder, setups, **keys):
    path = folder / "scenario.yaml"
    given = {
        "kind": "scenario", "name": "x", "vehicle": str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"),
        "run": {"kind": "push", "over": "front", "outside_wheels": "450 mm", "force": "2 kN", "press": "1 s", "hold": "1 s", "watch": "1 s"},
        **keys, "setups": setups,
    }  # fmt: skip
    path.write_text(yaml.safe_dump(given, sort_keys=False), encoding="utf-8")
    return path


def test_the_one_that_is_named(tmp_path):
    assert load_scenario(written(tmp_path, SETUPS, reference="stiff")).reference == "stiff"


def test_else_the_one_without_changes(tmp_path):
    assert load_scenario(written(tmp_path, SETUPS)).reference == "as it is"


@pytest.mark.parametrize(
    ("names", "reference"),
    [
        (("bare springs", "no rear dampers", "stiff"), "stiff"),
        (("bare springs", "no rear dampers"), "bare springs"),  # nothing else is there
    ],
)
def test_else_the_first_with_dampers_on_both_axles(tmp_path, names, reference):
    assert load_scenario(written(tmp_path, {name: SETUPS[name] for name in names})).reference == reference


def problem(path):
    with pytest.raises(InputError) as raised:
        load_scenario(path)
    (only,) = raised.value.problems
    return only


def test_an_unknown_one_is_answered_with_its_line_and_the_nearest(tmp_path):
    path = written(tmp_path, SETUPS, reference="stif")
    wrong = problem(path)
    lines = path.read_text(encoding="utf-8").splitlines()
    assert lines[wrong.line - 1] == "reference: stif"
    assert "there is no set-up 'stif'" in wrong.message
    assert wrong.allowed == ", ".join(SETUPS)
    assert "stiff" in wrong.suggestion


@pytest.mark.parametrize("name", ["bare springs", "no rear dampers"])
def test_bare_springs_are_refused(tmp_path, name):
    wrong = problem(written(tmp_path, SETUPS, reference=name))
    assert "no damper on an axle" in wrong.message
    assert wrong.allowed == "stiff, as it is"


def test_bare_springs_may_be_where_nothing_else_is(tmp_path):
    setups = {name: SETUPS[name] for name in ("bare springs", "no rear dampers")}
    assert load_scenario(written(tmp_path, setups, reference="no rear dampers")).reference == "no rear dampers"


def test_the_first_page_is_still_drawn_under_its_former_name(tmp_path):
    scenario = load_scenario(written(tmp_path, SETUPS, show=["overlay", "axle_travel", "verdict"]))
    assert scenario.show == ("verdict", "axle_travel")
    assert any("'overlay' is called 'verdict' now" in text for text in scenario.notices)
