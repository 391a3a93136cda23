"""The pitch inertia of a housing against one put together of parts: invented sizes of a light truck's axle, mechanics of any textbook.

Tube and casing are hollow cylinders about the axle's line, m (R² + r²) / 2; what stands off it counts m d²; an arm that is bolted to the axle turns
about the axle's line with it as a rod about its end, m L² / 3. Leaves bend: next to their seat they turn with it, at their eyes they do not.
"""

import numpy as np
import pytest

from sim.describe.estimates.completing import completed
from sim.describe.estimates.housing_inertia import ON_LEAVES, WITH_ARMS
from sim.describe.estimates.truck import read_si


def ring(mass, outer, inner):
    return 0.5 * mass * (outer**2 + inner**2)


TUBES = ring(30.0, 0.045, 0.037)
CASING = ring(45.0, 0.16, 0.11) + 15.0 * 0.20**2  # the pinion's end ahead of it
BRAKES = 20.0 * 0.10**2 + 25.0 * 0.07**2  # plates and calipers; knuckles or seats
PARTS_KG = 30.0 + 45.0 + 15.0 + 20.0 + 25.0
ARM_KG, ARM_M = 11.0, 0.9
LEAVES_KG, HALF_M = 36.0, 0.55


def test_radius_of_gyration_with_arms():
    arms = 2.0 * ARM_KG * ARM_M**2 / 3.0
    # The arms' rear halves are the body's, so half of them stands in the axle's own mass.
    radius = ((TUBES + CASING + BRAKES + arms) / (PARTS_KG + ARM_KG)) ** 0.5
    assert radius**2 == pytest.approx(WITH_ARMS**2, rel=0.4)


def test_radius_of_gyration_on_leaves():
    # Of a beam that is turned at its seat and pinned at its eye: w = x (1 - x/l) (1 - x/(2 l)).
    along = np.linspace(0.0, 1.0, 1001)
    share = np.trapezoid((along * (1.0 - along) * (1.0 - 0.5 * along)) ** 2, along)
    leaves = LEAVES_KG / (2.0 * HALF_M) * 2.0 * share * HALF_M**3
    radius = ((TUBES + CASING + BRAKES + leaves) / (PARTS_KG + 0.5 * LEAVES_KG)) ** 0.5
    assert radius**2 == pytest.approx(ON_LEAVES**2, rel=0.6)


def test_which_of_both_it_is_follows_from_what_holds_the_axle():
    truck = {
        "kind": "vehicle", "name": "Light", "weighed": {"front": "1100 kg", "rear": "800 kg"}, "wheelbase": "2.4 m",
        "front": {"housing": {"mass": "250 kg"}, "tyre": {"outside_diameter": "33 in"}, "springs": {"coil": {"rate": "190 lb/in"}}},
        "rear": {"housing": {"mass": "250 kg"}, "tyre": {"outside_diameter": "33 in"}, "springs": {"pack": {"kind": "leaf_pack", "rate": "230 lb/in"}}},
    }  # fmt: skip
    found, _ = completed(truck)
    front, rear = (read_si(found[axle]["housing"]["pitch_inertia"], "inertia") for axle in ("front", "rear"))
    assert rear / front == pytest.approx((ON_LEAVES / WITH_ARMS) ** 2, rel=0.02)
