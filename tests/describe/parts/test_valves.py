"""Valve parts: SciPy's root finders, limits that have closed forms, knees, cavitation, gas counted once."""

from math import log, pi, sqrt

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError
from scipy.optimize import brentq, root

from sim.describe.files.scenario import load
from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.valve_flow import Fluid, ValvePath, valve_lift
from sim.describe.parts.dampers.valves import BOUND, FASTEST, LEAST_BOUND
from sim.lower.lowering import lower
from tests.describe.parts.dampers import MONOTUBE, TWIN_TUBE

ADAPTER = TypeAdapter(Law)
SPEEDS = np.concatenate([-np.geomspace(3.0, 1e-3, 60), np.geomspace(1e-3, 3.0, 60)])
ATMOSPHERE = 101325.0


def law(given, **changes):
    return ADAPTER.validate_python({**given, **changes})


def naive_flow(drop, passage, way, fluid):
    """Flow [m³/s] through a passage as the file says, each valve by Brent's method on the pressure between port and plate."""
    holes = passage.bleed
    a, d = holes.count * pi * holes.diameter**2 / 4, holes.diameter

    def bleed(q):
        tube = 128 * fluid.viscosity * holes.length * q / (pi * d**4 * holes.count)
        return tube + fluid.density * q * q / (2 * (holes.discharge * a) ** 2) - drop

    flow = brentq(bleed, 0.0, holes.discharge * a * sqrt(2 * drop / fluid.density) * 1.001 + 1e-30, xtol=1e-24)
    for valve in getattr(passage, way):
        seat, edge = pi * valve.seat_diameter**2 / 4, pi * valve.seat_diameter
        port = valve.ports.count * pi * valve.ports.diameter**2 / 4

        def out(between, valve=valve, seat=seat, edge=edge):
            lift = max((between * seat - valve.preload) / valve.rate, 0.0)
            lift = lift if valve.lift_most is None else min(lift, valve.lift_most)
            return valve.discharge * edge * lift * sqrt(2 * between / fluid.density)

        def balance(between, port=port, valve=valve, out=out):
            return valve.discharge * port * sqrt(2 * max(drop - between, 0.0) / fluid.density) - out(between)

        flow += out(brentq(balance, 0.0, drop, xtol=1e-12 * drop))
    return flow


@pytest.mark.parametrize("speed", [-2.0, -0.52, -0.1, -0.03, 0.004, 0.1, 0.3, 1.0])
def test_monotube_is_what_scipys_brent_finds(speed):
    """One unknown: the pressure over the piston, whose flow is annulus times speed."""
    made = law(MONOTUBE)
    way = "compression" if speed > 0 else "rebound"
    flow = made.rods.annulus * abs(speed)
    drop = brentq(lambda p: naive_flow(p, made.piston, way, made.fluid) - flow, 1e-3, 1e9, xtol=1e-6, rtol=1e-13)
    assert made.force(speed) == pytest.approx(np.sign(speed) * drop * made.rods.annulus, rel=1e-9)


@pytest.mark.parametrize("speed", [-1.0, -0.3, -0.05, 0.05, 0.3, 1.0])
def test_twin_tube_is_what_scipys_root_finds(speed):
    """Two unknown chamber pressures, two flow balances; the force is that of the pressures on piston and rod, less the gas."""
    made = law(TWIN_TUBE)
    annulus, rod = made.rods
    gas = made.tube.gas_pressure
    way = "compression" if speed > 0 else "rebound"

    def balances(logs):  # logarithms run almost straight over one another
        across, foot = np.exp(logs)
        return [
            log(naive_flow(across, made.piston, way, made.fluid) / (annulus * abs(speed))),
            log(naive_flow(foot, made.tube.foot, way, made.fluid) / (rod * abs(speed))),
        ]

    found = root(balances, [13.0, 12.0], tol=1e-13)
    assert found.success
    across, foot = np.sign(speed) * np.exp(found.x)
    below = gas + foot
    around = below - across
    force = below * (annulus + rod) - around * annulus
    assert made.force(speed) == pytest.approx(force - gas * rod, rel=1e-8)
    assert made.least_gas_pressure(speed) == pytest.approx(max(gas - min(below, around), 0.0), rel=1e-8, abs=1e-3)


def test_lift_is_the_root_of_its_cubic():
    """(F0 + k x)(1 + c² x²) = p A by NumPy's polynomial roots."""
    path = ValvePath(3e-5, 0.7, 2.5e-4, 0.056, 90.0, 2e5, np.inf)
    drop = np.array([4e5, 1e6, 7e6])
    c2 = (path.edge / path.port_area) ** 2
    for p, lift in zip(drop, valve_lift(drop, path), strict=True):
        roots = np.roots([path.rate * c2, path.preload * c2, path.rate, path.preload - p * path.seat_area])
        assert lift == pytest.approx(float(roots[np.abs(roots.imag) < 1e-9].real.max()), rel=1e-10)


def test_bleed_alone_has_a_closed_form_slow_and_fast():
    """Long thin hole, cold: 128 mu l A² v / (pi d⁴ n) (Hagen, Poiseuille); sharp edge: rho A³ v² / (2 Cd² a²)."""
    hole = {"count": 2, "diameter": "0.8 mm", "length": "400 mm"}
    made = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": hole}).at_temperature(253.15)
    area, mu = made.rods.annulus, made.fluid.viscosity
    laminar = 128 * mu * 0.4 * area**2 * 1e-4 / (pi * 0.8e-3**4 * 2)
    assert made.force(1e-4) == pytest.approx(laminar, rel=1e-3)
    sharp = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": {"diameter": "2 mm"}})
    jet = sharp.fluid.density * area**3 * 0.49 / (2 * (0.7 * pi * 1e-6) ** 2)
    assert sharp.force([0.7, -0.7]) == pytest.approx([jet, -jet], rel=1e-12)


@pytest.mark.parametrize("given", [MONOTUBE, TWIN_TUBE])
def test_continuous_monotone_and_lowered_within_its_bound(given):
    made = law(given)
    fine = np.linspace(-FASTEST, FASTEST, 40001)
    force = made.force(fine)
    assert np.all(np.diff(force) > 0.0)
    assert np.max(np.abs(np.diff(force))) < 20.0  # 0.2 mm/s apart
    allowed = BOUND * np.abs(force) + LEAST_BOUND
    assert np.all(np.abs(ramps.force(made.lower(), fine) - force) <= 1.02 * allowed)  # its samples are 1 % apart


def test_knee_stands_where_preload_over_area_says():
    """110 N on 18 mm: 4.323 bar. The bleed alone lets 4.323 bar through at Q; the knee is at Q over the annulus."""
    made = law(MONOTUBE)
    opens = 110.0 / (pi * 0.018**2 / 4)
    mu, rho = made.fluid.viscosity, made.fluid.density
    k, r = rho / (2 * (0.7 * 2 * pi * 1.5e-3**2 / 4) ** 2), 128 * mu * 3e-3 / (pi * 1.5e-3**4 * 2)
    flow = (-r + sqrt(r * r + 4 * k * opens)) / (2 * k)
    area = pi * (0.04**2 - 0.014**2) / 4
    knee = made.opens_at()[1][0]
    assert knee == pytest.approx(flow / area, rel=1e-9)
    assert made.force(-knee) == pytest.approx(-opens * area, rel=1e-9)
    # The slope falls there: above it the valve takes flow.
    below, above = (float(np.diff(made.force([-knee * a, -knee * b]))[0]) for a, b in ((0.99, 1.0), (1.0, 1.01)))
    assert abs(above) < 0.6 * abs(below)


def test_valves_open_one_after_the_other():
    first, second = law(MONOTUBE).opens_at()[1]
    assert 0.0 < first < second
    flow = naive_flow(250.0 / (pi * 0.018**2 / 4), law(MONOTUBE).piston, "rebound", law(MONOTUBE).fluid)
    assert second == pytest.approx(flow / law(MONOTUBE).rods.annulus, rel=1e-9)


def test_stiff_spring_shuts_the_valve_and_a_soft_one_leaves_the_ports():
    """Limits: rate without end is the bleed alone; no preload and no rate is an orifice of bleed and ports beside each other."""
    valve = {
        "ports": {"count": 4, "diameter": "1.5 mm"},
        "seat_diameter": "18 mm",
        "preload": "0 N",
        "rate": "1e12 N/m",
    }
    hole = {"diameter": "2 mm"}
    shut = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": hole, "compression": [valve]})
    alone = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": hole})
    assert shut.force(0.5) == pytest.approx(float(alone.force(0.5)), rel=1e-3)
    soft = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": hole, "compression": [{**valve, "rate": "1e-3 N/m"}]})
    both = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": {"count": 1, "diameter": f"{sqrt(4 + 4 * 2.25)} mm"}})
    assert soft.force(0.5) == pytest.approx(float(both.force(0.5)), rel=1e-4)


def test_gas_pressure_that_keeps_a_monotube_whole_is_its_pressure_drop():
    """Bump: the drop over the piston; rebound: none, the gas follows."""
    made = law(MONOTUBE)
    assert made.least_gas_pressure(0.8) == pytest.approx(float(made.force(0.8)) / made.rods.annulus, rel=1e-12)
    assert made.least_gas_pressure([-0.8, -3.0]) == pytest.approx([0.0, 0.0])


def test_temperature_thins_the_bleed_and_lightens_jets():
    """A jet's force goes with density alone; a long bleed's with viscosity (ASTM D341), both of the oil's own sheet."""
    sharp = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": {"diameter": "2 mm"}})
    hot = sharp.at_temperature(373.15)
    ratio = sharp.oil.density_at(373.15) / sharp.oil.density_at(293.15)
    assert hot.force(0.5) == pytest.approx(ratio * float(sharp.force(0.5)), rel=1e-12)
    hole = {"count": 2, "diameter": "0.8 mm", "length": "400 mm"}
    thin = law(MONOTUBE, piston={"diameter": "40 mm", "bleed": hole})
    fade = float(thin.at_temperature(353.15).force(1e-4) / thin.force(1e-4))
    assert fade == pytest.approx(
        thin.oil.dynamic_viscosity_at(353.15) / thin.oil.dynamic_viscosity_at(293.15), rel=2e-3
    )
    assert hot.lower() != sharp.lower()


def test_scaled_keeps_its_knees():
    made = law(MONOTUBE)
    made.lower()  # what is remembered must not be taken along
    half = made.scaled(0.5)
    assert half.force(SPEEDS) == pytest.approx(0.5 * made.force(SPEEDS))
    assert ramps.force(half.lower(), SPEEDS) == pytest.approx(0.5 * ramps.force(made.lower(), SPEEDS), rel=1e-6)
    assert half.opens_at() == made.opens_at()


def truck(**changes):
    given = {f"front.dampers.main.{key}": value for key, value in changes.items()}
    return load("scenarios/vehicles/hut_supply_truck.yaml").changed(given)


def test_gas_is_counted_once():
    """16 bar on a 14 mm rod: 246.3 N at the measured height, in place of the set's own; both together are refused."""
    vehicle = truck(valving=MONOTUBE, gas_force="none")
    line = next(n for n in lower(vehicle).lines if n.axle == "front" and n.role == "damper").line
    assert line.force_constant == pytest.approx(16e5 * pi * 0.014**2 / 4, rel=1e-12)
    assert line.force_rate == pytest.approx(1.4 * (16e5 + ATMOSPHERE) * (pi * 0.014**2 / 4) ** 2 / 60e-6, rel=1e-12)
    with pytest.raises(Exception, match="gas_force would count the gas twice"):
        truck(valving=MONOTUBE)


def test_free_oil_stays_below():
    with pytest.raises(Exception, match="cannot stand tube up"):
        truck(valving=TWIN_TUBE, gas_force="none", tube_end="up")
    with pytest.raises(Exception, match="cannot stand tube up"):
        truck(construction="twin_tube", tube_end="up")
    cell = {**TWIN_TUBE, "tube": {**TWIN_TUBE["tube"], "kind": "gas_cell"}}
    assert truck(valving=cell, gas_force="none", tube_end="up").front.dampers["main"].built == "gas_cell"
    with pytest.raises(Exception, match=r"leans 48 deg at ride height; a twin-tube"):
        lower(truck(construction="twin_tube", lean_inward="640 mm", length_extended="1 m"))
    lower(truck(construction="monotube", lean_inward="640 mm", length_extended="1 m"))


def test_construction_must_be_that_of_its_valves():
    with pytest.raises(Exception, match="construction is 'twin_tube', but the valves are in a 'monotube'"):
        truck(valving=MONOTUBE, gas_force="none", construction="twin_tube")
    assert (
        truck(valving=MONOTUBE, gas_force="none", construction="reservoir").front.dampers["main"].built == "reservoir"
    )


def test_crossed_diameters_are_refused():
    with pytest.raises(ValidationError, match=r"rod_diameter, 41.0 mm .*, must be less than the piston's, 40.0 mm"):
        law(MONOTUBE, rod_diameter="41 mm")


def test_flow_of_nothing_is_nothing():
    made = law(TWIN_TUBE)
    assert made.force(0.0) == 0.0
    assert made.piston.flow(np.zeros(3), "compression", Fluid(860.0, 0.0)) == pytest.approx([0.0] * 3)


@pytest.mark.parametrize("factor", [0.0, 0.3])
def test_forces_are_scaled_by_any_factor(factor):
    """F is linear in the factor, nought included, and so is each ramp."""
    whole, part = law(TWIN_TUBE), law(TWIN_TUBE).scaled(factor)
    assert part.force(SPEEDS) == pytest.approx(factor * whole.force(SPEEDS), rel=1e-12)
    assert [knot.slope for knot in part.lower()] == pytest.approx(
        [factor * knot.slope for knot in whole.lower()], rel=1e-9
    )
