"""A small scenario to tune: the demo truck's bumper is pushed, with worn dampers."""

from pathlib import Path

import yaml

import sim
from sim.cli import main

ROOT = Path(__file__).parents[3]

WORN = {
    "kind": "knee", "compression": {"low": "0.63 kN s/m", "knee": "0.12 m/s", "high": "0.3 kN s/m"},
    "rebound": {"low": "1.7 kN s/m", "knee": "0.12 m/s", "high": "0.63 kN s/m"},
}  # fmt: skip

TUNE = {
    "start": "worn",
    "move": {
        "front force": {"kind": "scale", "path": "front.dampers.main.valving", "low": 0.5, "high": 4},
        "rear low bump": {
            "kind": "value",
            "path": "rear.dampers.main.valving.compression.low",
            "low": "1 kN s/m",
            "high": "4 kN s/m",
        },
    },
    "goal": {"front_body_settling_time": 1, "acceleration_rms_driver": 1},
    "generations": 2,
    "hold": {"draws": 16},
}


def written(folder, run=None, setups=None, **tune):
    """Write the scenario with other entries of its tune section; return its path."""
    asked = {key: value for key, value in {**TUNE, **tune}.items() if value is not None}
    data = {
        "kind": "scenario", "name": "Tune the push", "vehicle": str(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml"),
        "run": run or {"kind": "push", "over": "front", "outside_wheels": "450 mm", "force": "2.4 kN", "press": "0.5 s",
                       "hold": "0.5 s", "watch": "3 s"},
        "setups": setups or {"worn": {"front.dampers.main.valving": WORN}, "as fitted": None}, "tune": asked,
    }  # fmt: skip
    path = folder / "push.yaml"
    path.write_text(yaml.safe_dump(data, sort_keys=False), encoding="utf-8")
    return path


def loaded(folder, **tune):
    return sim.load(written(folder, **tune))


def refused(folder, capsys, tune):
    """Return what is said of a tune section that cannot be run; nothing is written."""
    path = written(folder, **tune)
    assert main(["tune", str(path), "--outputs", str(folder / "out"), "--workers", "1"]) == 2
    error = capsys.readouterr().err
    assert "Traceback" not in error
    assert not (folder / "out" / "push_tuned").exists()
    return error
