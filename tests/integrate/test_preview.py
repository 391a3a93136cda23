"""Previews: the physics of a full run at a coarser step, over all channels; what is kept between calls changes nothing."""

import numpy as np
import pytest

import sim
from sim.describe.replaced import with_values
from sim.describe.runs.changed import changed_run
from sim.errors import RunError
from sim.integrate.preview import Preview
from sim.integrate.simulation import simulate

LARGEST = (4**4 - 1) / (2**4 - 1)
"""How much further a step is from a quarter of it than a half of it is, where errors fall with the fourth power of the step: the
order of the formulas where nothing has a kink (docs/equations.md, "Integration"). Kinks bring it nearer to 5, their second order."""

ROUNDING = 1e-9
"""Of a channel's range: far below the last digit of single precision, in which pictures are drawn, 6e-8 (IEEE 754)."""

SLOPE = "front.dampers.main.valving.rebound.low"

RUNS = {
    "course": ("scenarios/two_or_four.yaml", "four valved for four"),
    "push": ("scenarios/push_on_the_bumper.yaml", None),
    "brake": ("scenarios/brake_from_speed.yaml", None),
}


@pytest.fixture(scope="module")
def scenario():
    return sim.load("scenarios/two_or_four.yaml")


def channels(run):
    """Return every signal of a run by a name."""
    signals = {"height": run.bounce_m, "pitch": run.pitch_nose_up_rad, "turning": run.pitch_acceleration_rad_per_s2}
    signals |= {f"up {key}": values for key, values in run.acceleration_m_per_s2.items()}
    signals |= {f"forward {key}": values for key, values in run.acceleration_forward_m_per_s2.items()}
    for name, axle in run.axles:
        fields = {**vars(axle), **{key: getattr(axle, key) for key in (
            "wind_up_rad", "wheel_height_m", "strap_force_n", "spring_force_n")}}  # fmt: skip
        signals |= {f"{name} {key}": value for key, value in fields.items() if isinstance(value, np.ndarray)}
        for key, damper in axle.dampers.items():
            own = vars(damper)
            signals |= {f"{name} {key} {field}": own[field] for field in ("length_m", "speed_m_per_s", "force_n")}
    return signals


def rms(values):
    return float(np.sqrt(np.mean(np.square(values))))


@pytest.mark.parametrize("kind", RUNS)
def test_a_preview_differs_from_a_full_run_by_no_more_than_the_error_that_it_states(kind):
    path, setup = RUNS[kind]
    scenario = sim.load(path)
    name = setup or next(iter(scenario.setups))
    truck = scenario.setups[name]
    full = simulate(truck, scenario.run, name)
    seen = sim.preview(truck, scenario.run, name, output_s=1e-3)
    assert seen.setup == name
    assert [flag.fault for flag in seen.flags] == [flag.fault for flag in full.flags]
    coarse, fine, own = channels(full.coarse), channels(full), channels(seen)
    assert own.keys() == fine.keys()
    for key, values in fine.items():
        stated = rms(coarse[key] - values)
        rounding = 1e-12 * (1.0 + float(np.max(np.abs(values))))
        assert rms(own[key] - values) <= LARGEST * stated + rounding, key


def test_fewer_outputs_are_every_fourth_of_all(scenario):
    truck = scenario.setups["two front"]
    every, fourth = (channels(sim.preview(truck, scenario.run, output_s=step)) for step in (1e-3, 4e-3))
    assert every.keys() == fourth.keys()
    for key, values in every.items():
        np.testing.assert_array_equal(fourth[key], values[::4], err_msg=key)


def test_what_is_kept_changes_no_digit(scenario):
    kept = Preview(scenario.run)
    stiff = with_values(scenario.setups["two front"], {"front.dampers.main.valving.rebound.low": 6000.0})
    heavy = with_values(scenario.setups["two front"], {"body.mass": 1800.0})
    for _ in range(2):  # first and known, derived and alone
        kept.all(scenario.setups)
        for truck in (stiff, heavy):
            ours, fresh = channels(kept.of(truck)), channels(Preview(scenario.run).of(truck))
            for key, values in fresh.items():
                np.testing.assert_array_equal(ours[key], values, err_msg=key)


@pytest.mark.parametrize("before", ["slower", "push"])
def test_what_another_run_knows_changes_no_digit(scenario, before):
    """At another speed a truck stands as it stood; of a push it is said otherwise of the body, and nothing is taken over."""
    other = changed_run(scenario.run, "speed", "20 km/h") if before == "slower" else sim.load(RUNS["push"][0]).run
    known = Preview(other)
    known.all(scenario.setups)
    truck = scenario.setups["two front"]
    stiff = truck.changed({"front.dampers.main.valving.rebound.low": "6 kN s/m"})
    like = Preview(scenario.run, like=known)
    for one in (truck, stiff):
        ours, fresh = channels(like.of(one)), channels(Preview(scenario.run).of(one))
        for key, values in fresh.items():
            np.testing.assert_array_equal(ours[key], values, err_msg=key)


def test_more_damping_in_rebound_is_seen_in_its_force(scenario):
    # 0.05 m/s lies below the knee at 0.12 m/s, where the force is the slope times the speed.
    truck = scenario.setups["two front"]
    stiff = with_values(truck, {"front.dampers.main.valving.rebound.low": 2.0 * 5200.0})
    for vehicle, slope in ((truck, 5200.0), (stiff, 10400.0)):
        damper = sim.preview(vehicle, scenario.run).front.dampers["main"]
        assert damper.valving.force(np.array([-0.05])) == pytest.approx(-slope * 0.05)
        slow = (damper.speed_m_per_s < -0.04) & (damper.speed_m_per_s > -0.06)
        gas = damper.force_n[slow] + slope * -damper.speed_m_per_s[slow]
        # What is left is the gas push of the file, and a seal's friction of 30 N either way.
        assert np.all(np.abs(gas - 120.0) < 40.0)


def test_one_that_cannot_stand_does_not_keep_the_others_from_it(scenario):
    truck = scenario.setups["two front"]
    stones = {"loads.stones": {"mass": "3000 kg", "place": {"behind_front_axle": "5 m", "above_ground": "1.1 m"}}}
    outcomes = Preview(scenario.run).all({"sound": truck, "overloaded": truck.changed(stones)})
    assert isinstance(outcomes["overloaded"], RunError)
    assert outcomes["sound"].time_s[-1] > 10.0
    with pytest.raises(RunError):
        sim.preview(truck.changed(stones), scenario.run)


def test_set_ups_beside_each_other_are_those_alone(scenario):
    """Those of one structure are run in the lanes of another text's machine code, and differ by rounding."""
    truck = scenario.setups["four valved for four"]
    setups = {name: truck.changed({SLOPE: f"{low} kN s/m"}) for name, low in (("soft", 3), ("mid", 5), ("hard", 12))}
    setups |= scenario.setups
    together = Preview(scenario.run).all(setups)
    assert list(together) == list(setups)
    for name, own in setups.items():
        assert together[name].setup == name
        beside, alone = channels(together[name]), channels(Preview(scenario.run).of(own))
        assert beside.keys() == alone.keys()
        for key, values in alone.items():
            assert np.max(np.abs(beside[key] - values)) <= ROUNDING * np.ptp(values), (name, key)
        # Energies are sums over the whole run.
        ours, theirs = together[name].energy, Preview(scenario.run).of(own).energy
        assert ours.work_in_j == pytest.approx(theirs.work_in_j, rel=ROUNDING)


def test_a_field_that_is_not_there_is_refused_as_usual(scenario):
    seen = sim.preview(scenario.vehicle, scenario.run)
    with pytest.raises(AttributeError):
        _ = seen.roll_rad


@pytest.mark.parametrize("output_s", [0.0, 0.0005, 0.0015, -0.004])
def test_outputs_are_whole_milliseconds(scenario, output_s):
    with pytest.raises(ValueError, match="whole number of milliseconds"):
        sim.preview(scenario.vehicle, scenario.run, output_s=output_s)
