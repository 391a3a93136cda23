"""Trucks and scenarios with numbers in doubt, made of the demo's files."""

from pathlib import Path

import yaml

from sim.describe.files.scenario import load_scenario

SCENARIOS = Path(__file__).parents[3] / "scenarios"

TWELVE = {
    "body.mass": "1640 kg +- 20 kg",
    "body.centre_of_gravity.above_ground": "0.98 m +- 40 mm",
    "body.pitch_inertia": "about 2750 kg m^2",
    "front.housing.mass": "232 kg +- 10 kg",
    "rear.housing.mass": "about 205 kg",
    "front.tyre.rate": "230 to 300 N/mm",
    "rear.tyre.rate": "230 to 300 N/mm",
    "front.tyre.damping": "100 to 260 N s/m",
    "rear.tyre.damping": "100 to 260 N s/m",
    "front.springs.coil.rate": "36 N/mm +- 4 %",
    "rear.springs.pack.rate": "42 N/mm +- 8 %",
    "rear.springs.pack.friction": "about 240 N",
}
"""Twelve numbers of the demo's truck, as an owner may know them."""

FOUR = {
    "two front": None,
    "four of the single kind": {"front.dampers.main.count": 4},
    "softer coils": {"front.springs.coil.rate": "30 N/mm +- 4 %"},
    "no gas": {"front.dampers.main.gas_force": "0 N", "rear.dampers.main.gas_force": "0 N"},
}

PUSH = {"kind": "push", "over": "front", "force": "900 N", "watch": "2 s"}


def scenario(folder, doubts, setups=None, run=None):
    """Return a scenario of the demo's truck with some of its numbers written otherwise."""
    truck = yaml.safe_load((SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))
    for path, written in doubts.items():
        *parents, last = path.split(".")
        part = truck
        for step in parents:
            part = part[step]
        part[last] = written
    (folder / "truck.yaml").write_text(yaml.safe_dump(truck, sort_keys=False), encoding="utf-8")
    asked = {
        "kind": "scenario",
        "name": "in doubt",
        "vehicle": "truck.yaml",
        "run": run or PUSH,
        "setups": setups or FOUR,
    }
    file = folder / "in_doubt.yaml"
    file.write_text(yaml.safe_dump(asked, sort_keys=False), encoding="utf-8")
    return load_scenario(file)
