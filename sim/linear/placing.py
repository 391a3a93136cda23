"""A set-up at rest, placed among what is usual in the trade: body and hop, travel and stroke, motion ratio and wind-up."""

from collections.abc import Iterator
from math import isfinite, isnan, nan

from sim.describe.estimates.truck import GRAVITY
from sim.describe.good import GOOD, GOOD_LOADED, GRIP, LOADED, Placed, placed
from sim.describe.parts.vehicle import Vehicle
from sim.describe.to_measure import AT_RIDE, estimated, unmeasured
from sim.linear.standing import Standing


def placings(standing: Standing) -> tuple[Placed, ...]:
    """Return every figure of a set-up that has a usual range, front axle first; what is not known is left out."""
    return tuple(one for axle in standing.axles for one in _of_axle(standing, axle) if one is not None)


def _of_axle(standing: Standing, axle: str) -> Iterator[Placed | None]:
    own = standing.axles[axle]
    loaded = loaded_share(standing, axle)
    # What its load takes of its travel, by its springs' rate.
    sag = max(_more(standing, axle), 0.0) * GRAVITY / own.wheel_rate
    hop = next((mode for mode in standing.modes if mode.name == f"{axle} hop"), None)
    yield placed("body_frequency", own.ride_frequency, axle, loaded)
    if axle == "rear":
        yield placed("frequency_ratio", own.ride_frequency / standing.axles["front"].ride_frequency, axle, loaded)
    # Bare springs are no choice of damping: nothing is placed that nobody has fitted.
    damped = bool(own.dampers)
    yield placed("body_damping", own.damping_ratio if damped else nan, axle, loaded)
    yield placed("hop_frequency", hop.frequency_hz if hop else nan, axle, loaded)
    yield placed("hop_damping", hop.damping_ratio if hop and damped else nan, axle, loaded)
    paths = estimated(standing.vehicle)
    gap, strap = (
        f"estimated: measure {words}" if f"{axle}.{key}" in paths else ""
        for key, words in (("stop.gap", "the gap to the stop"), ("strap.length", "the strap"))
    )
    yield placed("bump_left", own.travel_left_up, axle, _taken("bump_left", sag), note=gap)
    yield placed("droop_left", own.droop_left, axle, loaded, note=strap if isfinite(own.travel_left_down) else "")
    for damper in own.dampers:
        stroke = damper.stroke_left_in + damper.stroke_left_out
        missing = unmeasured(standing.vehicle, axle, damper.name)
        note = f"not known: measure {AT_RIDE}" if AT_RIDE in missing else ""
        left, taken = (
            (damper.stroke_left_in / stroke, sag * abs(damper.motion_ratio) / stroke) if stroke else (nan, 0.0)
        )
        yield placed("stroke_left", left, axle, _taken("stroke_left", taken), damper.name, note)
        yield placed("motion_ratio", abs(damper.motion_ratio), axle, loaded, damper.name)
    # The torque of tyres that just slip, on the housing's spring: M = mu W r.
    yield placed("wind_up", GRIP * own.load * own.centre_height / own.wind_up_rate, axle, loaded)


def loaded_share(standing: Standing, axle: str) -> float:
    """Return how much of what makes a loaded axle it carries more than on the truck as measured, from 0 to 1."""
    more = _more(standing, axle)
    # A load behind the rear axle lifts weight off the front one, which is no load there; levers do so to rounding.
    share = more / (LOADED * (standing.axles[axle].sprung_mass - more))
    return 0.0 if share < 1e-6 else min(share, 1.0)


def _more(standing: Standing, axle: str) -> float:
    """Return the mass [kg] that loads put on an axle beyond what was aboard as it was measured."""
    vehicle = standing.vehicle
    return _from_loads(vehicle, axle) - _from_loads(vehicle.reference, axle)


def _taken(kind: str, taken: float) -> float:
    """Return how far a range has gone over to that of a loaded axle, from 0 to 1, when its load has taken so much of the figure."""
    share = taken / (GOOD[kind].usual[0] - GOOD_LOADED[kind].usual[0])
    return 0.0 if isnan(share) or share < 1e-6 else min(share, 1.0)


def _from_loads(vehicle: Vehicle, axle: str) -> float:
    """Return the mass [kg] that the loads put on an axle: by levers."""
    rear = sum(load.mass * load.place.behind_front_axle for load in vehicle.loads.values()) / vehicle.wheelbase
    return rear if axle == "rear" else sum(load.mass for load in vehicle.loads.values()) - rear
