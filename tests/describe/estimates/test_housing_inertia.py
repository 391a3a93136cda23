"""The pitch inertia of a housing against one put together of parts: invented sizes of three axles, mechanics of any textbook.

Tube and casing are hollow cylinders about the axle's line, m (R² + r²) / 2; what stands off it counts m d²; an arm that is bolted to the axle turns
about the axle's line with it as a rod about its end, m L² / 3. Leaves bend: next to their seat they turn with it, at their eyes they do not.
"""

from typing import NamedTuple

import numpy as np
import pytest

from sim.describe.estimates.completing import completed
from sim.describe.estimates.housing_inertia import ON_LEAVES, ON_LEAVES_OFF, WITH_ARMS, WITH_ARMS_OFF
from sim.describe.estimates.truck import read_si


def ring(mass, outer, inner):
    return 0.5 * mass * (outer**2 + inner**2)


class Housing(NamedTuple):
    """Parts of an axle without its wheels: masses [kg] with radii or distances from the axle's line [m]; of arms, leaves and propshaft their lengths."""

    tubes: tuple[float, float, float]
    casing: tuple[float, float, float]
    at: tuple[tuple[float, float], ...]  # pinion's end, brakes, knuckles or seats
    arm: tuple[float, float]
    leaves: tuple[float, float]  # of both packs, and half of one's length
    propshaft: tuple[float, float]  # its mass, and how far its flange is ahead of the axle's line

    @property
    def own(self):
        """Inertia of all but arms and leaves [kg m²]; the propshaft turns about its other end, a rod whose end goes with the flange."""
        shaft, ahead = self.propshaft
        at = sum(mass * away**2 for mass, away in self.at)
        return ring(*self.tubes) + ring(*self.casing) + at + shaft * ahead**2 / 3.0

    @property
    def mass(self):
        """Mass of all but arms and leaves [kg], half of the propshaft with it."""
        return self.tubes[0] + self.casing[0] + sum(mass for mass, _ in self.at) + 0.5 * self.propshaft[0]


HOUSINGS = {
    "light": Housing((22.0, 0.035, 0.029), (32.0, 0.13, 0.09), ((10.0, 0.16), (14.0, 0.09), (15.0, 0.06)), (8.0, 0.75), (24.0, 0.50), (6.0, 0.25)),
    "middling": Housing((30.0, 0.045, 0.037), (45.0, 0.16, 0.11), ((15.0, 0.20), (20.0, 0.10), (25.0, 0.07)), (11.0, 0.90), (36.0, 0.55), (9.0, 0.33)),
    "heavy": Housing((60.0, 0.060, 0.048), (80.0, 0.19, 0.13), ((30.0, 0.25), (45.0, 0.14), (40.0, 0.08)), (18.0, 1.00), (70.0, 0.65), (14.0, 0.40)),
}  # fmt: skip
"""Sizes of ours, for axles that carry some 0.7, 1.1 and 2.5 t."""


@pytest.mark.parametrize("housing", HOUSINGS.values(), ids=HOUSINGS)
def test_radius_of_gyration_with_arms(housing):
    arm, length = housing.arm
    arms = 2.0 * arm * length**2 / 3.0
    # The arms' rear halves are the body's, so half of them stands in the axle's own mass.
    radius = ((housing.own + arms) / (housing.mass + arm)) ** 0.5
    assert radius**2 == pytest.approx(WITH_ARMS**2, rel=WITH_ARMS_OFF)


@pytest.mark.parametrize("housing", HOUSINGS.values(), ids=HOUSINGS)
def test_radius_of_gyration_on_leaves(housing):
    # Of a beam that is turned at its seat and pinned at its eye: w = x (1 - x/l) (1 - x/(2 l)).
    along = np.linspace(0.0, 1.0, 1001)
    share = np.trapezoid((along * (1.0 - along) * (1.0 - 0.5 * along)) ** 2, along)
    packs, half = housing.leaves
    leaves = packs / (2.0 * half) * 2.0 * share * half**3
    radius = ((housing.own + leaves) / (housing.mass + 0.5 * packs)) ** 0.5
    assert radius**2 == pytest.approx(ON_LEAVES**2, rel=ON_LEAVES_OFF)


def test_which_of_both_it_is_follows_from_what_holds_the_axle():
    truck = {
        "kind": "vehicle", "name": "Light", "weighed": {"front": "1100 kg", "rear": "800 kg"}, "wheelbase": "2.4 m",
        "front": {"housing": {"mass": "250 kg"}, "tyre": {"outside_diameter": "33 in"}, "springs": {"coil": {"rate": "190 lb/in"}}},
        "rear": {"housing": {"mass": "250 kg"}, "tyre": {"outside_diameter": "33 in"}, "springs": {"pack": {"kind": "leaf_pack", "rate": "230 lb/in"}}},
    }  # fmt: skip
    found, _ = completed(truck)
    front, rear = (read_si(found[axle]["housing"]["pitch_inertia"], "inertia") for axle in ("front", "rear"))
    assert rear / front == pytest.approx((ON_LEAVES / WITH_ARMS) ** 2, rel=0.02)
