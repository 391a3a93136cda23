"""What was typed and is possible, but hardly meant: said with its line, what is usual, and the slip behind it; cautions beside the work."""

import shutil
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.describe.runs import RUNS
from sim.describe.unit_factors import USUAL
from sim.describe.usual import OTHER_UNITS, USUAL_RANGES

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
VEHICLE, SCENARIO, PUSH = "vehicles/hut_supply_truck.yaml", "two_or_four.yaml", "push_on_the_bumper.yaml"


@pytest.fixture
def demo(tmp_path, monkeypatch):
    shutil.copytree(ROOT / "scenarios", tmp_path / "scenarios")
    monkeypatch.chdir(tmp_path)
    return tmp_path / "scenarios"


def edited(path, old, new):
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), encoding="utf-8")


def told(capsys, *arguments):
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return code, out, err


# A kilogram is 2.2 lb, an inch 25.4 mm (NIST SP 811): of each slip the value as meant is an ordinary truck's (common practice, no source).
SLIPS = [
    ("mass: 1640 kg", "mass: 3300 kg", "hut_supply_truck.yaml:9:9: body.mass", "3300 lb would be usual"),
    ("rate: 36 N/mm", "rate: 1900 lb/in", ":55:13: front.springs.coil.rate", "190 lb/in would be usual: a digit too many"),
    ("rate: 36 N/mm", "rate: 205 N/mm", "front.springs.coil.rate", "205 lb/in or 20.5 N/mm would be usual: look at the unit, or at the decimal point"),
    ("gap: 88 mm", "gap: 30 in", ":60:10: front.stop.gap", "30 mm or 3 in would be usual"),
    ("gap: 88 mm", "gap: 3 mm", "front.stop.gap", "30 mm or 3 in would be usual"),
    ("inertia: 2750 kg m^2", "inertia: 275 kg m^2", ":11:18: body.pitch_inertia", "2750 kg m^2 would be usual: a digit too few"),
    ("radius: 402 mm", "radius: 32 in", "front.tyre.radius", "16 in would be usual: it looks like the diameter"),
    ("gas_force: 120 N", "gas_force: 2.7e3 +- 200 N", "front.dampers.main.gas_force", "270 N would be usual"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "place", "slip"), SLIPS)
def test_a_slip_gets_a_notice_with_its_line_and_what_was_meant(demo, capsys, old, new, place, slip):
    edited(demo / VEHICLE, old, new)
    _, _, err = told(capsys, "check", f"scenarios/{SCENARIO}")
    notices = [text for text in err.split("NOTICE: ") if place in text]
    assert len(notices) == 1, err  # once, though four set-ups have it
    assert f"given: {new.partition(': ')[2]}" in notices[0]
    assert "usual: " in notices[0]
    assert "no source" in notices[0]
    assert slip in notices[0]


# 3300 lb in front and 2240 lb behind is such a truck, 60 % of it in front (common practice, no source); one of them in kg is not.
@pytest.mark.parametrize(
    ("front", "rear", "place", "said"),
    [
        ("3300 kg", "2240 lb", "weighed.front", ["usual: 300 to 2200 kg", "3300 lb or 330 kg would be usual"]),
        ("2100 kg", "1600 lb", "weighed.front", ["74 % of both", "usual: 45 to 65 %", "front 2100 lb or rear 1600 kg would be usual"]),
        ("3300 lb", "2240 kg", "weighed.rear", ["40 % of both", "rear 2240 lb would be usual: look at the unit"]),
        ("1640 kg", "700 kg", "weighed.front", ["70 % of both", "less with a loaded bed"]),
        ("3300 lb", "2240 lb", "", []),
        ("1500 kg", "2240 lb", "", []),
    ],
)  # fmt: skip
def test_a_load_on_the_scale_in_the_unit_of_the_other_axle_gets_one_notice(front, rear, place, said):
    vehicle = sim.vehicle_from({"weighed": {"front": front, "rear": rear}, "wheelbase": "92 in"})
    notices = [one for one in vehicle._written.unusual(vehicle) if "weighed" in ".".join(map(str, one.place))]
    assert [".".join(map(str, one.place)) for one in notices] == ([place] if place else [])
    for words in said:
        assert words in notices[0].text


def test_what_is_usual_is_said_in_a_rare_unit_too():
    """10 N/mm is 100 N/cm: a newton a centimetre is a tenth of one a millimetre. 36 N/cm is a tenth of the 36 N/mm that was meant."""
    vehicle = sim.vehicle_from(
        {"weighed": {"front": "1180 kg", "rear": "960 kg"}, "wheelbase": "2580 mm", "front": {"springs": {"coil": {"rate": "36 N/cm"}}}}
    )  # fmt: skip
    (notice,) = vehicle._written.unusual(vehicle)
    assert "usual: 100 to 1500 N/cm for one coil" in notice.text
    assert "36 N/mm would be usual" in notice.text


@pytest.mark.parametrize(
    ("counts", "odd"),
    [
        ({"main": 3}, True),
        ({"main": 2}, False),
        ({"main": 1}, False),
        ({"main": 1, "other": 1}, False),
        ({"main": 2, "other": 1}, True),
    ],
)
def test_an_odd_number_of_dampers_gets_a_notice(counts, odd):
    """Left and right alike is what the model takes; an axle of 3 is a side of 2 and a side of 1 (common practice, no source)."""
    axle = {"dampers": {name: {"length_extended": "23.5 in", "count": str(count)} for name, count in counts.items()}}
    vehicle = sim.vehicle_from(
        {"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in", "front": axle}
    )
    notices = [one for one in vehicle._written.unusual(vehicle) if "count" in one.place]
    assert len(notices) == odd
    for one in notices:
        assert f"given: {sum(counts.values())} dampers on the front axle" in one.text
        assert "4 for two a side" in one.text


def test_people_and_masses_aboard_that_are_no_loads_get_a_notice():
    """They are weighed with the truck, and stay in it: who wants them out must name them as loads."""
    aboard = ["driver", "two men", "1/2 tank", "300 lb of tools", "driver and passenger", "spare parts"]
    vehicle = sim.vehicle_from(
        {"weighed": {"front": "2450 lb", "rear": "1780 lb", "aboard": aboard}, "wheelbase": "92 in"}
    )
    notices = [one for one in vehicle._written.unusual(vehicle) if "aboard" in one.place]
    assert [one.place[-1] for one in notices] == [1, 3, 4]
    assert "given: two men" in notices[0].text
    assert "driver and passenger" in notices[0].text


@pytest.mark.parametrize(
    ("word", "meant"),
    [("drivr", "try: driver"), ("pasenger", "try: passenger"), ("2580 mm", "that is a length"), ("92 in", "that is a length"), ("full tank", ""), ("2 spare wheels", "")],
)  # fmt: skip
def test_a_slip_in_what_was_aboard_gets_a_notice(word, meant):
    """A driver who is misspelt is no load, and a wheelbase typed a line too early is nobody."""
    vehicle = sim.vehicle_from(
        {"weighed": {"front": "1180 kg", "rear": "960 kg", "aboard": [word]}, "wheelbase": "92 in"}
    )
    notices = [one for one in vehicle._written.unusual(vehicle) if "aboard" in one.place]
    assert len(notices) == bool(meant)
    assert all(meant in one.text for one in notices)


def test_beside_a_notice_not_all_is_called_well(demo, capsys):
    assert "All is well" in told(capsys, "check", f"scenarios/{SCENARIO}")[1]
    edited(demo / VEHICLE, "mass: 1640 kg", "mass: 3300 kg")
    code, out, err = told(capsys, "check", f"scenarios/{VEHICLE}")
    assert "NOTICE" in err
    assert code == 0
    assert "All is well" not in out
    assert "see what the NOTICE asks first" in out


def test_a_tyre_is_never_shown_the_pressure_of_a_damper(capsys, tmp_path):
    """200 psi in a tyre that allows 35 can kill: what a message suggests is done by somebody."""
    code, _, err = told(
        capsys, "new", tmp_path / "t.yaml", "--front", "2450 lb", "--rear", "1780 lb", "--pressure", "26"
    )
    assert code == 2
    assert "write e.g. '26 psi'" in err
    assert "200 psi" not in err


def test_a_set_up_is_told_at_its_own_line_and_other_commands_say_it_too(demo, capsys):
    edited(demo / SCENARIO, "  two front:\n", "  two front:\n    front.stop.gap: 30 in\n")
    for command in ("check", "stand"):
        code, _, err = told(capsys, command, f"scenarios/{SCENARIO}")
        assert code in (0, 3)
        assert err.count("NOTICE") == 1
        assert "two_or_four.yaml:12:5: front.stop.gap: possible, but hardly meant" in err


def test_how_an_ambiguous_notation_was_read_is_said(demo, capsys):
    edited(demo / VEHICLE, "mass: 1640 kg", "mass: 1,640 kg")
    edited(demo / VEHICLE, "rate: 36 N/mm", "rate: 3.6 kg/mm")
    code, _, err = told(capsys, "check", f"scenarios/{VEHICLE}")
    assert code == 0
    assert ":9:9: body.mass: '1,640 kg' is read as 1640 kg" in err
    assert "front.springs.coil.rate: '3.6 kg/mm' is read with kg as a force (kgf): 35.30 N/mm" in err


def test_nothing_is_said_of_the_demo():
    """An ordinary truck, and every scenario of it."""
    for path in sorted((ROOT / "scenarios").glob("*.yaml")):
        loaded = sim.load(path)
        assert [text for text in loaded.notices if "hardly" in text or "hand test" in text] == [], path


def test_every_range_is_of_a_key_that_there_is():
    from sim.describe.estimates.as_measured import OF_PARTS, AxleAsMeasured, Lifted, TruckAsMeasured, Weighed
    from sim.describe.parts.vehicle import Vehicle

    known = set()

    def walk(kind, above):
        from typing import get_args

        from pydantic import BaseModel

        if isinstance(kind, type) and issubclass(kind, BaseModel):
            for name, field in kind.model_fields.items():
                known.update({f"{kind.__name__}.{name}", f"{above}.{name}"})
                if f"{kind.__name__}.{name}" not in walked:
                    walked.add(f"{kind.__name__}.{name}")
                    walk(field.annotation, f"{kind.__name__}.{name}")
                elif above:
                    known.update(f"{above}.{inner}" for inner in kind.model_fields)
            return
        for inner in get_args(kind):
            walk(inner, above)

    walked = set()
    for one in (Vehicle, *OF_PARTS, AxleAsMeasured, TruckAsMeasured, Weighed, Lifted, *RUNS):
        walk(one, "")
    known.update(f"Body.centre_of_gravity.{name}" for name in ("above_ground",))
    assert set(USUAL_RANGES) <= known
    for usual in USUAL_RANGES.values():
        assert 0.0 < usual.low < usual.high
        assert "no source" in usual.source


def test_units_that_are_taken_for_one_another_have_the_factors_of_the_reader():
    for si, others in OTHER_UNITS.items():
        for unit, factor in others:
            known = {**USUAL[si], "lb ft^2": 0.3048**2 * 0.45359237, "kgf": 9.80665, "kgf m": 9.80665}
            assert factor == pytest.approx(known[unit], rel=1e-12), (si, unit)


HAND = "{kind: push, over: front, outside_wheels: 450 mm, force: 800 N, press: 1 s, hold: 1.5 s, watch: 5 s}"


@pytest.mark.parametrize(
    ("run", "said"),
    [
        (HAND.replace("800 N", "2.4 kN"), "no hand test: a person pushes with about his own weight"),
        ("{kind: drop, height: 2 m}", "no hand test: on a truck at most 50 to 100 mm are tried"),
    ],
)
def test_a_run_that_nobody_does_by_hand_is_said_to_be_none(demo, capsys, run, said):
    """A person weighs 60 to 100 kg, so 600 to 1000 N (common practice, no source)."""
    edited(demo / PUSH, HAND, run)
    code, _, err = told(capsys, "check", f"scenarios/{PUSH}")
    assert code == 0
    assert said in err
    assert "push_on_the_bumper.yaml:6:" in err
    edited(demo / PUSH, run, run.replace("2.4 kN", "180 lbf").replace("2 m", "2 1/2 in"))
    assert "NOTICE" not in told(capsys, "check", f"scenarios/{PUSH}")[2]


WRONG = [
    (VEHICLE, "wheelbase: 2.95 m", "wheelbase:", ["the value of 'wheelbase' is missing", "write e.g."]),
    (VEHICLE, "wheelbase: 2.95 m", "wheelbase: {a: 1}", ["given: {a: 1}"]),
    (VEHICLE, "wheelbase: 2.95 m", "wheelbase: 2,950 m", ["not be more than 20 m", "decimal comma"]),
    (VEHICLE, "{mass: 232 kg,", "{mass: 1,232 kg,", ["inside { } a comma begins the next key", "in quotes"]),
    (VEHICLE, "name: Hut supply truck", "name: 12", ["here text is wanted", "in quotes: '12'"]),
    (VEHICLE, "final_drive: 4.3", "final_drive: 4.3 m", ["a bare number is wanted, without a unit"]),
    (VEHICLE, "gear: 3.6 ", "gear: abc ", [":32:9: driveline.gear", "a bare number is wanted"]),
    (VEHICLE, "wind_up: {rate: 42 kN m/rad", "wind_up: {rate: stiff", ["allowed: rigid or from_leaves", "1 problem."]),
    (VEHICLE, "loads:\n  driver:", "loads:\n  - driver:", ["'key: value' lines", "given: [{driver: "]),
    (VEHICLE, "torque: 310 N m", "torque: 310", [":26:35: driveline.engine.torque.1.torque", "given: 310", "1 problem."]),
    (SCENARIO, "front.dampers: none", "front.dampers.main.count: many", ["setups.bare springs.front.dampers.main.count", "a whole number"]),
    (SCENARIO, "front.dampers: none", "front.springs: {}", ["here at least 1 must be written"]),
    (SCENARIO, "front.dampers: none", "front..dampers: none", ["a step of this path is empty", "try: front.dampers"]),
    (SCENARIO, "vehicle: vehicles/hut_supply_truck.yaml", "vehicle: courses/hut_track.yaml",
     ["two_or_four.yaml:5:10: vehicle", "here a vehicle file is wanted"]),
    (SCENARIO, "vehicle: vehicles/hut_supply_truck.yaml", "vehicle: 3", ["vehicle: here text is wanted"]),
    (SCENARIO, "setups:", "show: travel\nsetups:", ["show: here a list is wanted: values in brackets"]),
    (SCENARIO, "setups:", "frob: 3\nsetups:\n  bad: {front.stop.gap: 3}", ["'frob' is not known", ":9:9: setups.bad.front.stop.gap", "2 problems"]),
    ("courses/hut_track.yaml", "items:", "items: 3\nx:", ["items: here a list is wanted"]),
    ("which_speed.yaml", "points: 32", "points: 2.5", ["sweep.vary.run.speed.points: here a whole number is wanted"]),
    ("which_speed.yaml", "first: 8 km/h", "first: 10", ["which_speed.yaml:21:5: sweep.vary.run.speed", "in one unit"]),
    ("which_speed.yaml", "first: 8 km/h", "first: -5 km/h", ["which_speed.yaml:21:5: sweep.vary.run.speed", "must be more than 0"]),
    ("which_speed.yaml", "run.speed:", "run.spede:", ["which_speed.yaml:21:5: sweep.vary.run.spede", "no 'spede'"]),
    ("tune_for_the_track.yaml", "low: 0.05 m/s", "low: 0.05", [":28:12: tune.move.front knees.low", "needs a unit"]),
    ("tune_for_the_track.yaml", "generations: 15", "generations: many", ["tune.generations: here a whole number"]),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "said"), WRONG)
def test_what_is_wrong_is_said_in_words_at_its_line(demo, capsys, file, old, new, said):
    edited(demo / file, old, new)
    code, _, err = told(capsys, "check", f"scenarios/{SCENARIO if file.startswith(('vehicles', 'courses')) else file}")
    assert code == 2
    for words in said:
        assert words in err
    # words of the library, and Python's own way to write a value
    for raw in ("input should", "valid string", "valid tuple", "dictionary", "unable to parse", "{'", "None"):
        assert raw not in err


def test_a_path_that_leads_nowhere_hides_nothing_else_of_its_set_up(demo, capsys):
    edited(
        demo / SCENARIO,
        "    front.dampers: none\n",
        "    front.damper.main.count: 3\n    front.stop.gap: 30\n    rear.tyre.rate: 3 kg\n",
    )
    code, _, err = told(capsys, "check", f"scenarios/{SCENARIO}")
    assert code == 2
    assert "did you mean 'dampers'?" in err
    assert "setups.bare springs.front.stop.gap: the number 30 needs a unit" in err
    assert "setups.bare springs.rear.tyre.rate: 'kg' is not a rate" in err
    assert "3 problems" in err


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["stand", f"scenarios/{VEHICLE}"], "wheels chocked"),
        (["sheet", f"scenarios/{VEHICLE}"], "support the axle"),
        (["simulate", f"scenarios/{PUSH}", "--no-plots", "--no-doubt"], "nobody under it"),
    ],
)
def test_a_caution_stands_beside_the_work_once_and_in_one_line(demo, capsys, arguments, said):
    _, _, err = told(capsys, *arguments)
    lines = [line for line in err.splitlines() if line.startswith("CAUTION")]
    assert len(lines) == 1
    assert said in lines[0]


def test_every_run_that_people_do_on_the_truck_has_its_caution():
    """The shop's usual ones (common practice, no source): chocks, nobody underneath, private ground."""
    said = {run.model_fields["kind"].annotation.__args__[0]: run.caution for run in RUNS}
    for kind, words in {
        "push": "nobody under",
        "drop": "chocks",
        "launch": "private ground",
        "brake": "private ground",
    }.items():
        assert words in said[kind]
        assert "\n" not in said[kind]


def test_commands_about_heat_brackets_and_machines_have_theirs():
    from sim.cli import dyno, lean
    from sim.show.report.endured import BURNS

    assert "burn" in BURNS
    assert "brackets" in lean.CAUTION
    assert "guard" in dyno.CAUTION
    assert "burn" in dyno.CAUTION
