"""Sweeps and tunings that move a spring's rate or its wire, on trucks that are described by either."""

import pytest

from sim.cli import main
from sim.describe.files.scenario import load_scenario
from sim.errors import InputError
from sim.study.runnable import runnable
from sim.study.sweep.axes import asked_axes, check_asked
from sim.study.sweep.sweep import sweep

WIRE = "{wire_diameter: 16 mm, coil_diameter: 140 mm, active_coils: 8.5}"
BY_HAND = 79.3e9 * 0.016**4 / (8 * 0.140**3 * 8.5)
"""G d⁴ / (8 D³ n) (Shigley, ch. 10) [N/m]."""

SWEEP = "sweep:\n  vary:\n    front.springs.coil.{key}: {{first: {first}, last: {last}, points: 2}}\n  measures: [front_left_to_stop]\n"
TUNE = "tune:\n  move:\n    it: {{kind: value, path: front.springs.coil.{key}, low: {first}, high: {last}}}\n  goal: {{ride_total_driver: 1}}\n"


def written(folder, coil, asked, setup=""):
    (folder / "truck.yaml").write_text(
        "kind: vehicle\nname: T\nweighed: {front: 1390 kg, rear: 1180 kg}\nwheelbase: 2.85 m\n"
        f"front:\n  springs:\n    coil: {coil}\n",
        encoding="utf-8",
    )
    path = folder / "asked.yaml"
    path.write_text(
        "kind: scenario\nname: Asked\nvehicle: truck.yaml\nrun: {kind: drop, height: 50 mm, watch: 0.5 s}\nsetups:\n  as it is:"
        + (setup or "") + "\n" + asked,
        encoding="utf-8",
    )  # fmt: skip
    return path


def swept(path):
    scenario = load_scenario(path)
    check_asked(scenario)
    found = sweep(scenario, asked_axes(scenario), ["front_left_to_stop"], path.parent / "notes", 1)
    return found.values["as it is"]["front_left_to_stop"]


def test_the_rate_of_a_coil_given_by_its_wire_moves(tmp_path):
    """At the rate of its own wire it is the truck as it stands, whichever of the two is moved there."""
    by_rate = swept(written(tmp_path, WIRE, SWEEP.format(key="rate", first=f"{BY_HAND!r} N/m", last="45000 N/m")))
    by_wire = swept(written(tmp_path, WIRE, SWEEP.format(key="wire_diameter", first="16 mm", last="18 mm")))
    assert by_rate[0] == pytest.approx(by_wire[0], abs=1e-6)
    # Stiffer either way: more is left to the stop.
    assert by_rate[1] > by_rate[0] + 1e-3
    assert by_wire[1] > by_wire[0] + 1e-3


def test_the_wire_moves_where_a_set_up_gives_all_of_it(tmp_path):
    setup = "".join(f"\n    front.springs.coil.{one.strip(' {}')}" for one in WIRE.split(","))
    asked = SWEEP.format(key="wire_diameter", first="16 mm", last="18 mm")
    there = swept(written(tmp_path, "{rate: 33 N/mm}", asked, setup))
    assert there[1] > there[0] + 1e-3


REFUSED = [
    (SWEEP, "{rate: 33 N/mm}", "wire_diameter", "14 mm", "18 mm", "has no wire_diameter to move", "front.springs.coil.rate; or give"),
    (TUNE, "{rate: 33 N/mm}", "active_coils", "6", "9", "has no active_coils to move", "front.springs.coil.rate; or give"),
    (TUNE, WIRE, "rate", "25 N/mm", "45 N/mm", "follows from its wire_diameter, coil_diameter and active_coils",
     "front.springs.coil.wire_diameter; or write front.springs.coil.rate into the set-up"),
]  # fmt: skip


@pytest.mark.parametrize(("asked", "coil", "key", "first", "last", "what", "then"), REFUSED)
def test_what_a_spring_does_not_have_is_refused_at_the_line_that_asks(
    tmp_path, asked, coil, key, first, last, what, then
):
    path = written(tmp_path, coil, asked.format(key=key, first=first, last=last))
    with pytest.raises(InputError) as caught:
        runnable(load_scenario(path))
    (problem,) = caught.value.problems
    assert problem.file.endswith("asked.yaml")
    # The set-ups end in line 6, the key stands two lines further down.
    assert problem.line == 9
    assert what in problem.message
    assert problem.suggestion.startswith(then)


def test_the_command_says_so_at_that_line_too(tmp_path, capsys):
    path = written(tmp_path, "{rate: 33 N/mm}", SWEEP.format(key="wire_diameter", first="14 mm", last="18 mm"))
    assert main(["sweep", str(path), "--outputs", str(tmp_path / "out")]) == 2
    assert (
        "asked.yaml:9:5: sweep.vary.front.springs.coil.wire_diameter: this spring is given by its rate"
        in capsys.readouterr().err
    )
    assert not (tmp_path / "out").exists()
