"""Every flag of a truck at rest through the commands that let it stand: the word in the table, the sentence, the exit code."""

import pytest

import sim
from sim.describe.shown import show
from sim.errors import LiftedError
from sim.linear.standing_flags import standing_flags
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.fit import fits
from tests.study.faulty import (
    HUMP,
    MEASURE,
    RATE,
    ROOT,
    SENTENCES,
    STONES,
    TRUCKS,
    picture,
    rows_of,
    scenario_file,
    told,
)

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

AT_REST = {
    "on_stops": (TRUCKS["on_stops"], "rear axle stands on its bump stops", SENTENCES["on_stops"]),
    "on_straps": (TRUCKS["on_straps"], "rear axle stands on taut limit straps", SENTENCES["on_straps"]),
    "stop_full": ({"rear.stop.gap": "1 mm", "rear.stop.squeeze": "2 mm", "rear.stop.rate_full": "60 N/mm", "loads.stones": STONES},
                  "rear bump stops squeezed flat", "The rear bump stops were squeezed flat"),
    "coil_bind": ({"front.springs.coil.solid_length": "390 mm"}, "front spring 'coil' went solid", "front spring 'coil' went solid"),
    "no_strap": (TRUCKS["no_strap"], "rear damper 'main' holds the hanging axle, no strap does",
                 "rear damper 'main' is all that holds the hanging rear axle"),
}  # fmt: skip
"""What is wrong before anything moves: changes, words of a cell, sentence."""


@pytest.mark.long  # three commands for each fault
@pytest.mark.parametrize("kind", AT_REST)
def test_standing_checking_and_converting(kind, tmp_path, capsys):
    changes, words, sentence = AT_REST[kind]
    path = scenario_file(tmp_path, "rest", HUMP, {"sound": {}, "faulty": changes})
    code, out, _ = told(capsys, "stand", path)
    assert code == 3
    assert f"FLAGGED faulty: {sentence}" in out
    assert "FLAGGED sound" not in out
    code, out, _ = told(capsys, "check", path)
    assert code == 3
    assert f"FLAGGED set-up 'faulty': {sentence}" in out
    assert "All is well" not in out
    code, out, _ = told(capsys, "convert", path, "--from", "faulty", "--outputs", tmp_path / "out")
    assert code == 3
    # At length of the one that has it worst, be it the set-up itself or what it is converted to; in few words of the other.
    assert sentence in out
    assert f"FLAGGED faulty: {sentence}" in out or f"FLAGGED faulty: {words} too" in out
    folder = tmp_path / "out" / "rest_faulty_convert"
    side = words.split()[0]
    assert all(words in row["flagged"] for row in rows_of(folder / "each.csv") if row["damper set"].startswith(side))
    assert "each of “faulty” (flagged)" in picture(folder / "each.svg")
    code, out, _ = told(capsys, "convert", path, "--from", "sound", "--outputs", tmp_path / "sound")
    assert code == 0
    assert "FLAGGED" not in out


def test_a_curve_that_its_gas_does_not_carry_is_not_converted_unsaid(tmp_path, capsys):
    path = scenario_file(tmp_path, "gas", HUMP, {"faulty": TRUCKS["cavitation"]})
    code, out, _ = told(capsys, "convert", path, "--outputs", tmp_path / "out")
    assert code == 3
    assert "FLAGGED faulty: front damper 'main' draws gas bubbles into its oil from " in out


def test_the_pull_on_a_damper_without_a_strap_is_the_weight_less_what_springs_still_carry():
    """By statics, on a straight guide with upright coils and dampers: what the coils carried less 2 k times the fall, and the axle."""
    upright = {
        "body": {"behind_front_axle": "0 mm", "above_ground": "0.97 m"},
        "axle": {"ahead": "0 mm", "above": "20 mm"},
    }
    truck = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["two front"].changed(
        {"front.guide": {"kind": "straight"}, "front.strap": "none", "front.dampers.main.gas_force": "none",
         "front.dampers.main.body": upright["body"], "front.dampers.main.axle": upright["axle"],
         "front.dampers.main.lean_inward": "0 mm", "front.dampers.main.length_extended": "640 mm"}
    )  # fmt: skip
    setup = lower(truck)
    stands = rest(setup)
    (flag,) = standing_flags(setup, stands)
    assert flag.kind == "no_strap"
    pull = float(flag.sentence.split("pull with ")[1].split(" N")[0])
    ride = next(fit for fit in fits(truck) if fit.axle == "front").places["ride"].length
    assert pull == pytest.approx(stands.tyre_load[0] - 2 * 36e3 * (0.640 - ride), abs=1.0)
    # Where the coils hang loose before that, the axle's weight is left.
    long = lower(truck.changed({"front.dampers.main.length_extended": "780 mm"}))
    (flag,) = standing_flags(long, rest(long))
    assert float(flag.sentence.split("pull with ")[1].split(" N")[0]) == pytest.approx(
        long.axles["front"].mass * 9.80665, abs=1.0
    )


@pytest.mark.parametrize(("place", "name"), [("6 m", "front"), ("-4 m", "rear")])
def test_a_load_that_lifts_the_wheels(place, name, tmp_path, capsys):
    """1.5 t far behind or ahead: the weight of all lies beyond an axle, by moments about the front one."""
    load = {"loads.stones": {"mass": "1500 kg", "place": {"behind_front_axle": place, "above_ground": "1.1 m"}}}
    path = scenario_file(tmp_path, "lifted", HUMP, {"sound": {}, "faulty": load})
    sentence = f"The load lifts the {name} wheels"
    code, out, _ = told(capsys, "stand", path)
    assert code == 3
    assert f"FLAGGED faulty: {sentence}" in out
    code, _, err = told(capsys, "check", path)
    assert code == 2
    assert sentence in err
    code, out, _ = told(capsys, "sweep", path, "--vary", *RATE, *MEASURE, "--workers", 1, "--outputs", tmp_path / "out")
    assert code == 3
    assert f"FLAGGED faulty, 2 of 2 points, first at 36 N/mm (206 lb/in): {sentence}" in out
    rows = rows_of(tmp_path / "out" / "lifted_by_rate" / "swept.csv")
    assert all(row["faulty: flagged"] == f"{name} wheels in the air at rest" for row in rows)
    scenario = sim.load(path)
    with pytest.raises(LiftedError) as caught:
        rest(lower(scenario.setups["faulty"]))
    setup = lower(scenario.setups["faulty"])
    # Moments about the front axle, housings over their wheels.
    masses = [(setup.body.mass, setup.place.cg_behind_front_axle), (setup.axles["front"].mass, 0.0),
              (setup.axles["rear"].mass, scenario.vehicle.wheelbase)]  # fmt: skip
    behind = sum(m * x for m, x in masses) / sum(m for m, _ in masses)
    past = behind - scenario.vehicle.wheelbase if name == "front" else -behind
    assert show(past, "length") in str(caught.value)
