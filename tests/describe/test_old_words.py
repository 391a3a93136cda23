"""Files with words of older versions: read as the new ones are, with a notice at each line. Common practice, no source, for the words."""

import re
from pathlib import Path

import pytest

import sim
from sim.describe.files.schema import schemas
from sim.describe.old_words import new_measure, new_path, new_steps
from sim.errors import InputError

TRUCK = Path("scenarios/vehicles/hut_supply_truck.yaml").read_text(encoding="utf-8")
OLD_TRUCK = TRUCK.replace("valving:", "law:").replace("compression:", "bump:")

SCENARIO = """kind: scenario
name: old words
vehicle: truck.yaml
run: {kind: push, over: front, force: 800 N}
setups:
  standard: {}
  softer:
    front.dampers.main.VALVING.COMPRESSION.low: 1.2 kN s/m
    rear.dampers.main.VALVING: {kind: straight, COMPRESSION: 1 kN s/m, rebound: 2 kN s/m}
  two sets:
    front.dampers.second:
      VALVING: {kind: straight, COMPRESSION: 1 kN s/m, rebound: 2 kN s/m}
      body: {behind_front_axle: 130 mm, above_ground: 0.97 m}
      axle: {ahead: -90 mm, above: 20 mm}
sweep:
  vary:
    front.dampers.main.VALVING.COMPRESSION.low, front.dampers.main.VALVING.rebound.low: {first: 1 kN s/m, last: 2 kN s/m, points: 3}
  measures: [BOUNCE_overshoot]
tune:
  move:
    one: {kind: value, path: front.dampers.main.VALVING.COMPRESSION.low, low: 1 kN s/m, high: 2 kN s/m}
    two: {kind: scale, path: [front.dampers.main.VALVING, rear.dampers.main.VALVING], low: 0.5, high: 2}
  over:
    softer still:
      changes:
        front.dampers.main.VALVING.COMPRESSION.low: 0.8 kN s/m
  goal: {BOUNCE_overshoot: 1}
  limits: {front_BUMP_used: {at_most: 80 mm}}
  trade_off: [BOUNCE_overshoot, front_BUMP_used]
show: [axle_travel]
"""
NEW = {"VALVING": "valving", "COMPRESSION": "compression", "BOUNCE": "bounce", "BUMP": "bump"}
OLD = {"VALVING": "law", "COMPRESSION": "bump", "BOUNCE": "heave", "BUMP": "jounce"}


def written(folder, truck, words):
    folder.mkdir()
    (folder / "truck.yaml").write_text(truck, encoding="utf-8")
    text = SCENARIO
    for word, as_written in words.items():
        text = text.replace(word, as_written)
    (folder / "scenario.yaml").write_text(text, encoding="utf-8")
    return folder / "scenario.yaml"


def test_old_files_are_the_same_trucks(tmp_path):
    new = sim.load(written(tmp_path / "new", TRUCK, NEW))
    old = sim.load(written(tmp_path / "old", OLD_TRUCK, OLD))
    assert [one.model_dump() for one in new.setups.values()] == [one.model_dump() for one in old.setups.values()]
    assert new.sweep == old.sweep
    assert new.tune == old.tune
    assert new.notices == ()


def test_each_old_word_is_said_once_at_its_line(tmp_path):
    """By the lines of the text: every line with an old word has a notice that says the new one, and no other has."""
    path = written(tmp_path / "old", OLD_TRUCK, OLD)
    said = {}
    for notice in sim.load(path).notices:
        file, line, _, _ = notice.split(":", 3)
        said.setdefault((Path(file).name, int(line)), []).append(notice)
    old_words = re.compile(r"\blaw\b|\bbump\b|heave_|jounce_")
    wanted = {
        (name, number)
        for name, text in (("truck.yaml", OLD_TRUCK), ("scenario.yaml", path.read_text(encoding="utf-8")))
        for number, line in enumerate(text.splitlines(), 1)
        if old_words.search(line)
    }
    assert set(said) == wanted
    assert len(wanted) == 4 + 11
    for (name, number), notices in said.items():
        text = OLD_TRUCK if name == "truck.yaml" else path.read_text(encoding="utf-8")
        line = text.splitlines()[number - 1]
        for old, new in (("law", "valving"), ("bump", "compression"), ("heave_", "bounce_"), ("jounce_", "bump_")):
            if re.search(rf"\b{old}(?![\w ])|{old}(?=\w*_)", line):
                assert any(new in notice for notice in notices), line


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("front.dampers.main.law.bump.low", "front.dampers.main.valving.compression.low"),
        ("rear.dampers.law.law.piston.bump.0.preload", "rear.dampers.law.valving.piston.compression.0.preload"),
        ("front.dampers.bump.count", "front.dampers.bump.count"),  # a set may have any name
        ("front.dampers.main.tube.law_temperature", "front.dampers.main.tube.valving_temperature"),
        ("run.speed", "run.speed"),
        ("front.springs.law.rate", "front.springs.law.rate"),
    ],
)
def test_paths(old, new):
    assert new_path(old) == new
    assert new_path(f"{old}, {old}") == f"{new}, {new}"
    assert ".".join(map(str, new_steps(old.split(".")))) == new


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("heave_settling_time", "bounce_settling_time"), ("rear_jounce_share", "rear_bump_share"),
        ("front_rebound_used", "front_droop_used"), ("load_shift", "load_transfer"),
        ("front_main_rebound_speed", "front_main_rebound_speed"), ("pitch_nose_up", "pitch_nose_up"),
    ],
)  # fmt: skip
def test_measures(old, new):
    assert new_measure(old) == new


def test_both_words_together_are_refused_at_the_line(tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(TRUCK.replace("      valving:", "      law: {kind: straight}\n      valving:", 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        sim.load(path)
    (problem,) = caught.value.problems
    assert "'law' is the old word for 'valving', and both are given" in problem.message
    assert problem.line == TRUCK.splitlines().index("      valving:") + 1
    with pytest.raises(InputError, match="given twice, once in its old words"):
        sim.load("scenarios/vehicles/hut_supply_truck.yaml").changed(
            {"front.dampers.main.law.bump.low": "1 kN s/m", "front.dampers.main.valving.compression.low": "1 kN s/m"}
        )
    with pytest.raises(InputError, match="both are given"):
        sim.load("scenarios/vehicles/hut_supply_truck.yaml").changed({"front.dampers.main": {"law": {}, "valving": {}}})


def test_wrong_values_under_old_words_point_to_their_lines(tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(OLD_TRUCK.replace("1.9 kN s/m, knee: 0.12", "1.9 kg, knee: 0.12", 1), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        sim.load(path)
    (problem,) = caught.value.problems
    assert problem.line == next(
        n for n, line in enumerate(OLD_TRUCK.splitlines(), 1) if "1.9 kN s/m, knee: 0.12" in line
    )


def test_schema_takes_both_words():
    """As JSON Schema 2020-12 has it: `deprecated` (validation, 9.3), and `anyOf` (core, 10.2.1.2) of `required`."""
    parts = schemas()["vehicle"]["$defs"]
    for part, new, old in (("DamperSet", "valving", "law"), ("Knee", "compression", "bump")):
        keys = parts[part]["properties"]
        assert keys[old]["deprecated"] is True
        assert new in keys[old]["description"]
        assert {key: value for key, value in keys[old].items() if key not in ("deprecated", "description")} == {
            key: value for key, value in keys[new].items() if key != "description"
        }
        assert {"anyOf": [{"required": [new]}, {"required": [old]}]} in parts[part]["allOf"]
        assert not {new, old} & set(parts[part]["required"])
