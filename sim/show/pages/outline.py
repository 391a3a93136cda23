"""The body around what is known of a truck: no file says how it looks, so its outline is no measure.

The frame runs just above the bump stops, the cab stands around the driver, the bed holds whatever else has a place on the body.
"""

from itertools import pairwise
from math import asin, cos, pi, sin

from sim.describe.lowered import Lowered
from sim.describe.parts.places import BodyPoint

PAD_SHARE = 0.5
"""How much of a stop's pad is squeezed when it is flat, as drawn: rubber 30 to 50 %, foam 60 to 75 % (common practice, no source)."""

RAIL = 0.11
"""Height of a frame rail as drawn [m]."""

Place = list[float]


def frame_rail(setup: Lowered) -> list[Place]:
    """Return the frame's rail as a closed line of places on the body."""
    below = _rail_below(setup)
    front, rear = _overhangs(setup)
    bottom = [
        (front, below["front"]),
        (0.0, below["front"]),
        (setup.vehicle.wheelbase, below["rear"]),
        (rear, below["rear"]),
    ]
    return [_on_body(setup, *place) for place in bottom + [(x, z + RAIL) for x, z in reversed(bottom)]]


def body_outline(setup: Lowered) -> list[Place]:
    """Return the body as a closed line of places on it, with its wheel arches."""
    vehicle = setup.vehicle
    below = _rail_below(setup)
    front, rear = _overhangs(setup)
    driver = _driver(setup)
    seat_behind, seat_above = driver.behind_front_axle, driver.above_ground
    tops = [_top_of_parts(setup, name) for name in ("front", "rear")]
    others = [point.above_ground for key, point in vehicle.points.items() if key != "driver"]
    bonnet = max(tops[0] + 0.12, seat_above + 0.08)
    # The lowest of the other points is what the load stands on.
    bed = max(tops[1] + 0.08, min(others, default=seat_above) + 0.12)
    roof = seat_above + 0.82
    upper = [
        (front, bonnet - 0.16), (front + 0.12, bonnet - 0.04), (seat_behind - 0.75, bonnet), (seat_behind - 0.42, roof),
        (seat_behind + 0.42, roof), (seat_behind + 0.5, bed), (rear, bed),
    ]  # fmt: skip
    lower = [(front, below["front"] + RAIL)]
    for name, part in vehicle.axles:
        lower += _arch(
            vehicle.axle_behind_front_m(name), _centre_above_ground(setup, name), part.tyre.radius, below[name]
        )
    lower.append((rear, below["rear"] + RAIL))
    # A cab that is not between the ends would cross itself: then there is none.
    if any(left >= right for (left, _), (right, _) in pairwise(upper)):
        upper = [(front, bonnet), (rear, bed)]
    return [_on_body(setup, *place) for place in upper + lower[::-1]]


def _arch(middle: float, centre: float, radius: float, below: float) -> list[tuple[float, float]]:
    """Return a wheel arch from front to rear: a circle around the wheel at full bump, down to the rail."""
    reach, sill, middle_up = radius + 0.1, below + RAIL, centre + 0.06
    # It begins where its circle leaves the rail; one that does not reach the rail begins level with its middle.
    first = asin(min(max((sill - middle_up) / reach, 0.0), 0.9))
    angles = [first + (pi - 2.0 * first) * step / 16 for step in range(17)]
    return [(middle - reach * cos(angle), middle_up + reach * sin(angle)) for angle in angles]


def _rail_below(setup: Lowered) -> dict[str, float]:
    """Return the height of the rail's lower edge above each axle [m]."""
    heights = {}
    for name, part in setup.vehicle.axles:
        centre = _centre_above_ground(setup, name)
        stop = part.stop
        # A hand's width without a stop.
        room = 0.16 if stop is None else stop.meets.above + stop.gap + stop.squeeze / PAD_SHARE
        heights[name] = centre + room
    return heights


def _top_of_parts(setup: Lowered, name: str) -> float:
    """Return the height of the highest mount on the body, and of the wheel at full bump at least [m]."""
    axle = dict(setup.vehicle.axles)[name]
    wheel = _centre_above_ground(setup, name) + axle.tyre.radius + 0.1
    mounts = [setup.place.cg_above_ground + line.line.body_up for line in setup.lines if line.axle == name]
    return max([wheel, *mounts])


def _driver(setup: Lowered) -> BodyPoint:
    """Return where the driver sits, as far as the file says."""
    vehicle = setup.vehicle
    if "driver" in vehicle.points:
        return vehicle.points["driver"]
    if "driver" in vehicle.loads:
        return vehicle.loads["driver"].place
    # Ahead of the middle, a little above the centre of gravity: as most trucks have it (from memory, no source).
    return BodyPoint.model_construct(
        behind_front_axle=0.45 * vehicle.wheelbase, above_ground=setup.place.cg_above_ground + 0.1
    )


def _overhangs(setup: Lowered) -> tuple[float, float]:
    """Return where the body begins and ends behind the front axle [m]: a little past the tyres, and past every point."""
    vehicle = setup.vehicle
    behind = [point.behind_front_axle for point in vehicle.points.values()]
    front = -max([axle.tyre.radius for _, axle in vehicle.axles]) - 0.25
    return min([front, *(b - 0.15 for b in behind)]), max(
        [vehicle.wheelbase - front + 0.15, *(b + 0.15 for b in behind)]
    )


def _centre_above_ground(setup: Lowered, name: str) -> float:
    axle = setup.axles[name]
    return setup.place.cg_above_ground + axle.seat_up - axle.seat_above


def _on_body(setup: Lowered, behind: float, above: float) -> Place:
    """Return a place measured by tape as one on the body, to the millimetre."""
    place = setup.place
    return [round(place.cg_behind_front_axle - behind, 3), round(above - place.cg_above_ground, 3)]
