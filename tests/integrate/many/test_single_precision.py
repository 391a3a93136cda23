"""Blocks of single precision: as good as double where figures are told, whatever touches, lifts off or is bushed; slow motion
is not lost; nothing overflows; and double all the same where single would not do."""

import dis
import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import numba
import numpy as np
import pytest

import sim
import sim.study.many as measured_module
from sim.cli import main
from sim.cli.compiling import ready_for_a_run
from sim.cli.progress import quietly
from sim.describe.replaced import with_values
from sim.describe.runs import Brake, Launch, Push
from sim.describe.runs import Track as LongTrack
from sim.integrate import ahead
from sim.integrate.many.blocks import Block
from sim.integrate.simulation import simulate
from sim.integrate.single import prepared
from sim.kernel import layout as at
from sim.kernel.curves import decay
from sim.kernel.forces import contact
from sim.kernel.integrate import AT_ONCE, STEADY, loop
from sim.kernel.stepping import summed
from sim.machine import jit, shipped
from sim.machine.jit import BLOCK, narrowed
from sim.measure import measures_for
from sim.measure.decay import STUCK, USABLE
from sim.measure.free_motion import SIGNALS, decay_of, lobes
from sim.measure.table import allowed
from sim.study.many import Track
from tests.integrate.many.test_blocks import PUSH, valved
from tests.reference import Reference

SCENARIOS = Path(__file__).parents[3] / "scenarios"
ALLOWED = 1e-4
"""Of peak tyre loads and RMS accelerations, as a share."""

DAILY = ("two_or_four", "push_on_the_bumper", "one_drilled_washer", "harsh_on_ripples", "which_tyre_pressure")
"""Scenarios of every kind of run and valving; the others by hand."""

SETTLING = 5e-3
"""Of settling times, as a share: half of what their figure shows."""

STRICT = ("tyre_load_highest", "acceleration_rms", "ride_wk", "ride_vdv", "ride_mtvv")


@lru_cache(maxsize=2)
def loaded(file):
    return sim.load(SCENARIOS / file)


def in_blocks(file):
    """Whether a scenario's run goes in blocks at all."""
    run = getattr(loaded(file), "run", None)
    return run is not None and not isinstance(run, Launch | Brake | LongTrack)


PEAKS = "_decay_peaks"


def at_a_bound(vehicle, run, name):
    """Whether one more or one fewer swing of a decay counts by a hair: its size or its length is within 1 % of what decides."""
    decay = decay_of(simulate(vehicle, run), next(one for one in SIGNALS if one.name == name))
    turns = [decay.largest + turn for turn in lobes(decay.x[decay.largest :], 0.9 * USABLE * decay.size)]
    sizes, lengths = np.abs(decay.x[turns]) / decay.size, np.diff(decay.time_s[turns])
    return bool(
        np.any(np.abs(sizes / USABLE - 1.0) < 0.01) or np.any(np.abs(lengths / lengths[0] / STUCK - 1.0) < 0.01)
    )


def agree(vehicles, run):
    """Compare every measure that a block takes; return how many are strict."""
    known = {}
    for vehicle in vehicles:
        seen = Block([prepared(vehicle, run)], run, None).whole()
        known |= {m.name: m for m in measures_for(seen) if m.many != "no"}
    single, double = (Track(run, list(known), precision=kind).outcomes(vehicles * 4) for kind in ("single", "double"))
    strict = differ = 0
    for one, two, vehicle in zip(single, double, vehicles * 4, strict=True):
        assert one.why == two.why
        assert [flag.kind for flag in one.flags] == [flag.kind for flag in two.flags]
        assert one.values.keys() == two.values.keys()
        for name, value in two.values.items():
            differ += one.values[name] != value
            if any(word in name for word in STRICT):
                assert one.values[name] == pytest.approx(value, rel=ALLOWED), name
                strict += 1
            elif name.endswith("settling_time") and np.isfinite(value):
                # Ill-conditioned: it goes by the logarithm of a last swing that is some hundredths of the first, down where stiction
                # and short numbers move it by a hundredth. A sweep says the error of its best and worst, from double precision.
                assert one.values[name] == pytest.approx(value, rel=SETTLING), name
            elif (
                name.endswith(PEAKS)
                and one.values[name] != value
                and at_a_bound(vehicle, run, name.removesuffix(PEAKS))
            ):
                assert abs(one.values[name] - value) <= 1.0, name
            elif np.isfinite(value):  # no more than what makes a figure one that is not to be trusted
                assert abs(one.values[name] - value) <= allowed(value, known[name].quantity), name
            else:
                assert str(one.values[name]) == str(value), name
    assert differ > len(vehicles)  # it is another kernel
    return strict


@pytest.mark.long  # every demo twice
@pytest.mark.parametrize(
    "file",
    [
        p.name if p.stem in DAILY else pytest.param(p.name, marks=pytest.mark.hours)
        for p in sorted(SCENARIOS.glob("*.yaml"))
    ],
)
def test_every_scenario_as_in_double_precision(file):
    """Stops, straps, lift-off, bushes, laws of every kind, loads, launch pads and tracks apart."""
    if not in_blocks(file):
        pytest.skip("its run has a kernel of its own, in double precision")
    scenario = loaded(file)
    assert agree(list(scenario.setups.values()), scenario.run) > 0


def test_hot_and_cold_dampers_as_in_double_precision():
    scenario = loaded("one_drilled_washer.yaml")
    vehicle = next(
        v for v in scenario.setups.values() if v.front.dampers["main"].valving.at_temperature(300.0) is not None
    )
    law = vehicle.front.dampers["main"].valving
    made = [
        with_values(vehicle, {"front.dampers.main.valving": law.at_temperature(kelvin)}) for kelvin in (253.0, 393.0)
    ]
    assert agree(made, scenario.run) > 0


def test_first_seconds_of_the_course_agree_with_dop853():
    """Peaks of tyre load and RMS body acceleration within 1e-4 of DOP853 at rtol 1e-10; bare springs lift off and land."""
    scenario = loaded("two_or_four.yaml")
    vehicle = scenario.setups["bare springs"]
    track = Track(scenario.run, [], fine=True, precision="single")
    block = Block(
        [prepared(vehicle, scenario.run)], scenario.run, track._road(prepared(vehicle, scenario.run)), kind=np.float32
    )
    reference = Reference(vehicle, scenario.run)
    times = block.time_s[: np.searchsorted(block.time_s, 3.0)]
    edges = np.array(reference.plan.course.edges())
    starts = reference.plan.lead_m + np.array([0.0, vehicle.wheelbase])
    pieces = sorted(((edges[:, None] + starts) / reference.plan.speed_m_per_s).ravel())
    loads, up = reference.loads_and_acceleration(times, reference.solve(times, pieces))
    assert loads.min() <= 0.0
    for index in (0, 1):
        assert block.row(at.SCRATCH + index * at.SCRATCH_ROWS + at.LOAD)[: len(times), 0].max() == pytest.approx(
            loads[:, index].max(), rel=ALLOWED
        )
    rising = block.row(at.RATE + at.COORDINATES + at.Z)[: len(times), 0]
    assert np.sqrt(np.mean(rising**2)) == pytest.approx(np.sqrt(np.mean(up**2)), rel=ALLOWED)


def test_settling_from_a_push_agrees_with_dop853():
    """The hardest for short numbers: small slow motions with dampers on end bushes, to a micrometre of travel."""
    vehicle = loaded("two_or_four.yaml").setups["two front"]
    ready = prepared(vehicle, PUSH)
    block = Block([ready], PUSH, Track(PUSH, [], fine=True, precision="single")._road(ready), kind=np.float32)
    reference = Reference(vehicle, PUSH)
    pieces = [PUSH.press, PUSH.press + PUSH.hold]
    states = reference.solve(block.time_s, pieces)
    assert block.row(at.Z)[:, 0] == pytest.approx(states[:, 1], abs=1e-6)


def test_neighbours_do_not_matter_however_few():
    scenario = loaded("two_or_four.yaml")
    vehicles = valved(scenario.setups["two front"], 12)
    names = ["acceleration_rms_driver", "front_tyre_load_variation", "front_body_settling_time"]
    every = Track(PUSH, names, precision="single").outcomes(vehicles)
    for first, last in ((7, 12), (3, 4)):
        some = Track(PUSH, names, precision="single").outcomes(vehicles[first:last])
        assert [o.values for o in some] == [o.values for o in every[first:last]]


def test_energies_are_of_runs_in_double_precision():
    """What a balance leaves is the small difference of large numbers."""
    vehicles = valved(loaded("two_or_four.yaml").setups["two front"], 4)
    outcome = Track(PUSH, ["energy_dampers"], fine=True, precision="single").outcomes(vehicles)[0]
    alone = simulate(vehicles[0], PUSH).coarse
    assert outcome.values["energy_dampers"] == next(m for m in measures_for(alone) if m.name == "energy_dampers").of(
        alone
    )


def test_a_road_too_high_for_short_numbers_is_run_in_double(monkeypatch):
    scenario = loaded("two_or_four.yaml")
    vehicles = valved(scenario.setups["two front"], 4)
    name = "front_tyre_load_highest"
    values = {}
    for precision, highest in (("double", 4.0), ("single", 4.0), ("single", 0.01)):
        monkeypatch.setattr(measured_module, "HIGHEST_M", highest)
        track = Track(scenario.run, [name], precision=precision)
        values[precision, highest] = [o.values[name] for o in track.outcomes(vehicles)]
    assert values["single", 0.01] == values["double", 4.0] != values["single", 4.0]


def test_limit_of_height_keeps_loads_within_what_is_said():
    """Spacing of single-precision heights just below it, times the stiffest axle of tyres in the demos, against a newton."""
    spacing = float(np.spacing(np.float32(measured_module.HIGHEST_M * 0.999)))
    assert spacing * 2 * 600e3 < 1.0


def test_nothing_is_widened_to_double():
    """Every constant that a law meets is narrow: what comes out is of single precision."""
    law = numba.njit(narrowed(contact.py_func))
    made = law(*(np.float32(v) for v in (0.01, 0.2, 1e5, 1e7, 0.2)))
    assert law.nopython_signatures[0].return_type == numba.types.UniTuple(numba.types.float32, 2)
    assert made == pytest.approx(contact(0.01, 0.2, 1e5, 1e7, 0.2), rel=1e-6)


def constants(function, seen):
    """Every constant of a kernel function and of all that it calls, by the function's name."""
    own = getattr(function, "py_func", function)
    if own in seen:
        return
    seen.add(own)
    for value in own.__code__.co_consts:
        yield own.__name__, value
    for word in own.__code__.co_names:
        value = own.__globals__.get(word)
        if hasattr(value, "py_func"):
            yield from constants(value, seen)
        elif isinstance(value, ModuleType):  # its numbers are read as they are, and so may be whole ones alone
            for of in {i.argval for i in dis.get_instructions(own) if i.opname == "LOAD_ATTR"}:
                yield f"{own.__name__}: {word}.{of}", getattr(value, of, None)
        elif not callable(value) and not hasattr(value, "__dict__"):
            yield f"{own.__name__}: {word}", value


def test_no_constant_of_the_whole_block_is_a_double():
    """Of any, also in tuples and arrays, which are not rounded: one would widen all that it meets."""

    def wide(value):
        if isinstance(value, tuple | list):
            return any(map(wide, value))
        return type(value) in (float, np.float64) or getattr(value, "dtype", None) == np.float64

    seen = set()
    every = list(constants(narrowed(loop(BLOCK, traced=False, carrying=True)), seen))
    assert {"advance_rows", "axle_forces", "line_law", "axle_block", "cosine", "tyre", "end_rows"} <= {
        f.__name__ for f in seen
    }
    assert [name for name, value in every if wide(value)] == []
    assert sum(isinstance(value, np.float32) for _, value in every) > 50
    assert any(wide(value) for _, value in constants(loop(BLOCK, traced=False), set()))


def test_bushes_neither_overflow_nor_vanish_in_single_precision():
    """From bushes that settle at once to a run that goes on at once, over all rates of end bushes and slopes of dampers."""
    fading = numba.njit(narrowed(decay.py_func))
    for since in (STEADY, 0.5e-3, 0.5e-3 / 128):
        for slope in (0.0, 1e-3, 1e3, 1e6):
            for give in (1e-9, 1e-6, 1e-3):
                lag = np.float32(slope) * np.float32(give) / np.float32(since)
                assert 0.0 <= fading(np.float32(lag)) <= 1.0
                assert fading(np.float32(lag)) == pytest.approx(decay(slope * give / since), abs=1e-6)
    assert np.isfinite(np.float32(1.0 / AT_ONCE))


def test_sums_keep_what_is_too_small_for_them():
    """A million steps of a tenth of the last digit add up; without what is carried over none would."""

    def added(start, step, times):
        short = step - step
        for _ in range(times):
            start, short = summed(start, step, short)
        return start

    adding = numba.njit(narrowed(added))
    tiny = np.spacing(np.float32(1.0)) / np.float32(10.0)
    assert np.float32(1.0) + tiny == np.float32(1.0)
    assert adding(np.float32(1.0), tiny, 10**6) == pytest.approx(1.0 + 1e6 * float(tiny), rel=1e-7)


def test_commands_that_do_not_need_it_do_not_make_it(tmp_path):
    tell = (
        "import sys; from sim.cli import main; main(sys.argv[1:]); from sim.kernel.integrate import narrow_block; "
        "print('made', narrow_block.cache_info().currsize)"
    )
    command = [sys.executable, "-c", tell, "simulate", str(SCENARIOS / "push_on_the_bumper.yaml"), "--no-plots"]
    environment = {**os.environ, "PYTHONPATH": str(SCENARIOS.parent)}
    done = subprocess.run(
        [*command, "--outputs", str(tmp_path)], env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout.splitlines()[-1] == "made 0"


@pytest.mark.parametrize(
    ("lacks", "asked", "words", "compiles"),
    [
        ("", {"blocks": "single", "driven": True}, "", None),
        (jit.NARROW, {}, "", None),
        (jit.NARROW, {"blocks": "single"}, "for many set-ups", (False, "single", False)),
        (jit.WIDE, {"blocks": "double"}, "for many set-ups", (False, "double", False)),
        (jit.ONE, {"blocks": "single"}, "five to twenty seconds", (True, None, False)),
        (jit.FOUR, {}, "", None),
        (jit.FOUR, {"few": True}, "for many set-ups", (False, None, True)),
        (jit.DRIVEN, {}, "", None),
        (jit.DRIVEN, {"driven": True}, "five to twenty seconds", None),
    ],
)
def test_says_what_it_compiles(monkeypatch, capsys, lacks, asked, words, compiles):
    monkeypatch.setattr(jit, "is_cached", lambda name: name != lacks)
    made = []
    monkeypatch.setattr(ahead, "compiled_ahead", lambda _, *what: made.append(what))
    ready_for_a_run(**asked)
    said = capsys.readouterr().err
    assert words in said
    assert ("compiling the physics" in said) == bool(words)
    assert made == ([compiles] if compiles else [])
    with quietly(True):
        ready_for_a_run(**asked)
    assert capsys.readouterr().err == ""


def test_cache_knows_functions_by_name(tmp_path, monkeypatch):
    monkeypatch.setattr(jit, "CACHE_FOLDER", tmp_path)
    monkeypatch.setattr(shipped, "suits", lambda: False)
    assert not jit.is_cached()
    (tmp_path / "integrate.run-157.py311.1.nbc").touch()
    assert jit.is_cached()
    assert not jit.is_cached(jit.NARROW)
    (tmp_path / f"integrate.{jit.NARROW}-157.py311.1.nbc").touch()
    assert jit.is_cached(jit.NARROW)


def test_a_precision_that_does_not_exist_is_said(capsys):
    with pytest.raises(SystemExit) as stopped:
        main(["sweep", str(SCENARIOS / "two_or_four.yaml"), "--precision", "half"])
    assert stopped.value.code == 2
    said = capsys.readouterr().err
    assert "--precision" in said
    assert "single" in said
    assert "double" in said


assert isinstance(PUSH, Push)
