"""Hours of track: pieces are the whole, halving them changes nothing, heat is kept, memory does not grow."""

import subprocess
import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.runs import Course, Track
from sim.errors import RunError
from sim.integrate.single import once, prepared
from sim.kernel import layout as at
from sim.kernel.integrate import run_single
from sim.lower.lowering import lower
from sim.lower.packed import UNWATCHED, pack
from sim.lower.rest import rest
from sim.lower.road.samples import BEFORE, cubics
from sim.machine.shared import COUNT, Shared
from sim.show.report.endured import HistoryFile, read_history
from sim.study.endurance import noted
from sim.study.endurance.drive import endure

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

ROOT = Path(__file__).parents[2]
SCENARIO = sim.load(ROOT / "scenarios" / "two_or_four.yaml")
TRUCK = SCENARIO.vehicle

ROUGH = {
    "kind": "course", "name": "rough",
    "items": [
        {"kind": "flat", "length": "14 m"}, {"kind": "washboard", "pitch": "0.7 m", "depth": "25 mm", "count": 40},
        {"kind": "circular_hump", "height": "80 mm", "chord": "3 m"}, {"kind": "flat", "length": "20 m"},
    ],
}  # fmt: skip
RIPPLES = {
    "kind": "course", "name": "ripples",
    "items": [{"kind": "washboard", "pitch": "0.75 m", "depth": "20 mm", "count": 40}],
}  # fmt: skip


def track(*stages, **others):
    given = [s if "kind" in s else {"kind": "drive", **s} for s in stages]
    return Track.model_validate({"kind": "track", "stages": given, **others})


def drive(seconds, course=RIPPLES, speed="36 km/h"):
    return {"course": course, "speed": speed, "duration": f"{seconds} s"}


def cold(**tube):
    """Dampers on which heat tells: all force laminar, oil near freezing."""
    return TRUCK.changed({f"{end}.dampers.main.tube.{key}": v for end in ("front", "rear") for key, v in tube.items()})


def moments(vehicle, run, **options):
    found = []
    return endure(vehicle, run, tell=found.append, **options), found


@pytest.mark.parametrize("bush", [None, "700 N/mm"])
def test_the_kernel_goes_on_where_it_ended(bush):
    """Four seconds at once and in five uneven parts: the same state to rounding, with end bushes too."""
    vehicle = TRUCK.changed({f"{end}.dampers.main.bush_rate": bush for end in ("front", "rear")}) if bush else TRUCK
    setup, step = lower(vehicle), 2.5e-4
    time = np.arange(16000 + 1) * step
    heights = 0.01 * np.array([np.sin(50.0 * time), np.sin(50.0 * time + 1.0)])
    rates = 0.5 * np.array([np.cos(50.0 * time), np.cos(50.0 * time + 1.0)])

    def ridden(cuts):
        packed = pack([setup], 1)
        bushes = packed.bush_memory()
        packed.memory[: at.STATES] = rest(setup).state
        for first, last in pairwise(cuts):
            part = slice(first, last + 1)
            out = np.empty((last - first + 1, at.TRACE_LINES + at.LINE_CHANNELS * packed.lines.shape[0]))
            run_single(
                packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
                cubics(heights[:, part], step * rates[:, part]), BEFORE, 0.0, 0.0 * time[part], step, last - first, 1, out,
                UNWATCHED, bushes,
            )  # fmt: skip
            packed.memory[at.CONTINUED] += last - first
        return out[-1]

    whole, parts = ridden([0, 16000]), ridden([0, 1, 700, 5000, 12345, 16000])
    assert parts[: at.STATES] == pytest.approx(whole[: at.STATES], rel=1e-9, abs=1e-11)
    assert parts[at.TRACE_LINES :] == pytest.approx(whole[at.TRACE_LINES :], rel=1e-8, abs=1e-8)


def test_one_lap_is_the_run_over_the_course():
    """Dampers without tubes keep their force: the same work and peaks as the single run finds, at its step."""
    vehicle = TRUCK.changed({f"{end}.dampers.main.tube": "none" for end in ("front", "rear")})
    # The single run comes up on level ground and so is on the road at other moments of its steps: hence not to rounding.
    over = Course.model_validate({"kind": "course", "course": ROUGH, "speed": "36 km/h"})
    plain = once(prepared(vehicle, over), over, "", 1e-3, 1)
    length = over.course.length_m
    made, _ = moments(vehicle, track(drive(length / 10.0, ROUGH)), piece_s=0.7)
    work = sum(s.work * s.damper.count for s in made.sets.values())
    assert work == pytest.approx(plain.energy.dissipated_j["dampers"], rel=2e-5)
    for name, axle in plain.axles:
        tally = made.tally.axles[name]
        assert tally.jounce_most == pytest.approx(axle.jounce_m.max(), abs=1e-5)
        assert tally.jounce_least == pytest.approx(axle.jounce_m.min(), abs=1e-5)
        speed = axle.dampers["main"].speed_m_per_s
        assert made.tally.dampers[name, "main"].compression_speed == pytest.approx(speed.max(), rel=2e-4)
    assert made.energy_open_share < 1e-6


def test_pieces_tally_what_the_whole_does():
    """With force that heat does not change, the cut cannot be seen in any sum, extreme or count."""
    vehicle = TRUCK.changed({f"{end}.dampers.main.tube": "none" for end in ("front", "rear")})
    run = track(drive(21.0, ROUGH))
    one, many = (moments(vehicle, run, piece_s=p)[0] for p in (100.0, 1.3))
    assert one.counts == many.counts
    for name, axle in one.tally.axles.items():
        other = many.tally.axles[name]
        for key in ("samples", "airborne", "stop_hits", "damper_end_hits"):
            assert getattr(axle, key) == getattr(other, key), key
        assert axle.jounce_most == pytest.approx(other.jounce_most, rel=1e-9)
    for name, point in one.tally.points.items():
        assert point.weighted_rms == pytest.approx(many.tally.points[name].weighted_rms, rel=1e-9)
        assert point.dose(1e-3) == pytest.approx(many.tally.points[name].dose(1e-3), rel=1e-9)
    for key, history in one.sets.items():
        assert history.work == pytest.approx(many.sets[key].work, rel=1e-4)  # each set's share is by trapezoids


def test_ride_is_that_of_the_measures():
    vehicle = TRUCK.changed({f"{end}.dampers.main.tube": "none" for end in ("front", "rear")})
    over = Course.model_validate({"kind": "course", "course": ROUGH, "speed": "36 km/h"})
    plain = once(prepared(vehicle, over), over, "", 1e-3, 1)
    made, _ = moments(vehicle, track(drive(over.course.length_m / 10.0, ROUGH)))
    from sim.measure.comfort import weighted

    signal = weighted(plain, "driver")
    whole = made.tally.points["driver"].weighted_rms ** 2 * made.tally.seconds
    assert whole == pytest.approx(float(np.sum(signal**2)) * 1e-3, rel=0.02)  # its settling is left out here


def test_halving_the_pieces():
    """Oil that thins fast: second order, so that the error falls to a quarter each time."""
    vehicle, run = cold(laminar_share=1.0), track(drive(100.0), air="0 °C")
    oil = {}
    for piece in (10.0, 5.0, 2.5, 0.25):
        _, found = moments(vehicle, run, piece_s=piece)
        oil[piece] = np.array([m.oil["front", "main"] for m in found if m.time_s > 0.0 and abs(m.time_s % 20.0) < 1e-6])
    misses = [float(np.max(np.abs(oil[piece] - oil[0.25]))) for piece in (10.0, 5.0, 2.5)]
    assert misses[1] < 0.3 * misses[0]
    assert misses[2] < 0.3 * misses[1]
    assert misses[0] < 0.1


def test_a_set_up_is_the_same_beside_others(tmp_path):
    """Laps that others have rolled over, some on other tyres: the same moments and figures to the last digit."""
    drawn = {"kind": "course", "name": "drawn", "items": [
        {"kind": "random", "iso_class": "D", "length": "15 m"}, *ROUGH["items"],
    ]}  # fmt: skip
    run = track(drive(31.0, drawn), drive(12.0, RIPPLES), drive(12.0, drawn, "20 km/h"))
    trucks = [
        TRUCK,
        TRUCK.changed({"front.dampers.main.count": "4"}),
        TRUCK.changed({"front.tyre.radius": "360 mm"}),
    ]
    shared = Shared(tmp_path)
    for vehicle in trucks:
        alone, of_alone = moments(vehicle, run)
        for _ in range(2):  # the second time all of its road is there
            beside, of_beside = moments(vehicle, run, shared=shared)
            assert of_beside == of_alone
            assert noted.entry("", beside, "") == noted.entry("", alone, "")
    roads = {file.name.partition("-")[0] for file in tmp_path.iterdir() if file.name != COUNT}
    assert (
        len(roads) == 3 * 2
    )  # three drives; the second one shares with the first, and the last one too if it needs no finer step


def test_usual_pieces_are_short_enough():
    """The demo's truck: pieces a twentieth as long move the oil by less than a twentieth of a kelvin."""
    run = track(drive(200.0), air="20 °C")
    ends = [moments(TRUCK, run, **options)[1][-1] for options in ({}, {"piece_s": 0.5})]
    for key in ends[0].oil:
        assert ends[0].oil[key] == pytest.approx(ends[1].oil[key], abs=0.05)


def test_heat_is_the_work():
    """Work of the dampers = what oil, metal and air took, within 1e-6; through drives and stands, thin and cold air."""
    run = track(
        drive(60.0), {"kind": "stand", "duration": "5 min"}, drive(45.0, ROUGH), air="-10 °C", altitude="3000 m"
    )
    made, found = moments(TRUCK, run)
    assert made.heat_open_share < 1e-9
    for key, history in made.sets.items():
        heat = history.heat
        assert heat.into_oil + heat.into_metal + heat.into_air == pytest.approx(history.work, rel=1e-9)
        assert history.work == pytest.approx(heat.worked, rel=1e-12)
        written = sum((b.time_s - a.time_s) * b.power[key] for a, b in pairwise(found))
        assert written == pytest.approx(history.work, rel=1e-9)
        oil = history.damper.tube.oil_capacity * (found[-1].oil[key] - 263.15)
        assert oil == pytest.approx(heat.into_oil, rel=1e-9)
    # Bumps push back, so a driver who keeps the speed is a little slower than it; where loads are upright nothing slows him.
    assert 0.97 * 10.0 * 105.0 < found[-1].distance_m < 10.0 * 105.0
    upright = [drive(60.0) | {"tyre_load": "upright"}, drive(45.0, ROUGH) | {"tyre_load": "upright"}]
    assert moments(TRUCK, track(*upright))[1][-1].distance_m == pytest.approx(10.0 * 105.0, rel=1e-6)


def test_settles_where_it_says():
    """A light tube reaches its steady temperature soon: that is what was foretold, and T = T_air + P/H + P/G."""
    light = {"metal_mass": "0.15 kg", "oil_volume": "0.02 l"}
    vehicle = cold(**light)
    made, found = moments(vehicle, track(drive(400.0), air="15 °C"))
    for key, history in made.sets.items():
        tube, last = history.damper.tube, found[-1]
        from sim.describe.parts.dampers.air import Air

        there = Air(288.15, speed=10.0 * tube.air_speed_share)
        expected = 288.15 + history.power / tube.metal_to_air(last.metal[key], there)
        assert last.metal[key] == pytest.approx(expected, abs=1.5)
        assert last.oil[key] == pytest.approx(history.settled, abs=1.5)
        assert history.settled_force == pytest.approx(last.force_share[key], abs=0.01)


def test_fades_and_recovers():
    made, found = moments(TRUCK, track(drive(200.0), {"kind": "stand", "duration": "40 min"}, air="25 °C"))
    key = ("front", "main")
    oil, share = (np.array([getattr(m, name)[key] for m in found]) for name in ("oil", "force_share"))
    driven = np.array([m.stage for m in found]) == 0
    assert np.all(np.diff(oil[driven]) > -0.5)
    assert np.all(np.diff(oil[~driven]) < 0.0)
    assert np.all((np.diff(oil) > 0.0) == (np.diff(share) < 0.0))  # hotter is softer, always
    assert share[-1] > share[driven][-1]
    assert made.sets[key].hottest == oil.max()
    assert made.sets[key].least_force == share.min()


def test_an_hour_of_parking_needs_no_ride():
    made, found = moments(TRUCK, track({"kind": "stand", "duration": "1 h"}, air="20 °C", begins_at="110 °C"))
    assert 293.15 < found[-1].oil["front", "main"] < 320.0
    assert made.tally.seconds == 0.0
    assert made.counts == {"front": {}, "rear": {}}


def test_limits_are_flagged():
    hot = moments(cold(hot_limit="30 °C"), track(drive(60.0), air="25 °C"))[0]
    assert {(f.kind, f.part) for f in hot.flags} == {("hot", "front damper 'main'"), ("hot", "rear damper 'main'")}
    assert hot.sets["front", "main"].hot_s > 0.0
    assert hot.sets["front", "main"].margin < 0.0
    frozen = moments(TRUCK, track(drive(10.0), air="-35 °C"))[0]
    assert {f.kind for f in frozen.flags} == {"cold"}
    assert "Set off slowly" in frozen.flags[0].sentence
    fine = moments(TRUCK, track(drive(10.0), air="25 °C"))[0]
    assert fine.flags == ()


def test_hits_are_counted_and_flagged():
    tall = {"kind": "course", "name": "tall", "items": [{"kind": "flat", "length": "15 m"}, {"kind": "circular_hump", "height": "250 mm", "chord": "3 m"}, {"kind": "flat", "length": "20 m"}]}  # fmt: skip
    vehicle = TRUCK.changed({"front.dampers.main.length_extended": "600 mm"})
    made, _ = moments(vehicle, track(drive(12.0, tall)))
    assert made.tally.axles["front"].damper_end_hits > 0
    assert any(f.kind == "damper_end" and f.part == "front damper 'main'" for f in made.flags)
    assert made.tally.axles["front"].stop_hits > 0
    # Its moment is told by the time since the start, in whichever piece it was.
    short, _ = moments(vehicle, track(drive(12.0, tall)), piece_s=0.9)
    ends = [next(f for f in one.flags if f.kind == "damper_end") for one in (made, short)]
    assert ends[0].time_s == pytest.approx(ends[1].time_s, abs=2e-3)
    assert ends[0].time_s > 0.9


def test_without_dampers():
    vehicle = TRUCK.changed({"front.dampers": "none", "rear.dampers": "none"})
    made, found = moments(vehicle, track(drive(5.0)))
    assert made.sets == {}
    assert found[-1].oil == {}


def test_a_bigger_damper_stays_cooler_and_more_of_them_too():
    run = track(drive(240.0), air="25 °C")
    hottest = {
        name: moments(TRUCK.changed(changes), run)[0].sets["front", "main"].hottest
        for name, changes in {
            "small": {"front.dampers.main.tube.outside_diameter": "46 mm", "front.dampers.main.tube.bore": "28 mm"},
            "usual": {},
            "large": {"front.dampers.main.tube.outside_diameter": "70 mm", "front.dampers.main.tube.bore": "44 mm"},
        }.items()
    }
    assert hottest["small"] > hottest["usual"] > hottest["large"]


def test_written_history_reads_back(tmp_path):
    run = track(drive(30.0), {"kind": "stand", "duration": "1 min"})
    file, found = HistoryFile(tmp_path / "history.csv", TRUCK), []

    def tell(moment):
        file.add(moment)
        found.append(moment)

    endure(TRUCK, run, tell=tell)
    file.close()
    history = read_history(tmp_path / "history.csv")
    assert history.time_s == pytest.approx([m.time_s for m in found])
    assert history.distance_m == pytest.approx([m.distance_m for m in found], abs=0.06)
    for key in (("front", "main"), ("rear", "main")):
        assert history.oil[key] == pytest.approx([m.oil[key] for m in found], abs=0.006)
        assert history.force_share[key] == pytest.approx([m.force_share[key] for m in found], abs=6e-5)


@pytest.mark.hours  # all demos of hours
def test_energy_of_the_demos_is_accounted_for():
    for file in ("will_they_fade", "what_tube_size", "two_or_four_heat"):
        scenario = sim.load(ROOT / "scenarios" / f"{file}.yaml")
        stage = scenario.run.stages[0].model_copy(update={"distance": None, "duration": 10.0})
        run = scenario.run.model_copy(update={"stages": (stage,)})
        for vehicle in scenario.setups.values():
            made = endure(vehicle, run, step_s=5e-4)
            assert made.energy_open_share < 1e-4
            assert made.heat_open_share < 1e-9


def test_too_long_for_one_piece():
    with pytest.raises(RunError, match="jounce endure"):
        sim.simulate(TRUCK, track(drive(10.0)))


MEMORY = """
import sys, tracemalloc
sys.path.insert(0, {root!r})
from tests.study.test_endurance import TRUCK, drive, track, endure
endure(TRUCK, track(drive(30.0)))
for seconds in (40.0, 400.0):
    tracemalloc.start()
    endure(TRUCK, track(drive(seconds)))
    print(tracemalloc.get_traced_memory()[1])
    tracemalloc.stop()
status = open("/proc/self/status").read()
print(1024 * int(status.partition("VmHWM:")[2].split()[0]))
"""


@pytest.mark.hours  # minutes of track with memory traced
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="only Linux tells a process's own peak")
def test_memory_does_not_grow_with_the_length():
    """Ten times as long: no more than a tenth more at its peak; the whole process stays under 500 MB.

    The kernel's own high-water mark, as `getrusage` begins with that of the process which started this one.
    """
    done = subprocess.run(
        [sys.executable, "-c", MEMORY.format(root=str(ROOT))], cwd=ROOT, capture_output=True, text=True, check=True
    )
    short, long, whole = map(int, done.stdout.split())
    assert long < 1.1 * short
    assert whole < 500e6
