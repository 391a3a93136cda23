"""Answers to a shaking road: closed forms of the quarter car, wheelbase filtering, and the full model beside its linear view."""

import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.linear.response import FRONT_LOAD, FRONT_TRAVEL, REAR_LOAD, REAR_TRAVEL, linear_response, respond
from sim.lower.lowering import lower
from tests.published.test_quarter_car import KS, KT, MS, MU, two_alike
from tests.published.textbook import HEIGHT, car

ROOT = Path(__file__).parents[2]
G = 9.80665


def at_centre(vehicle, behind):
    return vehicle.changed({"points": {"seat": {"behind_front_axle": f"{behind} m", "above_ground": f"{HEIGHT} m"}}})


@pytest.mark.parametrize("damping", [750.0, 3000.0])
def test_quarter_car_transfer_functions(damping):
    """Body, travel and tyre load of Barton and Fieldhouse's quarter car (2018, 3.13) by its two textbook equations."""
    hertz = np.geomspace(0.3, 30.0, 40)
    found = linear_response(lower(at_centre(two_alike(damping), 1.3)), hertz, 0.0, 0.1)
    s = 2j * np.pi * hertz
    matrix = np.array([
        [MS * s**2 + damping * s + KS, -damping * s - KS],
        [-damping * s - KS, MU * s**2 + damping * s + KS + KT],
    ])  # fmt: skip
    body, wheel = np.linalg.solve(np.moveaxis(matrix, -1, 0), np.broadcast_to([[0.0], [KT]], (40, 2, 1)))[:, :, 0].T
    assert found["seat"] == pytest.approx(body, rel=1e-5)
    assert found[FRONT_TRAVEL] == pytest.approx(wheel - body, rel=1e-5)
    swing = KT * (1 - wheel) * 0.1 / np.abs(s) / ((MS + MU) * G)
    assert found[FRONT_LOAD] == pytest.approx(swing, rel=1e-5)
    assert found[REAR_LOAD] == pytest.approx(swing, rel=1e-5)


def test_wheelbase_filtering():
    """No bounce at (2n-1) v/2L, no pitch at n v/L (T. D. Gillespie 1992, ch. 5): 3.030 and 9.091 Hz, 6.061 and 12.121 Hz."""
    symmetric = car(1200.0, 1800.0, 1.65, 1.65, 3e4, 3e4, (60.0, 60.0), (3e5, 3e5), (2000.0, 2000.0))
    setup = lower(
        at_centre(symmetric, 1.65).changed({"points.nose": {"behind_front_axle": "0 m", "above_ground": "1 m"}})
    )
    found = linear_response(setup, np.array([3.0303, 9.0909, 6.0606, 12.1212, 4.5]), 3.3 / 20.0, 0.1)
    bounce, nose = np.abs(found["seat"]), np.abs(found["nose"] - found["seat"])
    assert np.all(bounce[:2] < 1e-4 * bounce[4])
    assert np.all(nose[2:4] < 1e-4 * nose[4])


def test_full_model_is_its_linear_view_when_all_is_straight():
    """Straight dampers, no friction, a road too smooth to lift a wheel: every point on its line."""
    vehicle = at_centre(two_alike(1500.0), 0.4)
    shaken = respond(vehicle, 15.0, 0.005)
    linear = linear_response(lower(vehicle), shaken.driven_hz, 2.6 / 15.0, 0.005)
    for name, values in shaken.driven.items():
        biggest = np.max(np.abs(linear[name]))
        assert np.abs(values - linear[name]) == pytest.approx(0.0, abs=2e-4 * biggest)
    assert all(np.all(share == 0.0) for share in shaken.off_ground.values())


def test_locked_leaves_ride_on_the_tyre():
    """A suspension locked by leaf friction is one mass on its tyre: peak at sqrt(kt/(ms+mu)) = 3.66081 Hz (published-values 2.2)."""
    locked = car(
        2 * MS, 2 * MS * 1.5, 1.3, 1.3, KS, KS, unsprung=(MU, MU), tyre_rates=(KT, KT),
        friction={"friction": "60 kN", "friction_travel": "1 mm"},
    ).changed({f"{end}.tyre.damping": "1500 N s/m" for end in ("front", "rear")})  # fmt: skip
    shaken = respond(at_centre(locked, 1.3), 1000.0, 0.02)
    w, w0 = 2 * np.pi * shaken.driven_hz, np.sqrt(KT / (MS + MU))
    damping = 1j * w * 1500.0 / (MS + MU)
    assert np.abs(shaken.driven["seat"]) == pytest.approx(
        np.abs((w0**2 + damping) / (w0**2 - w**2 + damping)), rel=0.02
    )
    assert np.max(np.abs(shaken.driven[FRONT_TRAVEL])) < 0.1


def test_friction_and_knees_show_as_distance_from_the_line():
    truck = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["two front"]
    smooth, rough = (respond(truck, 7.0, speed) for speed in (0.03, 0.3))
    waves = (smooth.driven_hz > 1.2) & (smooth.driven_hz < 2.2)  # friction holds the leaf packs on a smooth road
    assert np.all(np.abs(smooth.driven[REAR_TRAVEL][waves]) < 0.7 * np.abs(rough.driven[REAR_TRAVEL][waves]))


def test_wheels_leave_the_ground_without_dampers():
    bare = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["bare springs"]
    assert max(np.nanmax(share) for share in respond(bare, 7.0, 0.1).off_ground.values()) > 0.1


def test_command(tmp_path, capsys):
    assert main(["shake", str(ROOT / "scenarios" / "two_or_four.yaml"), "--outputs", str(tmp_path), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    peaks = {setup: one["measures"][f"{FRONT_TRAVEL}: largest"]["value"] for setup, one in found["setups"].items()}
    assert peaks["bare springs"] > peaks["two front"]
    folder = tmp_path / "two_or_four_shaken"
    assert {p.name for p in folder.iterdir()} == {"shaken.png", "shaken.svg", "shaken.csv", "record.json"}
    rows = (folder / "shaken.csv").read_text(encoding="utf-8").splitlines()
    assert len({row.count(",") for row in rows}) == 1
    assert {row.partition(",")[0] for row in rows} == {"model", "linear", "full"}
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))
    assert "--speed '26 km/h'" in record["to make it again"]
    assert "two_or_four.yaml" in record["sources"]


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["scenarios/courses/hut_track.yaml"], "a course cannot be shaken"),
        (["scenarios/two_or_four.yaml", "--road", "0.3"], "needs a unit"),
        (["scenarios/two_or_four.yaml", "--road", "9 m/s"], "allowed is from"),
        (["scenarios/two_or_four.yaml", "--speed", "fast"], "number with its unit"),
    ],
)
def test_bad_input(given, said, tmp_path):
    done = subprocess.run(
        [sys.executable, "-m", "sim", "shake", *given, "--outputs", str(tmp_path / "out")],
        cwd=ROOT, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert said in done.stderr
    assert "Traceback" not in done.stderr
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("ratio", "place", "peak"), [(0.2, 0.9647, 2.7339), (0.3, 0.9302, 1.9946), (0.4, 0.8927, 1.6550)]
)
def test_base_transmissibility(ratio, place, peak):
    """One mass on spring and damper: 1 at sqrt(2) wn whatever the damping, and the tabled peaks (any vibration text, recomputed)."""
    mass, rate = 300.0, 30e3
    one = at_centre(
        car(
            2 * mass, 2 * mass * 1.69, 1.3, 1.3, rate, rate, unsprung=(0.5, 0.5), tyre_rates=(3e9, 3e9),
            dampings=(float(2 * ratio * np.sqrt(rate * mass)),) * 2,
        ),
        1.3,
    )  # fmt: skip
    natural = np.sqrt(rate / mass) / 2 / np.pi
    sweep = place * (1 + np.linspace(-0.02, 0.02, 81))
    found = np.abs(linear_response(lower(one), natural * np.concatenate([[np.sqrt(2.0)], sweep]), 0.0, 0.1)["seat"])
    assert found[0] == pytest.approx(1.0, rel=1e-4)
    assert np.max(found[1:]) == pytest.approx(peak, rel=1e-4)
    assert sweep[np.argmax(found[1:])] == pytest.approx(place, abs=1e-3)


def test_a_shaken_damper_at_its_end_is_flagged():
    """A damper with hardly any stroke: the runs in which it meets its ends are told, with the frequencies."""
    truck = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["two front"]
    short = truck.changed(
        {"front.dampers.main.length_extended": "585 mm", "front.dampers.main.length_collapsed": "560 mm"}
    )
    assert not respond(truck, 7.0, 0.1).flags
    flags = respond(short, 7.0, 0.1).flags
    met = [(flag.part, flag.end) for flag in flags if flag.kind == "damper_end"]
    assert sorted(met) == [("front damper 'main'", "collapsed"), ("front damper 'main'", "extended")]
    assert " Hz" in flags[0].sentence


def test_a_run_out_of_its_range_is_not_shown():
    """Bare springs on a very rough road: where travel leaves the guides' range there is no point, but a flag."""
    bare = sim.load(ROOT / "scenarios" / "two_or_four.yaml").setups["bare springs"].changed(
        {"front.strap": "none", "rear.strap": "none", "front.stop": "none", "rear.stop": "none"}
    )  # fmt: skip
    shaken = respond(bare, 7.0, 1.0)
    lost = np.isnan(shaken.driven[FRONT_TRAVEL])
    assert lost.any()
    past = {"jounce_range", "pitch_range", "not_finite"}
    assert [any(flag.kind in past for flag in flags) for flags in shaken.faults] == lost.tolist()
    assert "jounce_range" in {flag.kind for flag in shaken.flags}
