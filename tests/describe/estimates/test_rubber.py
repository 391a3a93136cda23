"""Bump stops and bushes by the elasticity of rubber, at sizes of ours: each estimate holds them within its stated spread.

Moduli by hardness: P. B. Lindley, Engineering Design with Natural Rubber (M): a block of shape factor S has E = E₀ (1 + 2 k S²). All M are from memory.
"""

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from sim.describe.estimates import fore_and_aft, limit_strap, wind_up
from sim.describe.estimates.bushes import OF_ARM, SHEAR, Bush, radial_rate
from sim.describe.estimates.completing import completed
from tests.describe.estimates.linear_elasticity import bush_rate
from tests.describe.estimates.published_values import LINDLEY


def found_on(**truck):
    return {one.path: one for one in completed({"weighed": {}, **truck})[1]}


def holds(one, value):
    return value == pytest.approx(one.value, abs=one.half * (1 + 1e-9))


class Stop:
    """A cone of rubber, cut off: its diameters and height [m], and its hardness [IRHD].

    Slice by slice F = A E/3 (1/λ² - λ) (L. R. G. Treloar, The Physics of Rubber Elasticity, M).
    """

    def __init__(self, tip, base, height, hardness):
        modulus, k, _ = LINDLEY[hardness]
        along = (np.arange(200) + 0.5) / 200
        self.area = np.pi / 4 * (tip + (base - tip) * along) ** 2
        self.height, mean = height, 0.5 * (tip + base)
        shape = np.pi / 4 * mean**2 / (np.pi * mean * np.hypot(height, 0.5 * (base - tip)))
        self.modulus = modulus * (1 + 2 * k * shape**2)

    def squeeze(self, force):
        """Return by how much a force squeezes it [m]."""
        stretches = [brentq(lambda x, s=s: x**-2 - x - s, 1e-3, 1.01) for s in 3 * force / (self.area * self.modulus)]
        return self.height * (1 - np.mean(stretches))

    def rates(self, share):
        """Return its rates at first touch and squeezed by a share of its height [N/m]."""
        force = brentq(lambda f: self.squeeze(f) - share * self.height, 1.0, 1e6)
        return 1.0 / self.squeeze(1.0), 0.002 * force / (self.squeeze(1.001 * force) - self.squeeze(0.999 * force))


STOPS = [(0.060, 0.060), (0.030, 0.060), (0.020, 0.060)]
"""A cylinder and two cones: tip and base [m]; ours."""


def test_a_cylinder_by_hand():
    """The slope of 1/λ² - λ over that at λ = 1: (2/0.6³ + 1)/3 = 3.42 at a squeeze of 40 %."""
    first, full = Stop(0.060, 0.060, 0.100, 60).rates(0.4)
    assert full / first == pytest.approx((2 / 0.6**3 + 1) / 3, rel=1e-3)
    assert first == pytest.approx(4.45e6 * (1 + 2 * 0.57 * 0.15**2) * np.pi / 4 * 0.060**2 / 0.100, rel=1e-3)


@pytest.mark.parametrize("share", [0.3, 0.4, 0.5])
@pytest.mark.parametrize("sizes", STOPS)
def test_how_much_stiffer_a_stop_is_squeezed(sizes, share):
    first, full = Stop(*sizes, 0.100, 60).rates(share)
    found = found_on()
    estimated = found["front.stop.rate_first"].value
    assert holds(found["front.stop.rate_full"], full / first * estimated)


@pytest.mark.parametrize("hardness", [60, 70])
@pytest.mark.parametrize("sizes", STOPS)
def test_rates_of_a_stop_under_a_wheel_of_500_kg(sizes, hardness):
    """Four of six stops of 100 mm: a cylinder of 70 IRHD is too stiff for what this holds for, and carries three wheels; a cone of 60 IRHD with
    a tip of a third of its base is too soft, and carries less than one."""
    found = found_on(weighed={"front": "1000 kg", "rear": "900 kg"}, front={"stop": {"height": "100 mm"}})
    rates = Stop(*sizes, 0.100, hardness).rates(0.4)
    held = all(map(holds, (found["front.stop.rate_first"], found["front.stop.rate_full"]), rates))
    assert held == ((sizes, hardness) not in ((STOPS[0], 70), (STOPS[2], 60)))


BUSHES = [OF_ARM, Bush(0.0125, 0.030, 0.060), Bush(0.011, 0.0225, 0.045)]
EYES = [Bush(0.010, 0.020, 0.060), Bush(0.011, 0.019, 0.057), Bush(0.010, 0.022, 0.060)]
"""Sizes of bushes of arms and of eyes; ours."""


@pytest.mark.parametrize("bush", [*BUSHES, *EYES])
def test_a_bush_by_linear_elasticity(bush):
    assert radial_rate(bush, 0.81e6) == pytest.approx(bush_rate(*bush, 0.81e6), rel=0.05)


def test_a_bush_between_its_limits():
    """Short: free to bulge at its ends, plane stress; long: rubber flows round the sleeve as a thick liquid does, 12 π G R³ L/t³ of a thin ring t."""
    short, long = Bush(0.0140, 0.0141, 1e-6), Bush(0.0140, 0.0141, 10.0)
    radius, thick = 0.01405, 1e-4
    assert radial_rate(short, 1e6) == pytest.approx(5 * np.pi * 1e6 * radius * 1e-6 / thick, rel=0.01)
    assert radial_rate(long, 1e6) == pytest.approx(12 * np.pi * 1e6 * radius**3 * 10.0 / thick**3, rel=0.01)


def test_moduli_are_lindleys():
    assert {hardness: shear for hardness, (_, _, shear) in LINDLEY.items()} == SHEAR


@pytest.mark.parametrize("hardness", [50, 60])
@pytest.mark.parametrize("apart", [0.150, 0.200])
@pytest.mark.parametrize("bush", BUSHES)
def test_wind_up_of_two_arms(bush, apart, hardness):
    """Four bushes, each half of `apart` from the middle between them: 4 k (apart/2)²."""
    one = found_on(front={"springs": {"coil": {}}})["front.guide.wind_up.rate"]
    assert one.value == pytest.approx(wind_up.ARMS)
    assert holds(one, 4 * radial_rate(bush, SHEAR[hardness]) * (apart / 2) ** 2)


@pytest.mark.parametrize("hardness", [50, 60])
@pytest.mark.parametrize("bush", BUSHES)
def test_along_the_truck_on_arms_between_bushes(bush, hardness):
    one = found_on(front={"springs": {"coil": {}}})["front.fore_and_aft.rate"]
    each = radial_rate(bush, SHEAR[hardness])
    assert holds(one, 2 / (1 / (2 * each) + 1 / each))


@pytest.mark.parametrize("pressed", [0.1, 0.2])
@pytest.mark.parametrize("hardness", [55, 60])
def test_along_the_truck_on_arms_with_a_pin(hardness, pressed):
    """An arm that ends in a pin between two rings of rubber, 55 mm across, 22 mm inside, 25 mm thick, pressed up by a nut: both work, one each way."""
    modulus, k, _ = LINDLEY[hardness]
    area, free = np.pi / 4 * (0.055**2 - 0.022**2), np.pi * (0.055 + 0.022) * 0.025
    ring = area * modulus * (1 + 2 * k * (area / free) ** 2) / 0.025 * (2 / (1 - pressed) ** 3 + 1) / 3
    axle = 2 * radial_rate(OF_ARM, SHEAR[hardness])
    one = found_on(front={"springs": {"coil": {}}})["front.fore_and_aft.rate"]
    assert holds(one, 2 / (1 / axle + 1 / (2 * ring)))


@pytest.mark.parametrize("rate", [20e3, 40e3, 50e3])
@pytest.mark.parametrize("hardness", [50, 60])
@pytest.mark.parametrize("bush", EYES)
def test_along_the_truck_on_leaf_packs(bush, hardness, rate):
    one = found_on(front={"springs": {"pack": {}}})["front.fore_and_aft.rate"]
    each = 1 / (1 / radial_rate(bush, SHEAR[hardness]) + 1 / fore_and_aft.eye_rate(rate, 0.58, 9))
    assert holds(one, 2 * each)
    assert 2 * each < 2 * radial_rate(bush, SHEAR[hardness])


@pytest.mark.parametrize(("guide", "as_arms"), [({}, False), ({"kind": "links"}, True)])
def test_a_guide_of_links_is_said_to_be_taken_as_arms(guide, as_arms):
    found = found_on(front={"springs": {"coil": {}}, "guide": guide})
    for path in ("guide.wind_up.rate", "fore_and_aft.rate"):
        one = found[f"front.{path}"]
        assert one.of.startswith("as on ") == as_arms
        assert "no source" in one.source


@pytest.mark.parametrize("leaves", [1, 3, 9])
def test_how_leaves_hold_their_eye(leaves):
    """A cantilever in steps, point by point: the push V that keeps the eye at its height is found, and what a push of 1 N along it then gives."""
    half, offset, rate = 0.58, fore_and_aft.OF_EYE.outer + fore_and_aft.HALF_A_LEAF, 40e3
    s = (np.arange(90_000) + 0.5) / 90_000 * half
    flexible = 1.0 / (np.floor(s / half * leaves) + 1.0)  # of one leaf's
    step = half / 90_000
    up_by_up = np.sum(s * s * flexible) * step
    one_leaf = up_by_up * rate / 2  # both halves carry
    up_by_along = np.sum(s * offset * flexible) * step
    push = up_by_along / up_by_up
    along = np.sum((offset - push * s) * offset * flexible) * step / one_leaf
    assert fore_and_aft.eye_rate(rate, half, leaves) == pytest.approx(1.0 / along, rel=1e-3)


def test_a_strap_of_polyester_is_out_of_its_reach():
    """EN 12195-2 (M): lashings of polyester stretch by 7 % at most at all that they are rated for; an inch a foot is more."""
    rate = next(rule for rule in limit_strap.RULES if rule.path.endswith("strap.rate"))
    assert limit_strap.A_FOOT > 0.07
    assert "polyester stretches less" in rate.reach


PAGES = Path(__file__).parents[3] / "docs" / "measure"


def page(name):
    return (PAGES / name).read_text(encoding="utf-8")


def test_the_page_has_the_bushes_as_they_are():
    text, stiff = page("arms-and-leaves.md"), 0.81e6
    arm, eye = (radial_rate(bush, stiff) for bush in (OF_ARM, fore_and_aft.OF_EYE))
    leaves = fore_and_aft.eye_rate(40e3, 0.58, 9)
    assert f"| of an arm | 14, 27, 50 mm | {arm / 1e6:.1f} kN/mm |" in text
    assert f"| of a pack's eye | 10, 20, 60 mm | {eye / 1e6:.1f} kN/mm |" in text
    assert (
        f"{fore_and_aft.ARMS / 1e6:.1f} kN/mm on arms and {fore_and_aft.LEAVES / 1e6:.1f} kN/mm on leaf packs" in text
    )
    assert f"2 x 1/(1/{2 * arm / 1e6:.1f} + 1/{arm / 1e6:.1f}) = {fore_and_aft.ARMS / 1e6:.1f} kN/mm" in text
    assert f"2 x 1/(1/{eye / 1e6:.1f} + 1/{leaves / 1e6:.1f}) = {fore_and_aft.LEAVES / 1e6:.1f} kN/mm" in text
    assert f"{arm / 1e6:.1f} kN/mm x (175 mm)² = {wind_up.ARMS / 1e3:.0f} kN m/rad" in page("wind-up.md")
    for hardness, shear in SHEAR.items():
        assert hardness > 60 or f"{shear / 1e6:.2f}" in text


def test_the_page_has_the_stops_as_they_are():
    rows = re.findall(
        r"^\| (\d\d) % \| ([\d.]+)(?: times)? \| ([\d.]+) \| ([\d.]+) \|", page("stops-and-straps.md"), re.MULTILINE
    )
    assert [row[0] for row in rows] == ["30", "40", "50"]
    for share, *ratios in rows:
        # The narrower cone of the page has a tip a third as wide as its base.
        for sizes, ratio in zip(STOPS, ratios, strict=True):
            first, full = Stop(*sizes, 0.100, 60).rates(0.01 * float(share))
            assert f"{full / first:.1f}" == ratio
