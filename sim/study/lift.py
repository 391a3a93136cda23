"""What a lift does to a truck that is lifted by springs, spacers and blocks or shackles: travel, angles of arms, castor and joints, instant centre, centre of gravity."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import atan2, degrees, isfinite, nan, radians

import numpy as np

from sim.describe.estimates.truck import shown_in_inches
from sim.describe.files.unmeasured_seats import on_another_block
from sim.describe.lowered import Lowered
from sim.describe.parts.guides.base import Shackle
from sim.describe.parts.springs import SeatSpring
from sim.describe.parts.springs.base import LIFTS_ON_TOP
from sim.describe.parts.vehicle import Vehicle
from sim.errors import RunError
from sim.kernel import layout as at
from sim.linear.anti import ahead_or_behind, anti_words
from sim.linear.droop import STRAP
from sim.linear.standing import Standing, stand
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.lower.seat import block_m, seat_m
from sim.study.held_by_dampers import ROOM, held_by_dampers
from sim.study.little_droop import LittleDroop, of_standing
from sim.study.longer_straps import longer_straps, past_the_dampers, strap_note
from sim.study.spring_order import SpringOrder, spring_orders

PINION = "pinion upwards against the frame"

JOINT_MOST, JOINT_ALIKE = radians(3.0), radians(1.0)
"""Usual limits of a joint at speed, and of the difference of both [rad]; common practice, no source."""

SPRINGS, SPACERS, SHACKLES = WAYS = "springs", "spacers", "shackles"
"""Ways to lift: longer coils or leaves of more arch; spacers on coils or blocks under leaf packs; longer shackles."""

SHACKLE_LIFT = "shackle_lift"
"""Key of a leaf pack that longer shackles change."""

UNDER = "its packs lie under the axle, where a block between the two lowers the frame; lift it by its springs or by longer shackles."
NO_SHACKLE = "only an axle that its leaf packs hold is lifted by longer shackles."


@dataclass(frozen=True)
class Row:
    """One number before and after."""

    label: str
    quantity: str
    before: float
    after: float


@dataclass(frozen=True)
class Lift:
    """A truck before and after.

    Attributes
    ----------
    changes : dict of str to str
        What was changed, as a set-up writes it.
    rows : tuple of Row
    notes : tuple of str
        What it means.
    may_be_short : frozenset of str
        Axles whose dampers are too short for the droop by estimates alone, which may be off by more.
    """

    changes: dict[str, str]
    rows: tuple[Row, ...]
    notes: tuple[str, ...]
    may_be_short: frozenset[str] = frozenset()


def lifted(
    vehicle: Vehicle, raised_m: Mapping[str, float], track_m: float | None = None, by: Mapping[str, str] | None = None
) -> Lift:
    """Return what a lift does by springs of the same rates, or by what stands between them and the truck.

    Parameters
    ----------
    vehicle : Vehicle
    raised_m : mapping of str to float
        How far the frame is to come up over each axle [m]; less than nothing lowers it.
    track_m : float, optional
        Track width, for T/2h.
    by : mapping of str to str, optional
        One of WAYS for an axle; left out: by springs.

    Raises
    ------
    RunError
        If it cannot stand, its springs do not give that height within the travel, or the axle cannot be lifted that way.
    """
    wanted = {axle: value for axle, value in raised_m.items() if value != 0.0}
    if not wanted:
        raise RunError("A lift of nothing changes nothing: give one axle or both a height.")
    by = by or {}
    # Each axle's height is also moved by the other's: found once more with the first answer in place.
    inches = shown_in_inches(vehicle.typed_system == "inch")
    before = _state(vehicle)
    straps = longer_straps(before.standing, wanted)
    changes = {f"{axle}.strap.length": _ordered(length, inches) for axle, length in straps.items()}
    setup = vehicle.changed(changes)
    # A strap that was measured is met first, and refused by what is ordered for the height.
    strapped = {axle for axle, one in before.standing.axles.items() if one.droop.place == STRAP} - straps.keys()
    past_the_dampers(before.lowered, before.rest, {axle: up for axle, up in wanted.items() if axle not in strapped})
    for _ in range(2):
        for order in spring_orders(setup, wanted):
            if order.axle in wanted and isfinite(order.order):
                first = next(iter(dict(vehicle.axles)[order.axle].springs))
                if order.name == first:  # of several springs of an axle the first is the one that is changed
                    key, value = _changed(setup, order, by.get(order.axle, SPRINGS))
                    changes[f"{order.axle}.springs.{order.name}.{key}"] = _ordered(value, inches)
        setup = vehicle.changed(changes)
    after = _state(setup)
    shackles = {axle: shackle(vehicle, axle, up) for axle, up in wanted.items() if by.get(axle) == SHACKLES}
    rows = tuple(_rows(before, after, track_m, shackles))
    held = held_by_dampers(after.lowered, after.standing, before.standing)
    notes = (
        *(strap_note(before.standing, axle, wanted[axle], length) for axle, length in straps.items()),
        *(one.words for one in held), *_notes(rows, track_m, of_standing(before.standing, after.standing)), *_cautions(rows, shackles, setup),
    )  # fmt: skip
    sure = {one.axle for one in held if not one.in_doubt}
    return Lift(changes, rows, notes, frozenset(one.axle for one in held) - sure)


def _changed(setup: Vehicle, order: SpringOrder, way: str) -> tuple[str, float]:
    """Return which key of a spring lifts it that way, and its value [m]."""
    if way == SHACKLES and (order.coil or not dict(setup.axles)[order.axle].guide.is_leaves):
        raise RunError(f"{order.axle}: {NO_SHACKLE} {_otherwise(order.axle)}")
    if way == SHACKLES:
        # The pack stays: a set-up that had more camber written into it would have another one made.
        now = getattr(dict(setup.axles)[order.axle].springs[order.name], SHACKLE_LIFT)
        return SHACKLE_LIFT, now + order.order - order.free
    if way != SPACERS:
        return ("free_length" if order.coil else "free_camber"), order.order
    spring = dict(setup.axles)[order.axle].springs[order.name]
    key, more = ("spacer" if order.coil else "block"), order.order - order.free
    if isinstance(spring, SeatSpring) and spring.is_under:
        if more > 0.0 and spring.block == 0.0:
            raise RunError(f"{order.axle}: {UNDER}")
        more = -more
    value = getattr(spring, key, 0.0) + more
    if value < 0.0:
        raise RunError(f"{order.axle}: there is no {key} to take out for that height; lower it by its springs.")
    return key, value


def shackle(vehicle: Vehicle, axle: str, up: float) -> Shackle:
    """Return the shackle that lifts the frame over an axle by `up` [m].

    Raises
    ------
    RunError
        If the axle hangs on none.
    """
    part = dict(vehicle.axles)[axle]
    sides = next((spring.sides_m for spring in part.springs.values() if isinstance(spring, SeatSpring)), None)
    longer = part.guide.shackle(up, sides)
    if longer is None:
        raise RunError(f"{axle}: {NO_SHACKLE} {_otherwise(axle)}")
    return longer


def _otherwise(axle: str) -> str:
    """Return how an axle without packs is lifted where the other one is by shackles."""
    other = "rear" if axle == "front" else "front"
    return f"Lift it by springs or spacers: --by {axle}:springs --by {other}:shackles"


def _ordered(length: float, inches: bool) -> str:
    """Return a length of a spring as a set-up writes it: to a millimetre, or to as little in inches."""
    return f"{length / 0.0254:.2f} in" if inches else f"{length * 1e3:.0f} mm"


@dataclass(frozen=True)
class _State:
    lowered: Lowered
    rest: Rest
    standing: Standing


def _state(vehicle: Vehicle) -> _State:
    setup = lower(vehicle)
    return _State(setup, rest(setup), stand(vehicle))


def housing_turn(setup: Lowered, standing: Rest, axle: str) -> float:
    """Return how far a housing has turned against the ground since the truck was measured [rad], its front downwards."""
    index = ("front", "rear").index(axle)
    path, state = setup.paths[axle], standing.state
    t = (float(state[at.JOUNCE + 2 * index]) - path.middle) * path.scale
    by_guide = float(np.polynomial.polynomial.polyval(t, path.turn))
    return by_guide + float(state[at.WIND_UP + 2 * index]) + float(state[at.PITCH])


def arm_angle(setup: Lowered, standing: Rest, axle: str) -> float:
    """Return how far an arm slopes down from its pivot to the axle [rad]; nan without arms."""
    pivot = dict(setup.vehicle.axles)[axle].guide.swings_about
    if pivot is None:
        return nan
    index = ("front", "rear").index(axle)
    path, state = setup.paths[axle], standing.state
    jounce = float(state[at.JOUNCE + 2 * index])
    t = (jounce - path.middle) * path.scale
    along = abs(float(np.polynomial.polynomial.polyval(t, path.place)) - setup.place.forward(pivot))
    drop = setup.place.up(pivot) - (setup.axles[axle].seat_up + jounce)
    # The whole truck's pitch counts one way in front and the other way behind.
    pitch = float(state[at.PITCH]) if axle == "front" else -float(state[at.PITCH])
    return atan2(drop, along) + pitch


def joints(setup: Lowered, standing: Rest, axle: str) -> tuple[float, float]:
    """Return the joint angles of an axle's propshaft at rest [rad], at the gearbox and at the pinion; nan where it is not described."""
    shaft = dict(setup.vehicle.axles)[axle].propshaft
    if shaft is None:
        return nan, nan
    index = ("front", "rear").index(axle)
    path, state = setup.paths[axle], standing.state
    jounce = float(state[at.JOUNCE + 2 * index])
    t = (jounce - path.middle) * path.scale
    turn = float(np.polynomial.polynomial.polyval(t, path.turn)) + float(state[at.WIND_UP + 2 * index])
    centre = float(np.polynomial.polynomial.polyval(t, path.place))
    ahead_of, above = shaft.pinion.ahead, shaft.pinion.above - setup.axles[axle].seat_above
    forward = centre + ahead_of * np.cos(turn) + above * np.sin(turn)
    up = setup.axles[axle].seat_up + jounce + above * np.cos(turn) - ahead_of * np.sin(turn)
    towards = setup.place.forward(shaft.gearbox) - forward
    ahead = axle == "front"
    angles = shaft.angles(
        np.array([-towards if ahead else towards]),
        np.array([setup.place.up(shaft.gearbox) - up]),
        np.array([turn if ahead else -turn]),
    )
    return float(angles.at_gearbox[0]), float(angles.at_pinion[0])


def _rows(before: _State, after: _State, track: float | None, shackles: Mapping[str, Shackle]) -> "list[Row]":
    rows: list[Row] = []

    def add(label: str, quantity: str, one: float, other: float) -> None:
        if isfinite(one) or isfinite(other):
            rows.append(Row(label, quantity, one, other))

    for axle in ("front", "rear"):
        old, new = before.standing.axles[axle], after.standing.axles[axle]
        add(f"{axle}: frame above the measured height over the axle", "length", -old.jounce, -new.jounce)
        # Of an axle with a damper that is solid before the stop it is less than that.
        bump = "bump left" if old.bump_ends or new.bump_ends else "bump left to the stop"
        add(f"{axle}: {bump}", "length", old.travel_left_up, new.travel_left_up)
        # Without a strap droop ends where its springs let it hang.
        add(f"{axle}: {_droop(old.droop.place)}", "length", old.droop_left, new.droop_left)
        for one, other in zip(old.dampers, new.dampers, strict=True):
            add(f"{axle} damper '{one.name}': stroke left in", "length", one.stroke_left_in, other.stroke_left_in)
            add(f"{axle} damper '{one.name}': stroke left out", "length", one.stroke_left_out, other.stroke_left_out)
            # As `stand` names it. A block or a longer spring lowers the axle's end of droop, and the damper does not grow with it.
            add(f"{axle} damper '{one.name}': {ROOM}", "length", one.room_in_droop, other.room_in_droop)
        add(f"{axle}: ride frequency", "frequency", old.ride_frequency, new.ride_frequency)
        add(f"{axle}: damping ratio", "number", old.damping_ratio, new.damping_ratio)
        # Castor is against the ground. The shaft's other end turns with the frame, so a pinion's turn counts against that.
        turns = [
            -housing_turn(one.lowered, one.rest, axle) + (float(one.rest.state[at.PITCH]) if axle == "rear" else 0.0)
            for one in (before, after)
        ]
        if axle in shackles:
            turns[1] -= shackles[axle].turns
            add(f"{axle}: shackle longer by", "length", 0.0, shackles[axle].longer)
        add(
            "front: castor against the measured" if axle == "front" else f"rear: {PINION}",
            "angle",
            *turns,
        )
        add(
            f"{axle}: arm down from its pivot",
            "angle",
            *(arm_angle(one.lowered, one.rest, axle) for one in (before, after)),
        )
        if any(block_m(one.lowered.vehicle, axle) for one in (before, after)):
            heights = [
                one.standing.axles[axle].centre_height + seat_m(one.lowered.vehicle, axle) for one in (before, after)
            ]
            add(f"{axle}: lever by which a tyre's push winds the pack up", "length", *heights)
        both = [joints(one.lowered, one.rest, axle) for one in (before, after)]
        add(f"{axle}: joint at the gearbox", "angle", both[0][0], both[1][0])
        add(f"{axle}: joint at the pinion", "angle", both[0][1], both[1][1])
        centre = old.instant_centre_ahead, new.instant_centre_ahead
        where, ends = ahead_or_behind(centre)
        add(f"{axle}: instant centre {where}", "length", *ends)
        add(f"{axle}: instant centre above the ground", "length", old.instant_centre_above, new.instant_centre_above)
        anti = anti_words(axle, (before.lowered.vehicle, after.lowered.vehicle))
        add(f"{axle}: {anti}", "percent", old.anti_share, new.anti_share)
    heights = [one.standing.whole_height for one in (before, after)]
    add("centre of gravity of the whole truck above the ground", "length", *heights)
    clear = [{clear.label: clear for clear in one.standing.clearances} for one in (before, after)]
    for label in dict.fromkeys(label for own in clear for label in own):
        ends = [own[label].value if label in own else nan for own in clear]
        add(label, next(own[label].quantity for own in clear if label in own), *ends)
    if track is not None:
        add("T/2h: half of the track over that height", "number", *(track / 2.0 / height for height in heights))
    return rows


def _droop(place: str) -> str:
    return "droop left to the strap" if place == STRAP else "droop left, no strap"


def _which_way(setup: Vehicle, axle: str) -> "list[str]":
    """Return that a block lifts on top of the axle alone, where nobody said where its packs lie."""
    packs = [(key, one) for key, one in dict(setup.axles)[axle].springs.items() if isinstance(one, SeatSpring)]
    return [
        f"{axle}: {LIFTS_ON_TOP}. Look where its packs lie before blocks are ordered: it is taken as on top ({axle}.springs.{key}.seat_above, not given)."
        for key, pack in packs
        if pack.seat_above == 0.0 and on_another_block(setup, axle, key)
    ]


def _cautions(rows: "tuple[Row, ...]", shackles: Mapping[str, Shackle], setup: Vehicle) -> "list[str]":
    notes: list[str] = []
    for axle in ("front", "rear"):
        notes += _which_way(setup, axle)
        lever = next((row for row in rows if row.label.startswith(f"{axle}: lever by which")), None)
        if lever is not None and lever.after > lever.before:
            notes.append(
                f"{axle}: on its block the pack is wound up by a lever {100.0 * (lever.after / lever.before - 1.0):.0f} % longer, braked and driven: it "
                "wraps up by as much more. Compare a launch for whether it hops. Longer U-bolts, and never one block on another"
                + (
                    "; no block on an axle that steers (common practice, no source)."
                    if axle == "front"
                    else " (common practice, no source)."
                )
            )
        if axle in shackles:
            notes.append(
                f"{axle}: longer shackles bear as leaves of more arch do, which is how the set-up writes them; they turn the housing as well: "
                "castor or pinion above counts that, joints and damper mounts above do not."
            )
    return notes


def _notes(rows: "tuple[Row, ...]", track: float | None, little: Mapping[str, LittleDroop]) -> "list[str]":
    by = {row.label: row for row in rows}
    notes = []
    castor = by.get("front: castor against the measured")
    if castor is not None and castor.after - castor.before < -radians(0.5):
        notes.append(
            "The front axle loses castor: it steers back less and may wander or shimmy. Set it again at the arms; mind the front joint then."
        )
    for axle in ("front", "rear"):
        turned = by.get(f"{axle}: {PINION}")
        if turned is not None and abs(change := turned.after - turned.before) > JOINT_ALIKE:
            way, back = ("up", "down") if change > 0.0 else ("down", "up")
            notes.append(
                f"{axle}: the pinion turns {way} by {degrees(abs(change)):.1f} deg against the frame: joints of its shaft that stood alike differ by as much, "
                f"where 1 deg is usual (common practice, no source). Turn it {back} again, on leaf packs with wedges between pack and axle, and measure "
                "both joints as it then stands."
            )
        gearbox, pinion = by.get(f"{axle}: joint at the gearbox"), by.get(f"{axle}: joint at the pinion")
        if gearbox is not None and pinion is not None:
            if max(gearbox.after, pinion.after) > JOINT_MOST:
                notes.append(
                    f"{axle}: a joint stands past 3 deg, where it shakes at speed (common practice, no source)."
                )
            if abs(gearbox.after - pinion.after) > JOINT_ALIKE:
                notes.append(
                    f"{axle}: its joints differ by more than 1 deg, so the shaft does not run even (common practice, no source)."
                )
        if axle in little:
            longer = "longer straps, and " if little[axle].strap else ""
            notes.append(
                f"{axle}: the lift takes most of the droop: {longer}dampers that are long enough (jounce sheet)."
            )
    height = by["centre of gravity of the whole truck above the ground"]
    if height.after > height.before:
        notes.append(
            "The truck stands higher on the same track and rolls over sooner"
            + (f": T/2h, which a rigid truck bears sideways in g before it tips, falls to {track / 2.0 / height.after:.2f}; on springs and tyres it tips at a fifth less, or earlier (common practice, no source)." if track else
               "; give its track width, and T/2h is said, which falls as the height grows.")
        )  # fmt: skip
    return notes
