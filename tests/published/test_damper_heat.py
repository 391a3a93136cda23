"""Heat of dampers: air and films of heat transfer texts, heating in closed form, what cold does to a damper, counted travel."""

from itertools import pairwise
from math import exp, pi

import ht
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from sim.describe.parts.dampers import air
from sim.describe.parts.dampers.air import Air
from sim.describe.parts.dampers.heat import Heat, advanced, settled
from sim.describe.parts.dampers.tube import Tube
from sim.integrate.given import Input
from sim.integrate.single import traced
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import rest
from sim.measure import tally
from tests.published.test_energy_per_cycle import CYCLES, W, X, machine

AIR = Air(298.15, speed=6.0)


def tube(**changes):
    given = {
        "construction": "twin_tube", "bore": "32 mm", "outside_diameter": "54 mm", "length": "330 mm", "rod": "14 mm",
    }  # fmt: skip
    return Tube.model_validate(given | changes)


@pytest.mark.parametrize(
    ("kelvin", "viscosity", "conductivity", "prandtl"),
    [(250.0, 159.6e-7, 22.3e-3, 0.720), (300.0, 184.6e-7, 26.3e-3, 0.707), (400.0, 230.1e-7, 33.8e-3, 0.690)],
)
def test_air(kelvin, viscosity, conductivity, prandtl):
    """Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4, from memory."""
    assert air.viscosity(kelvin) == pytest.approx(viscosity, rel=0.01)
    assert air.conductivity(kelvin) == pytest.approx(conductivity, rel=0.015)
    assert air.prandtl(kelvin) == pytest.approx(prandtl, rel=0.02)


@pytest.mark.parametrize(
    ("metres", "pascal"), [(0.0, 101325.0), (1000.0, 89874.6), (2000.0, 79495.2), (5000.0, 54019.9)]
)
def test_air_gets_thin(metres, pascal):
    """U.S. Standard Atmosphere, 1976."""
    assert air.pressure_at(metres) == pytest.approx(pascal, rel=1e-4)


def test_cylinder_in_a_stream():
    """Incropera and DeWitt, example 7.4: 12.7 mm at Re 6071, Pr 0.70: Nu 40.6, 96 W/(m² K), from memory."""
    assert air.blown(6071.0, 0.70) == pytest.approx(40.6, abs=0.05)
    assert air.blown(6071.0, 0.70) * 0.030 / 0.0127 == pytest.approx(96.0, abs=0.1)


@pytest.mark.parametrize(("reynolds", "c", "m"), [(1e3, 0.683, 0.466), (1e4, 0.193, 0.618), (3e4, 0.193, 0.618)])
def test_cylinder_by_the_older_table(reynolds, c, m):
    """R. Hilpert (1933), Nu = C Re^m Pr^(1/3), constants from memory: within the 20 % that both claim."""
    assert air.blown(reynolds, 0.70) == pytest.approx(c * reynolds**m * 0.70 ** (1 / 3), rel=0.2)


def test_wall_in_still_air():
    """Incropera and DeWitt, example 9.2: Ra 1.813e9, Pr 0.690: Nu 147, from memory."""
    assert air.still(1.813e9, 0.690) == pytest.approx(147.0, abs=0.5)


@pytest.mark.parametrize("reynolds", [10.0, 4e3, 2.5e4, 2e5])
def test_films_by_another_library(reynolds):
    """The `ht` package of heat transfer correlations."""
    expected = ht.conv_external.Nu_cylinder_Churchill_Bernstein(reynolds, 0.7)
    assert air.blown(reynolds, 0.7) == pytest.approx(expected, rel=1e-12)
    assert air.still(1e4 * reynolds, 0.7) == pytest.approx(
        ht.Nu_vertical_plate_Churchill(0.7, 1e4 * reynolds / 0.7), rel=1e-12
    )


def test_steady_temperature():
    """T = T_air + P/(h A), the oil P/G above: reached after hours of even work. Derived."""
    damper, heat, power = tube(), Heat(298.15, 298.15), 120.0
    for _ in range(2000):
        heat = advanced(heat, damper, 10.0 * power, 10.0, AIR)
    film = air.film(heat.metal, AIR, 0.054, 0.330, damper.emissivity)
    area = pi * 0.054 * 0.330 + pi * 0.054**2 / 4
    assert heat.metal == pytest.approx(AIR.kelvin + power / (film * area), abs=1e-6)
    assert heat.oil - heat.metal == pytest.approx(power / damper.oil_to_metal, abs=1e-6)
    assert settled(damper, power, AIR) == pytest.approx((heat.oil, heat.metal), abs=1e-6)


def test_time_constant_of_a_cylinder():
    """Oil and wall as one body: exp(-h A t / C), the lumped capacity of any heat transfer text; h kept by one single step."""
    damper = tube(oil_film="1e9 W/(m^2 K)")
    capacity = damper.oil_mass * 1900.0 + damper.steel_mass * 460.0
    taken = damper.metal_to_air(398.15, AIR)
    tau = capacity / taken
    for times in (0.1, 1.0, 3.0):
        heat = advanced(Heat(398.15, 398.15), damper, 0.0, times * tau, AIR)
        assert heat.metal - AIR.kelvin == pytest.approx(100.0 * exp(-times), rel=1e-5)


def test_warming_against_another_integrator():
    """Two nodes with a film that goes with the wall's temperature, radiation included: SciPy's Radau."""
    damper, power = tube(), 150.0

    def rates(_, kelvin):
        into = damper.oil_to_metal * (kelvin[0] - kelvin[1])
        away = damper.metal_to_air(kelvin[1], AIR) * (kelvin[1] - AIR.kelvin)
        return [(power - into) / damper.oil_capacity, (into - away) / damper.metal_capacity]

    exact = solve_ivp(rates, (0.0, 1200.0), [263.15, 263.15], "Radau", rtol=1e-10, atol=1e-8).y[:, -1]
    misses = []
    for step in (20.0, 10.0):
        heat = Heat(263.15, 263.15)
        for _ in range(round(1200.0 / step)):
            heat = advanced(heat, damper, power * step, step, AIR)
        misses.append(float(np.max(np.abs([heat.oil, heat.metal] - exact))))
    assert [heat.oil, heat.metal] == pytest.approx(exact, abs=0.02)  # film and radiation are kept for ten seconds each
    assert misses[1] < 0.6 * misses[0]


@pytest.mark.parametrize("work", [0.0, 1.0, 3e4])
def test_heat_is_kept(work):
    """Work = what oil, metal and air take, to rounding (the project's own demand is 1e-6)."""
    heat = Heat(253.15, 251.0)
    for number in range(300):
        blowing = Air(263.15 + number % 7, speed=float(number % 13))
        heat = advanced(heat, tube(), work * (number % 3), 0.5 + number % 5, blowing)
    moved = abs(heat.into_oil) + abs(heat.into_metal) + abs(heat.into_air)
    assert heat.into_oil + heat.into_metal + heat.into_air == pytest.approx(heat.worked, abs=1e-11 * moved)
    assert heat.into_oil == pytest.approx(tube().oil_capacity * (heat.oil - 253.15), rel=1e-9)
    assert heat.open_share < 1e-11


def test_work_of_a_sine_becomes_heat():
    """Two dampers of 750 N s/m make 37.0110 J in a cycle of 25 mm at 2 Hz, pi c w X² (published-values, section 7)."""
    from sim.integrate.ridden import Ridden
    from sim.study.endurance.drive import work_of_one

    vehicle = machine(750.0).changed({f"{end}.dampers.main.count": 2 for end in ("front", "rear")})
    setup = lower(vehicle)
    steps = CYCLES * 500
    time = np.arange(steps + 1) * 1e-3
    state = rest(setup).state.copy()

    def cycles(count):
        height, rate = X * np.sin(W * time), X * W * np.cos(W * time)
        shown = 500 * count + 1
        given = Input.of(
            1e-3, 500 * count, 1, np.array([height] * 2)[:, :shown], np.array([rate] * 2)[:, :shown], time[:shown] * 0
        )
        trace = traced(pack([setup], 1), state, given)
        return work_of_one(setup, Ridden.of(setup, trace))["front", "main"], 0.5 * np.ptp(trace[-501:, at.JOUNCE])

    (before, _), (after, travel) = cycles(CYCLES - 1), cycles(CYCLES)
    assert 2.0 * (after - before) * (X / travel) ** 2 == pytest.approx(37.0110, rel=1e-4)


def test_cold_damper():
    """A twin-tube is 2.5 times as hard at -30 °C as at 20 °C (K. Hryciow, Applied Sciences 12, 12765, 2022)."""
    assert tube().force_share(243.15) == pytest.approx(2.5, rel=0.01)
    assert tube().force_share(293.15) == pytest.approx(1.0, rel=1e-12)


def test_purely_laminar_and_purely_turbulent():
    """Poiseuille's flow goes with the dynamic viscosity, an orifice with the density (published-values, section 7)."""
    for kelvin in (250.0, 293.15, 380.0):
        oil = tube().oil
        laminar, orifice = tube(laminar_share=1.0), tube(laminar_share=0.0)
        assert laminar.force_share(kelvin) == pytest.approx(
            oil.dynamic_viscosity_at(kelvin) / oil.dynamic_viscosity_at(293.15), rel=1e-12
        )
        assert orifice.force_share(kelvin) == pytest.approx(oil.density_at(kelvin) / oil.density_at(293.15), rel=1e-12)


def test_rainflow_counting(tmp_path):
    """ASTM E1049-85, figure 6: -2, 1, -3, 5, -1, 3, -4, 4, -2 counts 0.5 of range 3, 1.5 of 4, 0.5 of 6, 1 of 8, 0.5 of 9."""
    history = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])
    unit = tally.CLASS_M
    points = tmp_path / "points"
    # A class holds ranges from its lower limit on; lift them clear of rounding.
    (history * unit * (1 + 1e-9)).tofile(points)
    found = tally.travel_counts(points)
    assert list(found) == [3, 4, 6, 8, 9]
    assert list(found.values()) == pytest.approx([0.5, 1.5, 0.5, 1.0, 0.5])


def test_level_crossing_counting(tmp_path):
    """ASTM E1049-85, 5.1, by hand on the history of figure 6: up at and above the reference, down below it."""
    history = np.array([-2.0, 1.0, -3.0, 5.0, -1.0, 3.0, -4.0, 4.0, -2.0])
    points = tmp_path / "points"
    # A little larger, so that a peak at a level has crossed it.
    (history * tally.CLASS_M * (1 + 1e-9)).tofile(points)
    found = tally.level_crossings(points)
    assert list(found) == [-4, -3, -2, -1, 0, 1, 2, 3, 4, 5]
    assert list(found.values()) == pytest.approx([1, 2, 3, 4, 4, 4, 3, 3, 2, 1])


@pytest.mark.parametrize("cut", [1, 7, 60, 997])
def test_turning_points_of_a_signal_in_pieces(cut):
    """Cut anywhere, the same points, which are the extremes; with none left out, those of the `rainflow` package."""
    from rainflow import reversals

    from sim.kernel.turning import turning_points

    signal = np.cumsum(np.random.default_rng(3).normal(size=997))

    def found(least):
        memory, made = np.array([signal[0], 0.0]), []
        for start in range(0, signal.size, cut):
            part = signal[start : start + cut].copy()
            out = np.empty(part.size)
            made += list(out[: turning_points(part, least, memory, out)])
        return [*made, memory[0]]

    assert found(0.0)[1:-1] == [value for _, value in reversals(signal)][1:-1]
    coarse = found(2.0)
    assert all(abs(b - a) >= 2.0 for a, b in pairwise(coarse[:-1]))
    assert max(coarse) == max(signal)
    assert min(coarse) == min(signal)
