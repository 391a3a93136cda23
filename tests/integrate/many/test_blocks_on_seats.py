"""Blocks of set-ups whose packs lie over their axle, each on a lift block of its own: every measure as a run by itself has it."""

import pytest

import sim
from sim.describe.runs import Push
from sim.integrate.simulation import simulate
from sim.measure import measures_for
from sim.study.many import Track
from tests.synthetic import SCENARIOS, seated_truck

PUSH = Push.model_validate(
    {"kind": "push", "over": "rear", "outside_wheels": "450 mm", "force": "2.4 kN", "press": "0.5 s", "hold": "0.3 s", "watch": "2 s"}
)  # fmt: skip


@pytest.mark.parametrize("over", ["course", "push"])
def test_each_lane_swings_about_its_own_seat(over):
    run = sim.load(SCENARIOS / "two_or_four.yaml").run if over == "course" else PUSH
    truck = seated_truck("70 mm")
    vehicles = [truck.changed({"rear.springs.pack.block": f"{block} mm"}) for block in (0, 20, 50, 80)]
    alone = simulate(vehicles[2], run).coarse  # at half the step, as fine blocks are
    wanted = {m.name: m for m in measures_for(alone) if m.many != "no"}
    outcome = Track(run, list(wanted), fine=True).outcomes(vehicles)[2]
    for name, measure in wanted.items():
        assert outcome.values[name] == pytest.approx(measure.of(alone), rel=1e-8, abs=1e-9, nan_ok=True), name
