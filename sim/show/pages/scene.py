"""A truck to scale as plain numbers, and what moves in it: whatever draws it asks for nothing else.

A scene is what stays as it is during a run: outline, paths of the axles, ends of springs, dampers and straps with their lengths.
A frame is one moment: where body and axles are. `placing.py` and `static/placed.js` put both together; they are one geometry.

All lengths are in metres, angles in radians, forces in newtons. A place on the body is [forward, up] from the sprung centre of
gravity in body axes, one on an axle [ahead, above] from the axle's centre in the housing's axes. The world's x runs forward from
where the front axle's centre began, z upwards from level ground; on a hill along it and square to it, as the equations have them.
"""

import base64
from collections import OrderedDict
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.axle import Axle
from sim.describe.parts.guides.base import End, Member
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import SHOWN
from sim.integrate.channels import PINION_UP
from sim.integrate.result import Run
from sim.kernel import layout as at
from sim.linear.clearances import taped
from sim.lower.lowering import lower
from sim.lower.rest import rest
from sim.show.pages.outline import PAD_SHARE, body_outline, frame_rail

Array = npt.NDArray[np.float64]
Scene = dict[str, Any]

FRAME_S = 8e-3
"""Time between frames [s]: an axle that hops at 12 Hz has ten of them in each hop."""

NEVER = 100.0
"""Lengths past this [m] stand for ends that nobody gave."""

ROAD_STEP_M = 0.02
"""Distance between the places of a road that is drawn [m]: less than a pixel of a truck that fills the page."""

DRAWN = ("coil", "damper", "strap", "link")
"""Lines that are drawn; the bushes of a link are part of it."""


def scene(vehicle: Vehicle, name: str = "") -> Scene:
    """Describe a set-up as it is drawn: plain lists, numbers and words, ready for JSON.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    name : str
        What it is called.

    Returns
    -------
    dict
        name, wheelbase_m; cg_behind_front_axle_m, of the sprung mass; rest: height_m of that above level ground and nose_up_rad,
        as the set-up stands; body: outline and rail (places), points (place by name); axles: see `_axle`; units: by quantity,
        rows of (divisor of the SI value, unit, decimals), metric first.

    Raises
    ------
    RunError
        If the set-up cannot stand.
    """
    setup, standing = _stood(vehicle)
    return {
        "name": name,
        "wheelbase_m": vehicle.wheelbase,
        "cg_behind_front_axle_m": setup.place.cg_behind_front_axle,
        "rest": {"height_m": float(standing[at.Z]), "nose_up_rad": -float(standing[at.PITCH])},
        "body": {
            "outline": body_outline(setup),
            "rail": frame_rail(setup),
            "points": {key: list(place) for key, place in {**setup.points, **taped(setup)}.items()},
        },
        "axles": {key: _axle(setup, key, index, part, standing) for index, (key, part) in enumerate(vehicle.axles)},
        "units": {quantity: [list(row) for row in SHOWN[quantity]] for quantity in ("length", "force", "angle")},
    }


def _stood(vehicle: Vehicle) -> tuple[Lowered, Array]:
    """Return a set-up with the state (STATES,) in which it stands on level ground, kept for the next run that is drawn of it."""
    known = _known.get(id(vehicle))
    if known is None:
        setup = lower(vehicle)
        # With the vehicle, so that its id stays its own.
        known = _known[id(vehicle)] = vehicle, setup, rest(setup).state
        while len(_known) > KEPT:
            _known.popitem(last=False)
    return known[1:]


KEPT = 16
_known: OrderedDict[int, tuple[Vehicle, Lowered, Array]] = OrderedDict()


def _axle(setup: Lowered, name: str, index: int, part: Axle, standing: Array) -> Scene:
    """Describe an axle.

    behind_front_m; centre_up_m at no travel in body axes; seat_above_m, how far above its centre its guide holds it: there the housing
    turns; path of that place: see `_path`; pinion_up: sense of a housing's turn, positive
    lowers what is ahead, in which its pinion goes up; tyre: radius_m; members: see `_end`; stop: gap_m, squeeze_m until it is
    flat, pad_m its height as drawn, meets (on the axle), or None; lines: see `_line`; rest: travel_m, wind_up_rad, give_m.
    """
    axle, stop = setup.axles[name], part.stop
    centre_up = axle.seat_up - axle.seat_above
    return {
        "behind_front_m": setup.vehicle.axle_behind_front_m(name),
        "centre_up_m": centre_up,
        "seat_above_m": axle.seat_above,
        "path": _path(setup, name),
        "pinion_up": PINION_UP[name],
        "tyre": {"radius_m": part.tyre.radius},
        "members": [
            {"shape": member.shape, "ends": [_end(_on_seat(end, member, axle.seat_above)) for end in member.ends], "joints": list(member.joints)}
            for member in part.guide.members(setup.place, axle.centre_forward, centre_up)
        ],
        "stop": None
        if stop is None
        else {
            "gap_m": stop.gap, "squeeze_m": stop.squeeze, "pad_m": stop.squeeze / PAD_SHARE,
            "meets": [stop.meets.ahead, stop.meets.above],
            # Straight above what it meets at no travel: the place on the axle turns with it, the pad does not.
            "body": [axle.centre_forward + stop.meets.ahead, centre_up + stop.meets.above + stop.gap],
        },
        "lines": [_line(part, line, axle.seat_above) for line in setup.lines if line.axle == name and line.role in DRAWN],
        "rest": {
            "travel_m": float(standing[at.JOUNCE + 2 * index]),
            "wind_up_rad": PINION_UP[name] * float(standing[at.WIND_UP + 2 * index]),
            "give_m": float(standing[at.SHIFT + index]),
        },
    }  # fmt: skip


def _path(setup: Lowered, name: str) -> Scene:
    """Describe where the centre is and how its guide turns the housing, by travel (sim/describe/parts/guides/series.py).

    place, turn : coefficients of powers of (travel - middle_m) x scale, lowest first; arc, if it is one and not None: radius_m,
    forward_m and level_m of its middle, side, turns, ahead and above of an arm with which the housing turns, and least: the
    share of radius_m² at which it is held at its end.
    """
    path = setup.paths[name]
    arc = path.arc
    return {
        "place": list(path.place), "turn": list(path.turn), "middle_m": path.middle, "scale": path.scale,
        "arc": {
            "radius_m": arc.radius_square**0.5, "forward_m": arc.forward, "level_m": arc.level, "side": arc.side,
            "turns": arc.turns, "ahead": arc.ahead, "above": arc.above, "least": at.ARC_LEAST,
        } if arc.radius_square > 0.0 else None,
    }  # fmt: skip


def _on_seat(end: End, member: Member, seat_above: float) -> End:
    """Return the end of a leaf pack where it lies on its seat."""
    return end._replace(up=end.up + seat_above) if member.shape == "leaf" and end.on == "axle" else end


def _end(end: End) -> Scene:
    """Describe the end of a member: what it is on, and its place there."""
    return {"on": end.on, "at": [end.forward, end.up]}


def _line(part: Axle, line: NamedLine, seat_above: float) -> Scene:
    """Describe a spring, damper, strap or link: its ends and its lengths, None where nobody gave one.

    collapsed_m : fully in, of a coil the length at which its turns touch; extended_m : fully out, of a strap just taut;
    sideways_m : the distance across between its ends, which counts in its length.
    """
    own = line.line
    return {
        "role": line.role, "name": line.name, "count": int(own.number),
        "body": [own.body_forward, own.body_up], "axle": [own.axle_forward, own.axle_up + seat_above], "sideways_m": own.sideways,
        "collapsed_m": own.length_collapsed if own.length_collapsed > 0.0 else None,
        "extended_m": own.length_extended if own.length_extended < NEVER else None,
        "tube_end": part.dampers[line.name].tube_end if line.role == "damper" else None,
    }  # fmt: skip


def frames(run: Run, every_s: float = FRAME_S) -> dict[str, Any]:
    """Return what moves in a run, one number a frame.

    Parameters
    ----------
    run : Run
        The run.
    every_s : float
        Time between frames [s]; the nearest whole number of its output steps is taken.

    Returns
    -------
    dict
        step_s; channels: by name a float32 array (frames,). distance_m along the road; bounce_m and pitch_nose_up_rad of the
        body from where its scene stands on level ground; of each axle, `front.` or `rear.`: travel_m (bump positive, from the height as measured),
        wind_up_rad (pinion-up), give_m (forwards), tyre_load_n (zero off the ground). Of a run that blew up, as far as it went.
        Of a push also the channel push_up_n, the force on the body, and push: at, its place on the body, and most_n, its largest size.
    """
    time = run.time_s
    every = max(round(every_s / (time[1] - time[0])), 1) if time.size > 1 else 1
    # A launch begins on its brakes or on a hill, where a truck stands otherwise than on the level.
    setup, standing = _stood(run.vehicle)
    channels = {
        "distance_m": run.distance_m,
        "bounce_m": run.bounce_m + (run.height_rest_m - float(standing[at.Z])),
        "pitch_nose_up_rad": run.pitch_nose_up_rad + (run.nose_up_rest_rad + float(standing[at.PITCH])),
    }
    for name, axle in run.axles:
        still = np.zeros_like(axle.jounce_m)
        channels |= {
            f"{name}.travel_m": axle.jounce_m, f"{name}.wind_up_rad": axle.wind_up_rad,
            f"{name}.give_m": still if axle.give_m is None else axle.give_m, f"{name}.tyre_load_n": axle.tyre_load_n,
        }  # fmt: skip
    push = run.run.start(setup).push
    if push is not None:
        channels["push_up_n"] = push.at(time)
    sound = np.all(np.isfinite(np.array(list(channels.values()))), axis=0)
    until = int(np.argmin(sound)) if not sound.all() else len(sound)
    return {
        "step_s": float(every * (time[1] - time[0])) if time.size > 1 else every_s,
        "channels": {name: values[:until:every].astype(np.float32) for name, values in channels.items()},
    } | ({} if push is None else {"push": {"at": [push.forward, push.up], "most_n": abs(push.force)}})


def standing_frame(drawn: Scene) -> dict[str, float]:
    """Return the frame of a scene that stands still."""
    frame = {"distance_m": 0.0, "bounce_m": 0.0, "pitch_nose_up_rad": 0.0}
    for name, axle in drawn["axles"].items():
        frame |= {f"{name}.{key}": value for key, value in axle["rest"].items()} | {f"{name}.tyre_load_n": 1.0}
    return frame


def road(run: Run) -> dict[str, Any]:
    """Return the ground of a run as it is drawn: `ground`."""
    return ground(run.run, run.vehicle)


def ground(run: AnyRun, vehicle: Vehicle) -> dict[str, Any]:
    """Return the ground that a vehicle runs over, as it is drawn: from_m in the world's x, step_m, height_m a float32 array, climb_rad.

    It is the road itself, not what tyres feel of it. Before and after it is even, as high as at its ends. On a hill, climb_rad is its
    slope, uphill positive, and heights are square to it.
    """
    plan = run.start(lower(vehicle))
    climb = 0.0 if plan.driving is None else plan.driving.climb_rad
    if plan.course is None:
        return {"from_m": 0.0, "step_m": 1.0, "height_m": np.zeros(2, dtype=np.float32), "climb_rad": climb}
    places = np.arange(-ROAD_STEP_M, plan.course.length_m + 2.0 * ROAD_STEP_M, ROAD_STEP_M)
    return {
        "from_m": plan.lead_m - ROAD_STEP_M, "step_m": ROAD_STEP_M,
        "height_m": plan.course.height(places).astype(np.float32), "climb_rad": climb,
    }  # fmt: skip


def encoded(value: Any) -> Any:
    """Return a description ready for JSON: arrays as base64 of little-endian float32, which `decoded` of placed.js reads."""
    if isinstance(value, dict):
        return {key: encoded(own) for key, own in value.items()}
    if isinstance(value, np.ndarray):
        return {"float32": base64.b64encode(value.astype("<f4").tobytes()).decode("ascii")}
    return value
