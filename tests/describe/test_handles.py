"""Points by which a drawn force-speed curve is pulled: what is written then has the curve go through where they were let go."""

import numpy as np
import pytest

import sim

LAWS = {
    "knee": {
        "kind": "knee", "compression": {"low": "1.9 kN s/m", "knee": "0.12 m/s", "high": "0.9 kN s/m"},
        "rebound": {"low": "5.2 kN s/m", "knee": "0.12 m/s", "high": "1.9 kN s/m"},
    },
    "straight": {"kind": "straight", "compression": "2 kN s/m", "rebound": "4 kN s/m"},
    "table": {
        "kind": "table", "compression": [{"speed": "0.1 m/s", "force": "200 N"}, {"speed": "0.5 m/s", "force": "600 N"}],
        "rebound": [{"speed": "0.1 m/s", "force": "500 N"}, {"speed": "0.5 m/s", "force": "1500 N"}],
    },
}  # fmt: skip
PATH = "front.dampers.main.valving"


@pytest.fixture(scope="module")
def truck():
    return sim.load("scenarios/vehicles/hut_supply_truck.yaml")


def law_of(truck):
    return truck.front.dampers["main"].valving


@pytest.mark.parametrize("kind", LAWS)
def test_handles_lie_on_the_curve(truck, kind):
    law = law_of(truck.changed({PATH: LAWS[kind]}))
    assert len(law.handles) >= 2
    for speed, force in law.handles:
        assert float(law.force(speed)) == pytest.approx(force)


@pytest.mark.parametrize("kind", LAWS)
def test_a_curve_goes_through_where_its_handle_was_pulled_to(truck, kind):
    setup = truck.changed({PATH: LAWS[kind]})
    law = law_of(setup)
    for number, (speed, force) in enumerate(law.handles):
        more = law.pulled(number, speed, 1.25 * force)
        pulled = law_of(setup.changed({PATH: LAWS[kind], **{f"{PATH}.{key}": value for key, value in more.items()}}))
        # Four digits are written.
        assert float(pulled.force(speed)) == pytest.approx(1.25 * force, rel=2e-3)
        assert pulled.handles[number].force == pytest.approx(1.25 * force, rel=2e-3)
        # The other side is left alone.
        other = -np.sign(speed) * np.array([0.05, 0.2, 0.8])
        np.testing.assert_array_equal(pulled.force(other), law.force(other))


def test_a_knee_is_pulled_to_another_speed(truck):
    law = law_of(truck)
    more = law.pulled(2, -0.2, -900.0)
    pulled = law_of(truck.changed({f"{PATH}.{key}": value for key, value in more.items()}))
    assert pulled.handles[2] == pytest.approx((-0.2, -900.0), rel=2e-3)
    assert pulled.rebound.high == law.rebound.high


@pytest.mark.parametrize("kind", LAWS)
def test_a_handle_that_is_pulled_past_zero_stays_at_no_force(truck, kind):
    law = law_of(truck.changed({PATH: LAWS[kind]}))
    for number, (speed, _) in enumerate(law.handles):
        more = law.pulled(number, -speed, -np.sign(speed) * 500.0)
        pulled = law_of(truck.changed({PATH: LAWS[kind], **{f"{PATH}.{key}": value for key, value in more.items()}}))
        assert np.sign(speed) * float(pulled.force(speed)) >= -1e-9


def test_a_curve_that_follows_from_parts_is_not_pulled():
    scenario = sim.load("scenarios/one_drilled_washer.yaml")
    laws = [
        damper.valving
        for truck in scenario.setups.values()
        for _, axle in truck.axles
        for damper in axle.dampers.values()
    ]
    parts = [law for law in laws if law.inside is not None]
    assert parts
    for law in parts:
        assert law.handles == ()
        with pytest.raises(ValueError, match="no points to pull"):
            law.pulled(0, 0.1, 100.0)
