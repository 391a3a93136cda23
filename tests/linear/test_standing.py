"""How a set-up stands, against closed forms and a published set."""

import numpy as np
import pytest

import sim
from sim.cli import main
from sim.linear.standing import stand
from tests.describe.parts.test_placement import axle_centre, mount, place, with_damper
from tests.published.test_quarter_car import KS, KT, MS, MU, two_alike


def test_quarter_car_numbers():
    """Ride rate ks kt/(ks+kt), frequency sqrt(RR/ms)/2 pi, zeta c/(2 sqrt(ks ms)) = .2838 at 1500 N s/m.

    Barton and Fieldhouse (2018), 3.13 and published-values section 2.1: the single-mass estimate, not the mode's .2430.
    """
    axle = stand(two_alike(1500.0)).axles["front"]
    assert axle.wheel_rate == pytest.approx(KS, rel=1e-6)
    assert axle.tyre_rate == pytest.approx(KT, rel=1e-6)
    assert axle.ride_rate == pytest.approx(KS * KT / (KS + KT), rel=1e-6)
    assert axle.sprung_mass == pytest.approx(MS, rel=1e-6)
    assert axle.unsprung_mass == pytest.approx(MU, rel=1e-9)
    assert axle.ride_frequency == pytest.approx(np.sqrt(KS * KT / (KS + KT) / MS) / 2 / np.pi, rel=1e-6)
    assert axle.damping_ratio == pytest.approx(0.2838, abs=5e-5)


def test_anti_squat_of_the_published_set():
    """e/d = .10 with h/L = .7/3.3 gives 47.143 % (Barton and Fieldhouse 3.11, Gillespie ch. 7; published-values 8).

    The program counts the height of the whole truck's centre of gravity as h; here both are read from it.
    """
    vehicle, _ = with_damper({"kind": "straight"}, place(0.1, axle_centre(300e3) + 0.5), mount(0.0, 0.0))
    centre = axle_centre(300e3)
    pivot = {"behind_front_axle": "1.6 m", "above_ground": "0.1 m"}  # 1.0 m ahead of the rear axle, 0.1 m up: e/d = .1
    trailing = vehicle.changed({"rear.guide": {"kind": "arm", "pivot": pivot, "wind_up": {"rate": "rigid"}}})
    axle = stand(trailing).axles["rear"]
    assert axle.instant_centre_ahead == pytest.approx(1.0, rel=1e-6)
    assert axle.instant_centre_above == pytest.approx(0.1, rel=1e-4)
    masses = 1200.0 + 120.0
    height = (1200.0 * 1.0 + 120.0 * centre) / masses
    assert axle.anti_share == pytest.approx(0.10 / (height / 2.6), rel=1e-3)


def test_stand_prints_for_vehicle_and_scenario(capsys):
    assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml"]) == 0
    text = capsys.readouterr().out
    assert "ride frequency [Hz]" in text
    assert "bounce" in text
    assert main(["stand", "scenarios/will_it_bottom.yaml"]) == 0
    assert "full load" in capsys.readouterr().out
    assert main(["stand", "scenarios/courses/hut_track.yaml"]) == 2
    assert "does not stand" in capsys.readouterr().err


def test_a_load_lowers_frequency_and_takes_travel():
    scenario = sim.load("scenarios/will_it_bottom.yaml")
    empty, loaded = (stand(scenario.setups[name]).axles["rear"] for name in ("empty bed", "full load"))
    assert loaded.ride_frequency < empty.ride_frequency
    assert loaded.travel_left_up < empty.travel_left_up
    assert loaded.load > empty.load


def test_why_a_body_has_two_damping_ratios_is_said(capsys):
    """Barton and Fieldhouse (2018): .2838 of the mass on its spring alone, .2430 of the motion with the tyre below."""
    standing = stand(two_alike(1500.0))
    swings = [mode.damping_ratio for mode in standing.modes if mode.name in ("bounce", "pitch")]
    assert min(abs(ratio - 0.2430) for ratio in swings) < 5e-4
    assert standing.axles["front"].damping_ratio == pytest.approx(0.2838, abs=5e-5)
    assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml"]) == 0
    said = " ".join("".join(capsys.readouterr()).split())
    assert (
        "The ratio of an axle takes its tyres as rigid; that of a swing of the body counts them, so it is less." in said
    )


def test_an_arms_instant_centre_is_its_pivot_also_when_the_truck_leans():
    for name, vehicle in sim.load("scenarios/will_it_bottom.yaml").setups.items():
        # An axle that gives takes its instant centre along, by a part of a millimetre under a load.
        standing = stand(vehicle.changed({"front.fore_and_aft": "none", "rear.fore_and_aft": "none"}))
        pivot = vehicle.front.guide.pivot
        forward = standing.cg_behind_front_axle - pivot.behind_front_axle
        up = pivot.above_ground - vehicle_cg_height(vehicle)
        tilt = -standing.nose_up
        height = standing.cg_above_ground - forward * np.sin(tilt) + up * np.cos(tilt)
        assert standing.axles["front"].instant_centre_above == pytest.approx(height, abs=1e-6), name


def vehicle_cg_height(vehicle):
    from sim.lower.stance import sprung_mass

    return sprung_mass(vehicle).place.cg_above_ground


def test_side_view_is_drawn_and_an_unwritable_folder_is_said(tmp_path, capsys):
    assert main(["stand", "scenarios/will_it_bottom.yaml", "--picture", str(tmp_path)]) == 0
    assert sorted(p.name for p in tmp_path.glob("*.png")) == [
        "empty_bed.png", "empty_bed_modes.png", "full_load.png", "full_load_modes.png", "half_a_load.png",
        "half_a_load_modes.png",
    ]  # fmt: skip
    assert all(p.stat().st_size > 10_000 for p in tmp_path.glob("*.png"))
    (tmp_path / "file").write_text("mine")
    assert main(["stand", "scenarios/will_it_bottom.yaml", "--picture", str(tmp_path / "file")]) == 4
    assert "there is a file of this name. Choose another place with --picture" in capsys.readouterr().err
    assert (tmp_path / "file").read_text() == "mine"


def by_hand(bore, outside, length, rod, wall=2e-3, filled=0.6):
    """Oil [kg] and heat to warm oil and steel by a degree [J/K] of the demo's twin-tubes, from their dimensions."""
    disc = lambda d: np.pi / 4 * d * d  # noqa: E731
    ring = disc(outside - 2 * wall) - disc(bore + 2 * wall)
    oil = 870.0 * (length * (disc(bore) - 0.5 * disc(rod)) + filled * ring * length)  # usual damper oil at 15 degC
    walls = disc(outside) - disc(outside - 2 * wall) + disc(bore + 2 * wall) - disc(bore)
    steel = 7850.0 * (walls * length + disc(outside) * 2 * wall)
    return oil, 1900.0 * oil + 460.0 * steel


def test_oil_and_heat_of_a_tube():
    """Water-level sums of the tube's own dimensions; densities and specific heats of handbooks (from memory)."""
    axles = stand(sim.load("scenarios/vehicles/hut_supply_truck.yaml")).axles
    for end, sizes in (("front", (0.032, 0.054, 0.330, 0.014)), ("rear", (0.030, 0.051, 0.345, 0.0125))):
        (damper,) = axles[end].dampers
        assert (damper.oil_mass, damper.heat_capacity) == pytest.approx(by_hand(*sizes), rel=1e-9)


def test_oil_and_heat_are_printed(capsys):
    assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml", "--all"]) == 0
    lines = [line.split() for line in capsys.readouterr().out.splitlines()]
    oil, heat = by_hand(0.032, 0.054, 0.330, 0.014)
    shown = {" ".join(line): line for line in lines}
    (first, *_) = [line for text, line in shown.items() if "oil in one" in text]
    assert f"{oil:.3f}" in first
    (first, *_) = [line for text, line in shown.items() if "heat that warms one" in text]
    # In kJ/K and Btu/°F: a Btu per pound and °F is 4186.8 J/(kg K) (International Table; ISO 80000-5).
    assert first[-2:] == [f"{heat / 1e3:.2f}", f"({heat / (4186.8 * 0.45359237):.2f})"]
