"""A tyre's pressure as its rate and its length on the ground."""

from math import acos, pi, sin, sqrt
from pathlib import Path

import numpy as np
import pytest

import sim
from sim.describe.parts.tyre import Tyre
from sim.describe.parts.tyre_pressure import radial_rate
from sim.linear.modes import modes
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.study.sweep.axes import Axis, caveats

TRUCK = sim.load(Path(__file__).parents[3] / "scenarios" / "vehicles" / "hut_supply_truck.yaml")
MEASURED = {"front.tyre.measured_at": "32 psi", "rear.tyre.measured_at": "32 psi"}


def tyre(**changes):
    return Tyre.model_validate(
        {"radius": "402 mm", "rate": "265 N/mm", "damping": "180 N s/m", "contact_length": "170 mm", "measured_at": "2.2 bar"} | changes
    )  # fmt: skip


def test_rate_goes_in_a_straight_line_with_pressure():
    """T. B. Rhyne 2005, from memory: what is left without air is 3.45 kgf/mm of the carcass, whatever the size."""
    for width, aspect, rim in ((0.195, 0.75, 14 * 0.0254), (0.235, 0.85, 16 * 0.0254)):
        rates = [radial_rate(bar * 1e5, width, aspect, rim) for bar in (0.0, 1.0, 2.0, 3.0)]
        assert rates[0] == pytest.approx(3.45 * 9806.65)
        assert np.diff(rates) == pytest.approx(np.full(3, rates[1] - rates[0]))
    # 195/75R14 at 240 kPa, by hand: root (0.73 x 195 x (292.5 + 355.6)) = 303.7; 0.0672 x 303.7 + 3.45 = 23.86 kgf/mm.
    assert radial_rate(240e3, 0.195, 0.75, 14 * 0.0254) == pytest.approx(23.86 * 9806.65, rel=1e-3)


def test_a_measured_rate_is_what_it_was_measured_as():
    assert tyre().rate_driven == tyre(pressure="2.2 bar").rate_driven == pytest.approx(265e3)
    assert tyre(pressure="31.908 psi").rate_driven == pytest.approx(265e3, rel=1e-4)
    half = tyre(pressure="1.1 bar")
    # Air carries seven eighths at 2.2 bar: half of the pressure leaves a little more than half of the rate.
    assert 0.5 < half.rate_driven / 265e3 < 0.6
    assert half.damping == tyre().damping
    assert half.rate_at_twice_driven is None


def test_length_on_the_ground_is_the_chord_of_what_it_gives():
    """A circle cut off by the ground: 2 r sin(acos(1 - d / r)), at the same load at both pressures."""
    soft, hard = tyre(pressure="1.4 bar"), tyre(pressure="3 bar")
    chords = [2.0 * 0.402 * sin(acos(1.0 - 6000.0 / one.rate_driven / 0.402)) for one in (soft, hard)]
    assert soft.contact_length_driven / hard.contact_length_driven == pytest.approx(chords[0] / chords[1], rel=0.02)
    assert hard.contact_length_driven < 0.170 < soft.contact_length_driven


def test_a_truck_on_soft_tyres_stands_lower_and_hops_slower():
    """By load over rate, and by the root of what an axle swings on (a mass between tyres and springs; closed form)."""
    hard = TRUCK.changed(MEASURED)
    soft = hard.changed({"front.tyre.pressure": "18 psi", "rear.tyre.pressure": "18 psi"})
    standing = [rest(lower(vehicle)) for vehicle in (hard, soft)]
    heights = [one.state[1] for one in standing]
    sunk = [
        load * (1.0 / (2.0 * axle.tyre.rate_driven) - 1.0 / (2.0 * axle.tyre.rate))
        for load, (_, axle) in zip(standing[0].tyre_load, soft.axles, strict=True)
    ]
    behind = TRUCK.body.centre_of_gravity.behind_front_axle / TRUCK.wheelbase
    assert heights[0] - heights[1] == pytest.approx((1.0 - behind) * sunk[0] + behind * sunk[1], rel=0.02)
    bare = [vehicle.changed({"front.dampers": "none", "rear.dampers": "none"}) for vehicle in (hard, soft)]
    hops = [next(m.frequency_hz for m in modes(lower(vehicle)) if m.name == "front hop") for vehicle in bare]
    # Between tyres alone and tyres with the whole of the coils; its arms, and a body that moves too, leave some per cent.
    springs, rates = 2 * 36e3, [2 * one.front.tyre.rate_driven for one in (hard, soft)]
    least, most = sqrt(rates[1] / rates[0]), sqrt((rates[1] + springs) / (rates[0] + springs))
    assert least < hops[1] / hops[0] < 1.03 * most
    assert hops[0] == pytest.approx(sqrt((rates[0] + springs) / TRUCK.front.housing.mass) / (2.0 * pi), rel=0.1)


def test_a_pressure_alone_says_nothing():
    with pytest.raises(ValueError, match="pressure needs measured_at"):
        tyre(measured_at=None, pressure="1.4 bar")


def test_a_sweep_of_pressures_says_what_it_leaves_out():
    (said,) = caveats([Axis("front.tyre.pressure, rear.tyre.pressure", np.array([1.0, 2.0]), "bar")])
    assert "Rhyne" in said
    assert "heats the tyre" in said
    (said,) = caveats([Axis("front.tyre.rate", np.array([1.0, 2.0]), "N/mm")])
    assert "Tyre rate stands for" in said
    assert "heats the tyre" in said
