"""Dampers: orifice, gas and crank of any handbook (J. C. Dixon, The Shock Absorber Handbook; recomputed), test speeds of a
superseded vehicle maker's procedure and a national component standard (read in public summaries)."""

from math import cos, pi, radians

import numpy as np
import pytest
from pydantic import TypeAdapter
from scipy.integrate import trapezoid

from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.testing import crank_speed
from sim.describe.parts.dampers.tubes import ATMOSPHERE, GAS_EXPONENT, gas_push
from sim.describe.parts.dampers.valve_flow import circle
from sim.kernel import layout as at
from tests.describe.parts.test_placement import STRAIGHT, axle_centre, mount, place, wheel_force, with_damper
from tests.published.test_energy_per_cycle import W, X, strokes, with_law

TWO_HOLES = {
    "kind": "valves",
    "piston": {"diameter": "35 mm", "bleed": {"count": 2, "diameter": "3 mm", "discharge": 0.7}},
    "rod_diameter": "12.5 mm",
    "tube": {"kind": "monotube", "gas_pressure": "20 bar", "gas_volume": "60 cm^3"},
    "oil": {"density": "860 kg/m^3"},
}
FIFTEEN = 288.15


def holes():
    """The orifice case with its oil at 15 °C, where its density is given."""
    return TypeAdapter(Law).validate_python(TWO_HOLES).at_temperature(FIFTEEN)


def test_orifice():
    """F = rho A³ v²/(2 Cd² a²): 35 mm bore, 12.5 mm rod, two 3 mm holes, Cd .7, 860 kg/m³, .3 m/s: .278434 MPa, 233.716 N."""
    law = holes()
    assert law.rods.annulus == pytest.approx(8.39394e-4, rel=1e-6)
    assert law.piston.bleed.area == pytest.approx(1.41372e-5, rel=5e-6)
    assert law.least_gas_pressure(0.3) == pytest.approx(0.278434e6, rel=1e-5)
    assert law.force(0.3) == pytest.approx(233.716, rel=1e-5)
    assert law.force(-0.6) == pytest.approx(-4 * 233.716, rel=1e-5)  # twice the speed, four times the force


def test_gas_push():
    """F = p A: 11 mm at 2.5 MPa 237.58 N; 12.5 mm at 2.0 MPa 245.44 N; 14 mm at 1.0 MPa 153.94 N."""
    for millimetres, pressure, force in ((11.0, 2.5e6, 237.58), (12.5, 2.0e6, 245.44), (14.0, 1.0e6, 153.94)):
        assert gas_push(pressure, None, circle(millimetres * 1e-3))[0] == pytest.approx(force, abs=0.005)


def test_gas_rate():
    """n p A²/V of 12.5 mm, 2 MPa absolute, 60 cm³: 502.0 N/m isothermal, 702.8 N/m adiabatic."""
    rate = gas_push(2e6 - ATMOSPHERE, 60e-6, circle(12.5e-3))[1]
    assert rate == pytest.approx(702.8, abs=0.05)
    assert rate / GAS_EXPONENT == pytest.approx(502.0, abs=0.05)


def test_crank_speeds():
    """pi S n/60: 100 mm at 50, 100, 200 rpm .26180, .52360, 1.04720 m/s; 60 rpm with 80 or 100 mm .25133, .31416 m/s."""
    cases = ((100, 50, 0.26180), (100, 100, 0.52360), (100, 200, 1.04720), (80, 60, 0.25133), (100, 60, 0.31416))
    for millimetres, rpm, speed in cases:
        assert crank_speed(millimetres * 1e-3, rpm) == pytest.approx(speed, abs=5e-6)


def test_drilled_holes_lean_with_the_cube():
    """A damper speed of v cos and a vertical force of F cos make cos³ of a quadratic valve: .64952 at 30 deg (closed form)."""
    height = axle_centre(300e3)
    up, aside = 0.5 * cos(radians(30)), 0.5 * 0.5
    upright, _ = with_damper(STRAIGHT, place(0.0, height + 0.5), mount(0.0, 0.0), law=TWO_HOLES)
    leaned, _ = with_damper(STRAIGHT, place(aside, height + up), mount(0.0, 0.0), law=TWO_HOLES)
    ratio = wheel_force(leaned, 0.5) / wheel_force(upright, 0.5)
    assert ratio == pytest.approx(cos(radians(30)) ** 3, rel=1e-2)  # two forces, each lowered within .4 % + .5 N


def test_energy_of_drilled_holes():
    """(8/3) q w² X³ a cycle with q = rho A³/(2 Cd² a²), in the whole model; the law is lowered within four in a thousand."""
    law = TypeAdapter(Law).validate_python(TWO_HOLES)
    q = law.fluid.density * law.rods.annulus**3 / (2 * (0.7 * law.piston.bleed.area) ** 2)
    energy, travel = strokes(with_law(TWO_HOLES, "0 N"), at.LOSS_DAMPERS)
    assert energy * (X / travel) ** 3 == pytest.approx(8 / 3 * q * W**2 * X**3, rel=4e-3)
    speeds = np.linspace(0, 2 * pi, 2001)
    direct = trapezoid(law.force(W * X * np.cos(speeds)) * np.cos(speeds), speeds) * X
    assert direct == pytest.approx(8 / 3 * q * W**2 * X**3, rel=1e-5)
