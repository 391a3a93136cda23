"""Names of measures are known before anything is run: as a run itself has them, and refused by `jounce check` where they are none."""

import pytest
import yaml

from sim.cli import main
from sim.describe.runs import Brake, Push
from sim.integrate.simulation import simulate
from sim.measure import measures_for
from sim.study.measurable import measurable
from tests.study.tuning.cases import written
from tests.synthetic import SCENARIOS, hut_truck

RUNS = [
    Push.model_validate({"kind": "push", "over": "front", "force": "900 N", "watch": "1 s"}),
    Brake.model_validate(
        {
            "kind": "brake",
            "speed": "20 km/h",
            "surface": {"name": "dry road", "friction": 0.85, "sliding": 0.68, "peak_at": "12 %"},
            "watch": "1 s",
        }
    ),
]


@pytest.mark.parametrize("run", RUNS, ids=lambda run: run.kind)
def test_names_without_a_run_are_those_of_the_run(run):
    of_a_run = [one.name for one in measures_for(simulate(hut_truck(), run))]
    assert [one.name for one in measurable(run, hut_truck())] == of_a_run


def test_check_refuses_a_wrong_measure_of_a_tuning(tmp_path, capsys):
    path = written(
        tmp_path, goal={"ride_wk_drivr": 1}, limits={"front_left_to_stap": {"at_least": "5 mm"}}, trade_off=None
    )
    line = 1 + path.read_text(encoding="utf-8").splitlines().index("    ride_wk_drivr: 1")
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr().err
    assert f"push.yaml:{line}:" in said
    assert "given: ride_wk_drivr" in said
    assert "did you mean 'ride_wk_driver'" in said
    assert "did you mean 'front_left_to_strap'" in said
    assert main(["check", str(written(tmp_path, limits={"front_main_room_in": {"at_least": "5 mm"}}))]) == 0


@pytest.mark.parametrize(("name", "code"), [("rear_left_to_stopp", 2), ("rear_left_to_stop", 0)])
def test_check_refuses_a_wrong_measure_of_a_sweep(name, code, tmp_path, capsys):
    asked = {
        "kind": "scenario", "name": "x", "vehicle": str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"),
        "run": {"kind": "push", "over": "front", "force": "900 N", "watch": "1 s"}, "setups": {"as fitted": None},
        "sweep": {"vary": {"front.dampers.main.count": {"first": 2, "last": 4, "points": 3}}, "measures": ["front_left_to_stop", name]},
    }  # fmt: skip
    path = tmp_path / "x.yaml"
    path.write_text(yaml.safe_dump(asked, sort_keys=False), encoding="utf-8")
    assert main(["check", str(path)]) == code
    said = capsys.readouterr().err
    if code:
        line = 1 + path.read_text(encoding="utf-8").splitlines().index(f"  - {name}")
        assert f"x.yaml:{line}:" in said
        assert f"given: {name}" in said
        assert "did you mean 'rear_left_to_stop'" in said
