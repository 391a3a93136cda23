"""What a command says where it cannot do what was asked: which file, which key, which form would do."""

import re
import shutil
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.study.loads import Case, Loaded, beyond, cases, in_most, judgement, usual_loads

ROOT = Path(__file__).parents[2]
TRUCK = ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
SCENARIO = "kind: scenario\nname: x\nvehicle: {}\nrun: {{kind: drop, height: 50 mm}}\nsetups: {{as it is: {{}}}}\n"


def test_a_vehicle_in_place_of_a_scenario_names_one_beside_it(tmp_path, capsys):
    truck = tmp_path / "my_truck.yaml"
    shutil.copy(TRUCK, truck)
    assert main(["compare", str(truck)]) == 2
    assert "try:" not in capsys.readouterr().err
    (tmp_path / "a_other.yaml").write_text(SCENARIO.format("other.yaml"), encoding="utf-8")
    (tmp_path / "zz.yaml").write_text(SCENARIO.format("'my_truck.yaml'  # mine"), encoding="utf-8")
    assert main(["compare", str(truck)]) == 2
    assert "zz.yaml, a scenario with this vehicle" in capsys.readouterr().err
    (tmp_path / "my_truck_first.yaml").write_text(SCENARIO.format("my_truck.yaml"), encoding="utf-8")
    assert main(["compare", str(truck)]) == 2
    assert "my_truck_first.yaml, a scenario with this vehicle" in capsys.readouterr().err


def test_without_a_command_the_commands_are_listed(capsys):
    with pytest.raises(SystemExit) as ended:
        main([])
    assert ended.value.code == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "run all set-ups of a scenario side by side" in err
    # An option that is missing elsewhere is still named.
    with pytest.raises(SystemExit):
        main(["check"])
    assert "the following arguments are required: files" in capsys.readouterr().err


def test_a_wrong_key_lists_what_a_shop_may_write_too(tmp_path, capsys):
    path = tmp_path / "my_truck.yaml"
    axle = "front: {tyres: {}, tyre: {sise: 33x12.50R15}}"
    path.write_text(
        f"kind: vehicle\nname: x\nweighed: {{front: 2450 lb}}\nwheel_base: 92 in\n{axle}\n", encoding="utf-8"
    )
    assert main(["check", str(path)]) == 2
    err = capsys.readouterr().err
    lists = {
        place: set(keys.split(", ")) for place, keys in re.findall(r": ([\w.]+): the key .*\n +allowed: (.*)", err)
    }
    assert {"weighed", "overall_length", "wheelbase", "front"} <= lists["wheel_base"]
    assert {"axle_height", "frame_height", "tyre"} <= lists["front.tyres"]
    assert {"size", "outside_diameter", "pressure", "rate"} <= lists["front.tyre.sise"]
    # Of a vehicle that is not written as measured only the key that makes it one.
    path.write_text(TRUCK.read_text(encoding="utf-8").replace("wheelbase:", "wheel_base:"), encoding="utf-8")
    assert main(["check", str(path)]) == 2
    allowed = next(one for one in capsys.readouterr().err.splitlines() if "allowed:" in one)
    assert "weighed" in allowed
    assert "overall_length" not in allowed


@pytest.mark.parametrize("columns", [60, 80, 110])
def test_a_table_of_loads_is_as_wide_as_columns_says(columns, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", str(columns))
    assert main(["loads", str(TRUCK)]) in (0, 3)
    out = capsys.readouterr().out
    assert max(map(len, out.splitlines())) <= columns
    # Broken into blocks, and none of it lost: every figure of the wide table, whole.
    monkeypatch.delenv("COLUMNS")
    assert main(["loads", str(TRUCK)]) in (0, 3)
    wide = capsys.readouterr().out
    figures = set(re.findall(r"-?\d+\.\d mm \(-?\d+\.\d\d in\)", wide))
    assert len(figures) > 20
    assert figures <= set(re.findall(r"-?\d+\.\d mm \(-?\d+\.\d\d in\)", out))
    assert "further columns" in out


def test_what_most_rows_judge_alike_is_said_once():
    truck = sim.vehicle_from({"weighed": {"front": "2450 lb", "rear": "1780 lb"}, "wheelbase": "92 in"})
    rows = cases(truck, usual_loads(truck))
    for axle in ("front", "rear"):
        often = in_most(rows, axle)
        assert often, "of a truck that is estimated the gap to the stop is, in every row"
        said = [beyond(case, rows[0], axle, often) for case in rows if case.axles]
        for sentence in often.values():
            judged = judgement(sentence.partition("”: ")[2].rstrip("."))
            assert judged in often
            assert not any(judgement(part) in often for one in said for part in one.split("; "))
        # Whatever is past a limit keeps its row.
        for case in rows:
            for flag in case.axles[axle].flags if case.axles else ():
                assert beyond(case, rows[0], axle, often) != "as said below", flag


def test_rows_that_differ_in_figures_alone_judge_alike():
    assert judgement("front hop 6.7 Hz: slow, usual 8.0 to 12.0 Hz") == judgement(
        "front hop 6.8 Hz: slow, usual 8.0 to 12.0 Hz"
    )
    assert (
        judgement("bump left 44 mm")
        == judgement("bump left (part loaded) 51 mm")
        == judgement("bump left (loaded) 5 mm")
    )
    assert judgement("front hop 6.7 Hz: slow") != judgement("front hop 6.7 Hz: hard")
    # Said of a row or two it stays there.
    row = Case("", {"front": Loaded(0.0, 1e4, 1.3, 0.3, 0.1, 0.1, 0.1, 0.1, "slow 1 Hz")})
    assert in_most([row, row], "front") == {}
