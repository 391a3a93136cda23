"""Stress of coiled wire, against a handbook's worked example and its tables."""

import pytest

from sim.describe.parts.springs import Coil
from sim.describe.parts.springs.wire import AS_WOUND, CHROME_SILICON, PRESET, bears, shear_stress, wahl_factor

INCH, LBF, PSI = 0.0254, 4.4482216152605, 6894.757293168361


def test_a_worked_example():
    """Shigley, Mechanical Engineering Design, example 10-1 (from memory): music wire 0.037 in, mean diameter 0.400 in, 10.5 active turns.

    6.46 lbf reach 146 kpsi, with Bergstraesser's factor 1.124; the book lets Wahl's stand for it, as both differ by less than 1 %.
    The rate is 4.13 lbf/in with 11.85 Mpsi.
    """
    assert wahl_factor(0.400 / 0.037) == pytest.approx(1.124, rel=0.01)
    assert shear_stress(6.46 * LBF, 0.037 * INCH, 0.400 * INCH) == pytest.approx(146e3 * PSI, rel=0.012)
    coil = Coil.model_validate(
        {
            "kind": "coil", "wire_diameter": f"{0.037 * INCH!r} m", "coil_diameter": f"{0.400 * INCH!r} m", "active_coils": 10.5,
            "shear_modulus": f"{11.85e6 * PSI!r} Pa", "body": {"behind_front_axle": "0 m", "above_ground": "1 m"},
            "axle": {"ahead": "0 m", "above": "0 m"},
        }
    )  # fmt: skip
    assert coil.rate_n_per_m == pytest.approx(4.13 * LBF / INCH, rel=2e-3)


@pytest.mark.parametrize(("index", "factor"), [(4.0, 1.404), (5.0, 1.311), (10.0, 1.145)])
def test_wahl_factors_of_the_chart(index, factor):
    """Values of Wahl's chart as handbooks print them (from memory)."""
    assert wahl_factor(index) == pytest.approx(factor, abs=6e-4)


def test_strength_is_that_of_the_tables_inch_column():
    """Shigley, table 10-4 (from memory), has both: 147 kpsi in^0.187 oil-tempered, 202 kpsi in^0.108 chrome-silicon."""
    for inches in (0.25, 0.37, 0.5):
        wire = inches * INCH
        assert bears(wire, AS_WOUND) == pytest.approx(0.50 * 147e3 / inches**0.187 * PSI, rel=3e-3)
        assert bears(wire, PRESET, CHROME_SILICON) == pytest.approx(0.65 * 202e3 / inches**0.108 * PSI, rel=3e-3)
