"""Tubes: masses by hand, what cannot be built, what a law that knows its oil is asked."""

from math import pi

import numpy as np
import pytest
from pydantic import ValidationError

from sim.describe.files.vehicles import load_vehicle
from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.straight import Straight
from sim.describe.parts.dampers.tube import Tube
from tests.kernel.test_integrator import SCENARIOS

MONO = {"construction": "monotube", "bore": "46 mm", "outside_diameter": "51 mm", "length": "360 mm", "rod": "14 mm"}
TWIN = {"construction": "twin_tube", "bore": "32 mm", "outside_diameter": "54 mm", "length": "330 mm", "rod": "14 mm"}


def test_monotube_by_hand():
    tube = Tube.model_validate(MONO | {"oil": {"density": "850 kg/m^3"}})
    oil = 0.75 * pi / 4 * 0.046**2 * 0.360 - 0.5 * pi / 4 * 0.014**2 * 0.360
    assert tube.oil_mass == pytest.approx(850.0 * oil, rel=1e-12)
    assert tube.steel_mass == pytest.approx(
        7850 * pi / 4 * ((0.051**2 - 0.046**2) * 0.360 + 0.051**2 * 0.004), rel=1e-12
    )
    assert tube.cooled_area == pytest.approx(pi * 0.051 * 0.360 + pi / 4 * 0.051**2, rel=1e-12)
    assert tube.oil_to_metal == pytest.approx(250.0 * pi * 0.046 * 0.360, rel=1e-12)


def test_twin_tube_by_hand():
    tube = Tube.model_validate(TWIN)
    ring = pi / 4 * (0.050**2 - 0.036**2)
    oil = (pi / 4 * (0.032**2 - 0.5 * 0.014**2) + 0.6 * ring) * 0.330
    assert tube.oil_mass == pytest.approx(870.0 * oil, rel=1e-12)
    walls = pi / 4 * (0.054**2 - 0.050**2 + 0.036**2 - 0.032**2) * 0.330
    assert tube.steel_mass == pytest.approx(7850.0 * (walls + pi / 4 * 0.054**2 * 0.004), rel=1e-12)
    # two films, one after the other
    one, other = 250.0 * pi * 0.034 * 0.330, 250.0 * pi * 0.050 * 0.330
    assert 1.0 / tube.oil_to_metal == pytest.approx(1.0 / one + 1.0 / other, rel=1e-12)


def test_given_is_given():
    tube = Tube.model_validate(TWIN | {"oil_volume": "0.3 l", "metal_mass": "1.2 kg"})
    assert tube.oil_mass == pytest.approx(0.3e-3 * 870.0)
    assert tube.steel_mass == 1.2


def test_demo_tubes_weigh_what_the_file_says():
    """The tube's mass in the vehicle file is what its dimensions and oil make, within the tenth of a scale."""
    vehicle = load_vehicle(SCENARIOS / "vehicles" / "hut_supply_truck.yaml")
    for _, axle in vehicle.axles:
        damper = axle.dampers["main"]
        assert damper.tube.oil_mass + damper.tube.steel_mass == pytest.approx(damper.tube_mass, abs=0.1)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"bore": "60 mm"}, "no room for oil"),
        ({"rod": "40 mm"}, "must be thinner"),
        ({"construction": "monotube", "bore": "54 mm"}, "are they crossed"),
        ({"construction": "threetube"}, "twin_tube"),
        ({"hot_limit": "40 °C", "cold_limit": "45 °C"}, "crossed"),
        ({"laminar_share": 1.2}, "less than or equal to 1"),
        ({"valving_temperature": "20"}, "needs a unit"),
        ({"length": "0 mm"}, "greater than"),
        ({"oil": {"viscosity_40": "2 cSt"}}, "crossed"),
    ],
)
def test_what_is_no_tube_is_refused(changes, said):
    with pytest.raises(ValidationError, match=said):
        Tube.model_validate(TWIN | changes)


def damper(law, tube=None):
    point = {"behind_front_axle": "0 m", "above_ground": "1 m"}
    given = {
        "valving": {"kind": "straight", "compression": "1 kN s/m", "rebound": "2 kN s/m"}, "body": point,
        "axle": {"ahead": "0 m", "above": "0 m"}, "seal_friction": "30 N", "tube": tube,
    }  # fmt: skip
    return DamperSet.model_validate(given).model_copy(update={"valving": law})


def test_force_goes_with_the_oil_and_friction_does_not():
    law, speeds = Straight(kind="straight", compression="1 kN s/m", rebound="2 kN s/m"), np.array([-0.5, 0.3])
    hot = damper(law, TWIN).lower_at(373.15)
    share = Tube.model_validate(TWIN).force_share(373.15)
    assert ramps.force(hot, speeds) == pytest.approx(share * law.force(speeds) + 30.0 * np.sign(speeds), rel=1e-12)
    assert damper(law).lower_at(373.15) == law.lower() + ramps.friction(30.0)  # no tube, no heat
    assert np.array(damper(law, TWIN).lower_at(293.15)) == pytest.approx(np.array(law.lower() + ramps.friction(30.0)))


class Knowing(Straight):
    """A law that knows its oil."""

    def at_temperature(self, kelvin):
        return self.scaled(293.15 / kelvin)


def test_a_law_that_knows_its_oil_is_asked():
    from sim.study.endurance.history import force_left

    law, speeds = Knowing(kind="straight", compression="1 kN s/m", rebound="2 kN s/m"), np.array([-0.5, 0.3])
    made = damper(law, TWIN)
    expected = 293.15 / 390.0 * law.force(speeds) + 30.0 * np.sign(speeds)
    assert ramps.force(made.lower_at(390.0), speeds) == pytest.approx(expected, rel=1e-12)
    assert force_left(made, 390.0) == pytest.approx(293.15 / 390.0, rel=1e-12)
