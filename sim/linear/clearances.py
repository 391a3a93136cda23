"""Clearances of a truck that stands: approach, departure and breakover angle, and the room from tyre to wing at full bump.

Angles as ISO 612:1978 has them (from memory): planes that touch the tyres, loaded as they stand, and the body's lowest points. All in the side view, with the wheels straight
ahead and both of an axle alike: full lock and an axle that stands crossed come nearer.
"""

from collections.abc import Iterator, Mapping
from math import asin, atan2, cos, hypot, inf, isfinite, nan, sin
from typing import NamedTuple

import numpy as np

from sim.describe.lowered import Lowered
from sim.describe.parts.places import BodyPoint
from sim.integrate.channels import centre_heights
from sim.kernel import layout as at
from sim.lower.rest import Rest

BETWEEN = 15
"""Places of an axle from ride to full bump at which its tyre is held against a wing: it swings about its arms, and may be nearest on its way."""


class Clearance(NamedTuple):
    """One clearance: what it is of, its value in SI, and the taped point that limits it."""

    key: str
    label: str
    quantity: str
    value: float
    point: str


Place = tuple[float, float]
"""Forwards and up [m]."""


def clearances(setup: Lowered, standing: Rest) -> tuple[Clearance, ...]:
    """Return the clearances of a set-up at rest, as far as its outline was taped; none without one.

    Parameters
    ----------
    setup : Lowered
    standing : Rest
    """
    outline = setup.vehicle.outline
    return () if outline is None else (*_under(setup, standing, outline.under), *_wings(setup, standing))


def _under(setup: Lowered, standing: Rest, points: Mapping[str, BodyPoint]) -> Iterator[Clearance]:
    """Yield the angles under the body, each with the point that limits it."""
    hubs = {name: _hub(setup, standing, name) for name in ("front", "rear")}
    limits: dict[str, tuple[float, str]] = {}
    for name, point in points.items():
        place = _in_the_world(setup, standing, point)
        to_front, to_rear = place[0] - hubs["front"][0], hubs["rear"][0] - place[0]
        if to_front > 0.0:
            key, angle = "approach", tangent(to_front, place[1], hubs["front"][1])
        elif to_rear > 0.0:
            key, angle = "departure", tangent(to_rear, place[1], hubs["rear"][1])
        else:
            key, angle = (
                "breakover",
                tangent(-to_front, place[1], hubs["front"][1]) + tangent(-to_rear, place[1], hubs["rear"][1]),
            )
        for one, value in ((key, angle), ("lowest", place[1])):
            # A point within the tyre has no line that touches it.
            if isfinite(value):
                limits[one] = min(limits.get(one, (inf, "")), (value, name))
    for key, label, quantity in UNDER:
        if key in limits:
            yield Clearance(key, label, quantity, *limits[key])


UNDER = (
    ("approach", "approach angle", "angle"),
    ("departure", "departure angle", "angle"),
    ("breakover", "breakover angle (ramp)", "angle"),
    ("lowest", "lowest point taped, above the ground", "length"),
)


def tangent(along: float, height: float, radius: float) -> float:
    """Return the angle [rad] to level ground of the line from a point down to a tyre that it touches from below.

    Parameters
    ----------
    along : float
        How far the point is from the axle, in the direction in which the line rises [m]; more than zero.
    height : float
        Above the ground [m].
    radius : float
        Of the tyre as it stands: the height of its centre [m].

    Returns
    -------
    float
        nan of a point within the tyre.
    """
    far = hypot(along, height - radius)
    return nan if far < radius else atan2(height - radius, along) + asin(radius / far)


def _wings(setup: Lowered, standing: Rest) -> Iterator[Clearance]:
    """Yield the room from tyre to wing on the way to full bump, of each axle with a stop whose wing was taped; below nothing they meet."""
    outline, place = setup.vehicle.outline, setup.place
    assert outline is not None
    for index, (name, axle) in enumerate(setup.vehicle.axles):
        points = outline.front_wing if name == "front" else outline.rear_wing
        if not points or axle.stop is None:
            continue
        ride, full = float(standing.state[at.JOUNCE + 2 * index]), axle.stop.gap + axle.stop.squeeze
        centres = [_centre(setup, name, float(jounce)) for jounce in np.linspace(min(ride, full), full, BETWEEN)]
        room, point = min(
            (min(hypot(place.forward(one) - x, place.up(one) - z) for x, z in centres) - axle.tyre.radius, key)
            for key, one in points.items()
        )
        yield Clearance(f"{name}_wing", f"{name} tyre to wing at full bump", "length", room, point)


def _in_the_world(setup: Lowered, standing: Rest, point: BodyPoint) -> Place:
    x, z, pitch = setup.place.forward(point), setup.place.up(point), float(standing.state[at.PITCH])
    return x * cos(pitch) + z * sin(pitch), float(standing.state[at.Z]) + z * cos(pitch) - x * sin(pitch)


def _hub(setup: Lowered, standing: Rest, name: str) -> Place:
    """Return where an axle's centre is: ahead of the body's centre of gravity, and above the ground [m]."""
    index = ("front", "rear").index(name)
    pitch = float(standing.state[at.PITCH])
    x, z = _centre(setup, name, float(standing.state[at.JOUNCE + 2 * index]))
    return x * cos(pitch) + z * sin(pitch), float(centre_heights(setup, name, standing.state[None])[0])


def _centre(setup: Lowered, name: str, jounce: float) -> Place:
    """Return where an axle's centre is in body axes, from the body's centre of gravity [m], its springs neither wound up nor shifted."""
    path, axle = setup.paths[name], setup.axles[name]
    forward, housing = (float(one) for one in path.at(jounce)[:2])
    return forward - axle.seat_above * sin(housing), axle.seat_up + jounce - axle.seat_above * cos(housing)


def taped(setup: Lowered) -> dict[str, Place]:
    """Return the points of the outline by a name each, in body axes from the centre of gravity [m]: to be drawn."""
    outline = setup.vehicle.outline
    if outline is None:
        return {}
    parts = {"under": outline.under, "front wing": outline.front_wing, "rear wing": outline.rear_wing}
    return {
        f"{part}: {name}": (setup.place.forward(point), setup.place.up(point))
        for part, points in parts.items()
        for name, point in points.items()
    }
