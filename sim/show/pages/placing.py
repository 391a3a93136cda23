"""Where everything of a scene is at a frame: the same geometry as `static/placed.js`, for pictures and for tests.

Places are from `scene.py`; numbers of a frame may be single ones or arrays, then so are the places.
"""

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

import numpy as np

Number = Any  # a float, or an (n,) array of them


class Spot(NamedTuple):
    """A place in the world [m]: forward from where the front axle's centre began, and above level ground."""

    x: Number
    z: Number


class PlacedLine(NamedTuple):
    """A spring, damper, strap or link between its ends; lengths in metres, None where nobody gave its ends."""

    line: Mapping[str, Any]
    body: Spot
    axle: Spot
    length_m: Number
    left_in_m: Number | None
    left_out_m: Number | None


class PlacedStop(NamedTuple):
    """A bump stop: its pad's upper and lower face, and how far it still is from what it meets; less than zero squeezes it."""

    top: Spot
    face: Spot
    meets: Spot
    gap_left_m: Number


class PlacedAxle(NamedTuple):
    """An axle: its centre, the turn of its housing against the body [rad], and what is between it and the body."""

    centre: Spot
    turn: Number
    on_axle: Callable[[float, float], Spot]
    lines: tuple[PlacedLine, ...]
    stop: PlacedStop | None
    members: tuple[tuple[str, tuple[Spot, ...], tuple[Spot, ...]], ...]
    """Of its guide: shape, points of its line, joints."""


class Placed(NamedTuple):
    """A truck at a frame."""

    on_body: Callable[[float, float], Spot]
    axles: dict[str, PlacedAxle]


def placed(scene: Mapping[str, Any], frame: Mapping[str, Number], wind_up_times: float = 1.0) -> Placed:
    """Return where a scene's parts are at a frame.

    Parameters
    ----------
    scene : mapping
        As `scene.scene` describes it.
    frame : mapping
        Channels by name, as `scene.frames` has them, each one number or an array.
    wind_up_times : float
        By how much wind-up is enlarged. Lengths and gaps stay those of the true wind-up.
    """
    nose_down = -(scene["rest"]["nose_up_rad"] + frame["pitch_nose_up_rad"])
    sine, cosine = np.sin(nose_down), np.cos(nose_down)
    x0, z0 = frame["distance_m"] - scene["cg_behind_front_axle_m"], scene["rest"]["height_m"] + frame["bounce_m"]

    def on_body(forward: Number, up: Number) -> Spot:
        return Spot(x0 + forward * cosine + up * sine, z0 - forward * sine + up * cosine)

    return Placed(
        on_body, {name: _axle(axle, name, frame, on_body, wind_up_times) for name, axle in scene["axles"].items()}
    )


def _axle(
    axle: Mapping[str, Any], name: str, frame: Mapping[str, Number], on_body: Callable[..., Spot], times: float
) -> PlacedAxle:
    travel = frame[f"{name}.travel_m"]
    forward, turn = path_at(axle["path"], travel)
    forward, up = forward + frame[f"{name}.give_m"], axle["centre_up_m"] + axle["seat_above_m"] + travel
    wind_up = axle["pinion_up"] * frame[f"{name}.wind_up_rad"]

    def in_body(ahead: float, above: float, angle: Number) -> tuple[Number, Number]:
        above -= axle["seat_above_m"]  # the housing turns about its seat
        sine, cosine = np.sin(angle), np.cos(angle)
        return forward + ahead * cosine + above * sine, up + above * cosine - ahead * sine

    def on_axle(ahead: float, above: float) -> Spot:
        return on_body(*in_body(ahead, above, turn + times * wind_up))

    def line(own: Mapping[str, Any]) -> PlacedLine:
        ahead, above = own["axle"]
        px, pz = in_body(ahead, above, turn + wind_up)
        length = np.sqrt((px - own["body"][0]) ** 2 + (pz - own["body"][1]) ** 2 + own["sideways_m"] ** 2)
        low, high = own["collapsed_m"], own["extended_m"]
        return PlacedLine(
            own, on_body(*own["body"]), on_axle(*own["axle"]), length,
            None if low is None else length - low, None if high is None else high - length,
        )  # fmt: skip

    return PlacedAxle(
        on_axle(0.0, 0.0), turn + times * wind_up, on_axle, tuple(line(own) for own in axle["lines"]),
        _stop(axle["stop"], lambda a, b: in_body(a, b, turn + wind_up), on_body, on_axle),
        tuple(_member(own, on_body, on_axle) for own in axle["members"]),
    )  # fmt: skip


def path_at(path: Mapping[str, Any], travel: Number) -> tuple[Number, Number]:
    """Return an axle's centre ahead of the body's centre of gravity [m] and the turn that its guide gives the housing [rad]."""
    arc = path["arc"]
    if arc is None:
        t = (travel - path["middle_m"]) * path["scale"]
        return np.polynomial.polynomial.polyval(t, path["place"]), np.polynomial.polynomial.polyval(t, path["turn"])
    z = travel - arc["level_m"]
    square = arc["radius_m"] ** 2
    x = arc["side"] * np.sqrt(np.maximum(square - z * z, arc["least"] * square))
    # From the radius at no travel to that of now: arctangent of their cross and dot products.
    turn = arc["turns"] * np.arctan2(arc["above"] * x - arc["ahead"] * z, arc["ahead"] * x + arc["above"] * z)
    return arc["forward_m"] + x, turn


def _stop(
    stop: Mapping[str, Any] | None,
    in_body: Callable[[float, float], Any],
    on_body: Callable[..., Spot],
    on_axle: Callable[..., Spot],
) -> PlacedStop | None:
    if stop is None:
        return None
    forward, up = stop["body"]
    gap_left = up - in_body(*stop["meets"])[1]
    # A pad that is pressed in ends at what presses it; how far it hangs down is as drawn.
    face = up + np.maximum(-gap_left, 0.0)
    return PlacedStop(on_body(forward, up + stop["pad_m"]), on_body(forward, face), on_axle(*stop["meets"]), gap_left)


def _member(own: Mapping[str, Any], on_body: Callable[..., Spot], on_axle: Callable[..., Spot]) -> Any:
    places = {"body": on_body, "axle": on_axle}
    ends = tuple(places[end["on"]](*end["at"]) for end in own["ends"])
    line = ends if own["shape"] == "bar" else leaf(ends[0], ends[1], ends[2], on_axle(1.0, own["ends"][1]["at"][1]))
    return own["shape"], line, tuple(ends[number] for number in own["joints"])


def leaf(eye: Spot, seat: Spot, other: Spot, ahead: Spot) -> tuple[Spot, ...]:
    """Return the line of a leaf pack: two cubics from eye to eye that leave the seat as the housing is turned.

    ahead : a metre ahead of the seat, along the housing.
    """
    rows = []
    for start, own in ((eye, True), (other, False)):
        span = np.abs(start.x - seat.x)
        sense = np.where(start.x > seat.x, 1.0, -1.0)
        # Of a clamped cantilever: level with its seat there, free to slope at the eye.
        slope = (sense * (ahead.x - seat.x) * span, sense * (ahead.z - seat.z) * span)
        half = [_cantilever(seat, start, slope, step / 10.0) for step in range(11)]
        rows += half[::-1] if own else half[1:]
    return tuple(rows)


def _cantilever(seat: Spot, eye: Spot, slope: tuple[Number, Number], t: float) -> Spot:
    """Return a place on a beam that is clamped at its seat and loaded at its eye, a share t of its length out.

    Its bending is 3/2 t² - 1/2 t³ of that at its end (Gere, Mechanics of Materials: cantilever with a load at its end).
    """
    bent = 1.5 * t * t - 0.5 * t**3
    return Spot(
        seat.x + slope[0] * t + (eye.x - seat.x - slope[0]) * bent,
        seat.z + slope[1] * t + (eye.z - seat.z - slope[1]) * bent,
    )
