"""What is measured by hand, against closed forms and against the model itself."""

from math import asin, cos, pi, sin, sqrt

import numpy as np
import pytest

from sim.cli import main
from sim.describe.estimates.centre_of_gravity import lifted_height
from sim.describe.files.vehicles import vehicle_from
from sim.errors import InputError
from sim.linear.standing import stand
from sim.study.by_hand import METHODS, found

BY_NAME = {method.name: method for method in METHODS}


def load_when_lifted(mass, height, behind, wheelbase, radius, by):
    """Return what the front axle carries with the rear one lifted: the truck turned point by point about the front axle's centre."""
    angle = asin(by / wheelbase)
    # From the front axle's centre, rearward and up; lifting the rear turns the truck nose down.
    x, z = behind, height - radius
    turned = x * cos(angle) - z * sin(angle)
    span = wheelbase * cos(angle)
    return mass * (1.0 - turned / span)


@pytest.mark.parametrize("by", [0.3, 0.6, 0.9])
@pytest.mark.parametrize("height", [0.5, 0.75, 1.1])
def test_centre_of_gravity_by_lifting_an_axle(by, height):
    """The closed form of ISO 10392 (axle lifting) gives back the height of a truck that was turned in the plane."""
    mass, behind, wheelbase, radius = 1918.0, 0.98, 2.337, 0.40
    level = load_when_lifted(mass, height, behind, wheelbase, radius, 1e-9)
    lifted = load_when_lifted(mass, height, behind, wheelbase, radius, by)
    assert lifted_height(wheelbase, by, mass, lifted - level, radius, radius) == pytest.approx(height, rel=1e-6)


def test_the_height_of_a_file_is_that_of_the_lifted_axle():
    """A truck whose axle was lifted stands with its whole centre of gravity where the closed form puts it."""
    truck = {
        "weighed": {"front": "1100 kg", "rear": "800 kg", "lifted": {"axle": "rear", "by": "600 mm", "other": "1185 kg"}},
        "wheelbase": "2.4 m",
    }  # fmt: skip
    vehicle = vehicle_from(truck)
    standing = stand(vehicle)
    centres = [standing.axles[axle].centre_height for axle in ("front", "rear")]
    whole = lifted_height(2.4, 0.6, 1900.0, 85.0, *centres)
    parts = [(standing.sprung_mass, standing.cg_above_ground)]
    parts += [(axle.unsprung_mass, axle.centre_height) for axle in standing.axles.values()]
    assert sum(m * z for m, z in parts) / sum(m for m, _ in parts) == pytest.approx(whole, rel=2e-3)


def test_crossed_tickets_of_a_lifted_axle_are_refused():
    """Turned nose down about its front axle, a truck whose centre of gravity lies above the axles' centres leans on that axle: it gains."""
    mass, behind, wheelbase, radius = 2767.0, 1.19, 2.756, 0.40
    level, lifted = (load_when_lifted(mass, 0.75, behind, wheelbase, radius, by) for by in (1e-9, 0.6))
    assert lifted > level
    read = {"wheelbase": wheelbase, "by": 0.6, "whole": mass, "front_centre": radius, "rear_centre": radius}
    assert result("cg-height", **read, level=level, other=lifted) == pytest.approx(0.75, rel=1e-6)
    with pytest.raises(InputError, match="level and lifted, crossed"):
        result("cg-height", **read, level=lifted, other=level)
    with pytest.raises(InputError, match="the whole truck weighs more"):
        result("cg-height", **{**read, "whole": 0.9 * level}, level=level, other=lifted)
    truck = {"wheelbase": "2.756 m", "weighed": {"front": f"{lifted:.1f} kg", "rear": "1200 kg"}}
    truck["weighed"]["lifted"] = {"axle": "rear", "by": "600 mm", "other": f"{level:.1f} kg"}
    with pytest.raises(InputError, match="level and lifted, crossed"):
        vehicle_from(truck)


def result(name, **read):
    method = BY_NAME[name]
    values = {key.replace("_", "-"): list(value) if isinstance(value, list) else [value] for key, value in read.items()}
    return found(method, values, {key: [0.0] * len(of) for key, of in values.items()})[0]


def test_swing_about_one_end():
    """A rod on a pivot and a spring: integrated step by step, its period gives its inertia back."""
    mass, inertia, arm, reach, rate = 1700.0, 2000.0, 1.35, 2.337, 58e3
    whole = inertia + mass * arm**2
    angle, turn, step, crossings = 0.01, 0.0, 1e-4, []
    for n in range(60_000):
        before = angle
        turn -= step * rate * reach**2 / whole * angle
        angle += step * turn
        if before < 0.0 <= angle:
            crossings.append((n + before / (before - angle)) * step)
    period = (crossings[-1] - crossings[0]) / (len(crossings) - 1)
    assert result(
        "pitch-inertia", rate=rate, reach=reach, swings=10.0, time=10 * period, mass=mass, arm=arm
    ) == pytest.approx(inertia, rel=1e-3)
    assert period == pytest.approx(2 * pi * sqrt(whole / (rate * reach**2)), rel=1e-4)


def test_spring_by_weights_takes_the_middle_of_loading_and_unloading():
    """A spring of 40 N/mm with 150 N of friction: what friction adds on the way up it takes on the way down."""
    up = np.array([0.0, 50.0, 100.0, 150.0])
    loads = np.r_[up, up[::-1]]
    sign = np.r_[np.ones(4), -np.ones(4)]
    heights = 0.5 - (loads * 9.80665 - sign * 150.0) / 40e3
    assert result("spring-rate", loads=list(loads), heights=list(heights)) == pytest.approx(40e3, rel=1e-9)


def test_friction_is_half_of_the_loop():
    """Coulomb friction F holds a spring k within F/k either way (any vibration text): the two rests are 2 F/k apart."""
    assert result("leaf-friction", rate=40e3, from_below=0.5, from_above=0.5 + 2 * 240 / 40e3) == pytest.approx(240.0)


def test_wind_up_by_bar_and_dial():
    # 600 N at 1.5 m turn the housing by 6 mm at 0.3 m, 0.02 rad
    assert result("wind-up", force=600.0, bar=1.5, dial=0.006, radius=0.3) == pytest.approx(45e3)


def test_tyre_by_two_loads():
    assert result("tyre-rate", load_1=300.0, height_1=0.400, load_2=500.0, height_2=0.392) == pytest.approx(
        200 * 9.80665 / 0.008
    )


def test_how_far_off_adds_up_as_roots_of_squares():
    """m = a + 2 w + s/2: half-widths 3, 2 and 2 kg give sqrt(9 + 16 + 1) (JCGM 100:2008, 5.1)."""
    method = BY_NAME["unsprung"]
    value, half = found(
        method, {"axle": [150.0], "wheel": [38.0], "shared": [40.0]}, {"axle": [3.0], "wheel": [2.0], "shared": [2.0]}
    )
    assert value == pytest.approx(246.0)
    assert half == pytest.approx(sqrt(26.0))


def words(method):
    return [word for one in method.readings for word in (f"--{one.name}", one.example)]


@pytest.mark.parametrize("name", BY_NAME)
def test_each_example_is_worked_out_in_both_systems(name, capsys):
    assert main(["measure", name, *words(BY_NAME[name])]) == 0
    said = capsys.readouterr()
    assert "95 times in 100" in said.out
    assert "In the vehicle's file: " in said.out
    assert "CAUTION" in said.err
    # what it says goes into a file as it is
    line = said.out.split("In the vehicle's file: ")[1].splitlines()[0]
    key, _, value = line.partition(": ")
    if name != "cg-height":
        truck = {"weighed": {}, "front": {"springs": {"coil": {}}}, "rear": {"springs": {"pack": {}}}}
        inside = truck
        for step in key.split(".")[:-1]:
            inside = inside.setdefault(step, {})
        inside[key.split(".")[-1]] = value.split("    ")[0]
        stand(vehicle_from(truck))


@pytest.mark.parametrize("name", BY_NAME)
@pytest.mark.parametrize("rubbish", ["", "3", "-3 in", "nan", "0 kg", "1e99 lb", "a, b", "5 N/mm"])
def test_nonsense_is_refused(name, rubbish, capsys):
    for number in range(len(BY_NAME[name].readings)):
        given = words(BY_NAME[name])
        given[2 * number + 1] = rubbish
        code = (
            main(["measure", name, *given]) if not rubbish.startswith("-") else main(["measure", name, *_joined(given)])
        )
        assert code in (0, 2)
        assert "bug" not in capsys.readouterr().err


def _joined(given):
    return [f"{option}={value}" for option, value in zip(given[::2], given[1::2], strict=True)]


def test_readings_that_do_not_go_together_are_refused():
    for name, read in (
        ("tyre-rate", {"load_1": 300.0, "height_1": 0.39, "load_2": 500.0, "height_2": 0.40}),
        ("spring-rate", {"loads": [1.0, 2.0], "heights": [0.4]}),
        (
            "cg-height",
            {
                "wheelbase": 2.0,
                "by": 3.0,
                "whole": 1.0,
                "level": 1.0,
                "other": 1.0,
                "front_centre": 0.4,
                "rear_centre": 0.4,
            },
        ),
        ("pitch-inertia", {"rate": 1e3, "reach": 2.0, "swings": 10.0, "time": 1.0, "mass": 2000.0, "arm": 1.3}),
    ):
        with pytest.raises(InputError):
            result(name, **read)
