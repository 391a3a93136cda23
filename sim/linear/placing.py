"""A set-up at rest, placed among what is usual in the trade: body and hop, travel and stroke, motion ratio and wind-up."""

from collections.abc import Iterator, Mapping
from fnmatch import fnmatchcase
from math import exp, isfinite, isnan, log, nan, sqrt

from sim.describe.estimates.truck import GRAVITY
from sim.describe.good import GOOD, GOOD_LOADED, GRIP, LOADED, Placed, placed
from sim.describe.parts.vehicle import Vehicle
from sim.describe.to_measure import AT_RIDE, estimated, unmeasured
from sim.linear.damper_ends import AS_ESTIMATED
from sim.linear.standing import Standing
from sim.lower.seat import seat_m


def placings(standing: Standing) -> tuple[Placed, ...]:
    """Return every figure of a set-up that has a usual range, front axle first; what is not known is left out."""
    return tuple(one for axle in standing.axles for one in _of_axle(standing, axle) if one is not None)


def _of_axle(standing: Standing, axle: str) -> Iterator[Placed | None]:
    own = standing.axles[axle]
    loaded = loaded_share(standing, axle)
    # What its load takes of its travel, by its springs' rate.
    sag = max(_more(standing, axle), 0.0) * GRAVITY / own.wheel_rate
    hop = next((mode for mode in standing.modes if mode.name == f"{axle} hop"), None)
    rides = own.ride_frequency
    yield placed("body_frequency", rides, axle, loaded, doubt=_doubt(standing, axle, "body_frequency"))
    if axle == "rear":
        yield placed("frequency_ratio", own.ride_frequency / standing.axles["front"].ride_frequency, axle, loaded)
    # Bare springs are no choice of damping: nothing is placed that nobody has fitted.
    damped = bool(own.dampers)
    damping = own.damping_ratio if damped else nan
    yield placed("body_damping", damping, axle, loaded, doubt=_doubt(standing, axle, "body_damping"))
    hops = hop.frequency_hz if hop else nan
    yield placed("hop_frequency", hops, axle, loaded, doubt=_doubt(standing, axle, "hop_frequency"))
    damps = hop.damping_ratio if hop and damped else nan
    yield placed("hop_damping", damps, axle, loaded, doubt=_doubt(standing, axle, "hop_damping"))
    paths = estimated(standing.vehicle)
    gap, strap = (
        f"estimated: measure {words}" if f"{axle}.{key}" in paths else ""
        for key, words in (("stop.gap", "the gap to the stop"), ("strap.length", "the strap"))
    )
    yield placed("bump_left", own.travel_left_up, axle, _taken("bump_left", sag), note=gap)
    # Without a strap the end of a damper whose place nobody taped may be all that ends it.
    ends = strap if isfinite(own.travel_left_down) else ""
    by_guess = f"estimated: measure {AT_RIDE}" if own.droop_ends.endswith(AS_ESTIMATED) else ends
    yield placed("droop_left", own.droop_left, axle, loaded, note=by_guess)
    for damper in own.dampers:
        stroke = damper.stroke_left_in + damper.stroke_left_out
        missing = unmeasured(standing.vehicle, axle, damper.name)
        note = f"not known: measure {AT_RIDE}" if AT_RIDE in missing else ""
        left, taken = (
            (damper.stroke_left_in / stroke, sag * abs(damper.motion_ratio) / stroke) if stroke else (nan, 0.0)
        )
        yield placed("stroke_left", left, axle, _taken("stroke_left", taken), damper.name, note)
        yield placed("motion_ratio", abs(damper.motion_ratio), axle, loaded, damper.name)
    room = next((one.value for one in standing.clearances if one.key == f"{axle}_wing"), nan)
    yield placed("wing", room, axle, loaded)
    turns = wound_up(standing, axle, GRIP)
    yield placed("wind_up", turns, axle, loaded, doubt=_doubt(standing, axle, "wind_up"))


def wound_up(standing: Standing, axle: str, grip: float) -> float:
    """Return how far an axle's housing winds up [rad] where its tyres alone just slip: the rear pulls, the front brakes; nan if it is held.

    What it pulls with shifts load onto it, F h / L, which lets it pull more: of its load N0 becomes N = N0 / (1 - mu h / L), h of the whole
    truck's centre of gravity (statics; T. D. Gillespie, Fundamentals of Vehicle Dynamics, 1992, ch. 2, from memory), at most all that the
    truck weighs. F = mu N turns the housing about its seat by F (r + s) / (K - V s), s how far that is above its centre, V what it carries
    there (docs/equations.md).
    """
    own = standing.axles[axle]
    whole = sum(one.load for one in standing.axles.values())
    left = 1.0 - grip * standing.whole_height / standing.vehicle.wheelbase
    load = min(own.load / left, whole) if left > 0.0 else whole
    radius = own.centre_height - (load - own.load) / own.tyre_rate
    seat = seat_m(standing.vehicle, axle)
    carried = load - own.unsprung_mass * GRAVITY
    return grip * load * (radius + seat) / (own.wind_up_rate - carried * seat)


MASS, TYRE, RATE = "the mass of the axle", "the rate of the tyre", "the rate of the springs"
FORCES, WIND_UP, HEIGHT = "the forces of the dampers", "the wind-up rate", "the height of the centre of gravity"
RESTS_ON: Mapping[str, tuple[tuple[str, float, str], ...]] = {
    "body_frequency": (("springs.*.rate", 0.5, RATE), ("springs.*.rate_factor", 0.5, RATE)),
    "body_damping": (("dampers.*.valving.*.low", 1.0, FORCES), ("springs.*.rate*", -0.5, RATE)),
    "hop_frequency": (("housing.mass", -0.5, MASS), ("tyre.rate", 0.5, TYRE)),
    "hop_damping": (("housing.mass", -0.5, MASS), ("tyre.rate", -0.5, TYRE), ("dampers.*.valving.*.low", 1.0, FORCES)),
    "wind_up": (("guide.wind_up.rate", -1.0, WIND_UP), ("body.centre_of_gravity.above_ground", 0.3, HEIGHT)),
}
"""By figure the numbers that it goes by, with its power of each: f as sqrt(k/m), a damping ratio as c / sqrt(k m), wind-up as M/k
with M as 1 / (1 - mu h / L), which goes as mu h / (L - mu h), a third, of h."""


def _doubt(standing: Standing, axle: str, kind: str) -> tuple[float, float, str]:
    """Return how low and how high a figure may be by what is estimated of it, as shares of it, and what to measure: what decides most.

    What each number at either end of its doubt makes of the figure, as a power of it, combined as logarithms whose squares add
    (JCGM 100:2008, 5.1.6, from memory): an axle a quarter lighter quickens its hop by more than one a quarter heavier slows it.
    """
    ends: dict[str, tuple[float, float]] = {}
    for pattern, power, words in RESTS_ON[kind]:
        each = [
            one.half / abs(one.value)
            for one in standing.vehicle.estimates
            if one.half and one.value and (fnmatchcase(one.path, f"{axle}.{pattern}") or one.path == pattern)
        ]
        # Of several that say the same thing, as both directions of one valving, the largest: they are wrong together.
        if each:
            below, above = sorted(_power(1.0 + sense * max(each), power) for sense in (-1.0, 1.0))
            known = ends.get(words, (0.0, 0.0))
            ends[words] = known[0] + below**2, known[1] + above**2
    if not ends:
        return 1.0, 1.0, ""
    least, most = (sqrt(sum(each[way] for each in ends.values())) for way in (0, 1))
    return exp(-least), exp(most), max(ends, key=lambda words: ends[words])


def _power(share: float, power: float) -> float:
    """Return the logarithm of a power of a share; of one that may be nothing, that of as good as nothing."""
    return power * log(max(share, 1e-6))


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
