"""Lift blocks under packs of which nobody taped how high they lie: said once, of runs that drive or brake, and judged like anything else."""

from dataclasses import replace

import sim
from sim.describe.files.scenario import load_scenario
from sim.describe.files.unmeasured_seats import unmeasured_seats
from sim.integrate.driven import driven_once
from sim.measure.verdict import verdict
from sim.show.report.verdict_table import cell
from sim.study.compare import measured
from tests.synthetic import SCENARIOS, seated_truck

BLOCK = {"rear.springs.pack.block": "2 in"}


def test_a_block_under_a_pack_that_nobody_taped_is_said_once():
    truck = seated_truck(None)
    thick = truck.changed(BLOCK)
    (said,) = unmeasured_seats(
        {"as it is": truck, "on blocks": thick, "higher": truck.changed({"rear.springs.pack.block": "4 in"})}
    )
    assert said.startswith(
        "set-ups 'on blocks' and 'higher': how high the rear leaf packs lie over the axle's centre without a block is not given"
    )
    # By hand, seat over radius: 70 mm on 402 mm.
    assert "by some 17 % more" in said
    assert list(unmeasured_seats({"as measured": thick.reference})) == []
    assert list(unmeasured_seats({"taped": seated_truck("70 mm").changed(BLOCK)})) == []
    rigid = BLOCK | {"rear.guide.wind_up": {"rate": "rigid"}}
    assert list(unmeasured_seats({"held": truck.changed(rigid)})) == []


def test_only_runs_that_drive_or_brake_say_it(tmp_path):
    def noticed(run):
        text = f"kind: scenario\nname: Blocks\nvehicle: {SCENARIOS / 'vehicles' / 'hut_supply_truck.yaml'}\nrun: {run}\nsetups:\n  on blocks: {{rear.springs.pack.block: 2 in}}\n"
        path = tmp_path / "blocks.yaml"
        path.write_text(text, encoding="utf-8")
        return [text for text in sim.load(path).notices if "how high the rear leaf packs lie" in text]

    surface = "{name: dry road, friction: 0.85, sliding: 0.68, peak_at: 12 %}"
    assert len(noticed(f"{{kind: brake, speed: 30 km/h, pedal: 0.5, surface: {surface}}}")) == 1
    assert noticed("{kind: push, over: rear, force: 600 N}") == []


def test_wind_up_on_a_block_is_judged():
    """A push that the tyres can bear winds the pack up by nearly as much more as the lever is longer: 51 mm on 402 mm are 13 %."""
    truck = seated_truck(None)
    scenario = load_scenario(SCENARIOS / "does_a_block_hop.yaml")
    run = scenario.run.model_copy(update={"watch": 1.0})
    setups = {"as it is": truck, "on blocks": truck.changed(BLOCK)}
    scenario = replace(scenario, setups=setups, run=run)
    comparison = measured(scenario, {name: driven_once(one, run) for name, one in setups.items()})
    found = verdict(comparison)
    assert cell(found, "on blocks", "wind-up")[0] in ("a little worse", "clearly worse")
    values = [comparison.values[name]["rear_pinion_up"].value for name in setups]
    assert 1.06 < values[1] / values[0] < 1.16
