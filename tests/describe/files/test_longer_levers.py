"""What runs leave out of a lift block: that a push at the tyre winds the pack up by a lever that is longer by it."""

import pytest
from scipy.optimize import fsolve

import sim
from sim.describe.files.longer_levers import longer_lever, longer_levers
from tests.synthetic import SCENARIOS


@pytest.fixture(scope="module")
def truck():
    return sim.load(SCENARIOS / "vehicles" / "hut_supply_truck.yaml")


def test_the_lever_by_statics_of_two_half_packs():
    """Forces and moments of the housing alone, a way that knows of no lever: eyes hold the halves up and down, the fixed one along as well.

    A tyre at a radius r below the centre is pushed by F; the pack is clamped b above the centre, its halves l each of rate k / 2 at the
    clamp. Unknown are the pull of the fixed eye and how far the clamp turns.
    """
    push, radius, half, rate = 3000.0, 0.4, 0.6, 35e3

    def turn_on(block):
        def left_over(unknown):
            pull, turn = unknown
            ends = (
                0.5 * rate * half * turn
            )  # each half is a cantilever: its eye answers by so much, one up and one down
            # Along the truck, and moments about the tyre's contact: the pull acts at the clamp's height.
            return push - pull, pull * (radius + block) - 2.0 * ends * half

        return fsolve(left_over, (1.0, 0.01))[1]

    for block in (0.05, 0.1):
        assert turn_on(block) / turn_on(0.0) - 1.0 == pytest.approx(block / radius, rel=1e-9)


def test_a_set_up_on_a_thicker_block_is_said(truck):
    thick = truck.changed({"rear.springs.pack.block": "60 mm"})
    (said,) = longer_levers({"as it is": truck, "on blocks": thick})
    share = 100.0 * 0.06 / truck.rear.tyre.radius  # b / r
    assert said.startswith("set-up 'on blocks': a block of 60.0 mm (2.36 in) ")
    assert f"the rear leaf packs up by some {share:.0f} %" in said
    # What was on the truck when it was measured is in its wind-up rate.
    assert list(longer_levers({"as measured": thick.reference})) == []


def test_only_runs_that_drive_or_brake_say_it(tmp_path):
    def noticed(run):
        text = f"kind: scenario\nname: Blocks\nvehicle: {SCENARIOS / 'vehicles' / 'hut_supply_truck.yaml'}\nrun: {run}\nsetups:\n  on blocks: {{rear.springs.pack.block: 2 in}}\n"
        path = tmp_path / "blocks.yaml"
        path.write_text(text, encoding="utf-8")
        return [text for text in sim.load(path).notices if "lever" in text]

    assert (
        len(
            noticed(
                "{kind: brake, speed: 30 km/h, pedal: 0.5, surface: {name: dry road, friction: 0.85, sliding: 0.68, peak_at: 12 %}}"
            )
        )
        == 1
    )
    assert noticed("{kind: push, over: rear, force: 600 N}") == []


def test_wind_up_on_another_block_is_not_judged(truck):
    """Runs say the same of it, though by hand it is b / r more: neither worse nor the same, and the sentence, the cell and the picture say why."""
    from dataclasses import replace

    from sim.describe.files.scenario import load_scenario
    from sim.integrate.driven import driven_once
    from sim.measure.verdict import verdict
    from sim.show.plots.verdict import figure
    from sim.show.report.verdict_table import cell
    from sim.show.report.verdict_words import headline
    from sim.study.compare import measured

    thick = truck.changed({"rear.springs.pack.block": "60 mm"})
    scenario = load_scenario(SCENARIOS / "lean_against_wind_up.yaml")
    run = scenario.run.model_copy(update={"watch": 0.3})
    setups = {"as it is": truck, "on blocks": thick, "and back": truck.changed({"rear.springs.pack.block": "0 mm"})}
    scenario = replace(scenario, setups=setups, run=run)
    comparison = measured(scenario, {name: driven_once(one, run) for name, one in setups.items()})
    found = verdict(comparison)
    share = round(100.0 * 0.06 / truck.rear.tyre.radius)
    reason = f"runs leave out the block's longer lever, by hand +{share} %"
    changes = {change.measure.name: change for change in found.others["on blocks"].parts["wind-up"].changes}
    assert changes["rear_pinion_up"].outcome == "not judged"
    assert changes["rear_pinion_up"].reason == reason
    assert changes["front_pinion_up"].reason == ""
    assert cell(found, "on blocks", "wind-up") == ("not judged", reason)
    assert longer_lever(truck, setups["and back"], "rear") == 0.0
    assert not any(change.reason for change in found.others["and back"].parts["wind-up"].changes)
    assert f"the rear wind-up is not judged ({reason})" in headline(found)
    drawn = " ".join(text.get_text() for text in figure(comparison).texts)
    assert "not judged" in drawn
