"""Dampers that end before their axle's droop does after a lift: whether that is known, whether the lift has done it, and what is to be measured first."""

from math import isfinite, nan
from typing import NamedTuple

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.describe.to_measure import listed, of_end, unmeasured
from sim.integrate.damper_room import WITH_WIND_UP
from sim.linear.doubt_of_room import doubt_of_room
from sim.linear.standing import Standing

ROOM = "room left at full droop, 5 deg of wind-up"
"""What of a damper's stroke is left where the axle's droop ends; below zero the damper is out first, and holds the axle."""

DAMPERS_HOLD = "the axle hangs on them, and tears them apart. Longer dampers, or a limit strap that acts before them (jounce sheet)."
"""What becomes of dampers that end before an axle's droop does."""

SAME_ROOM_M = 5e-4
"""Rooms that differ by less are the same to a tape [m]."""


class Held(NamedTuple):
    """A damper set that is fully out before its axle's droop ends: of which axle, what is said of it, and whether estimates alone say so."""

    axle: str
    words: str
    in_doubt: bool


def held_by_dampers(setup: Lowered, after: Standing, before: Standing) -> list[Held]:
    """Return each damper set that is fully out before its axle's droop ends.

    Parameters
    ----------
    setup : Lowered
        The truck as lifted.
    after, before : Standing
        How it stands lifted, and without the lift.
    """
    said = []
    lines = {(one.axle, one.name): one for one in setup.lines if one.role == "damper"}
    for axle, part in after.axles.items():
        for damper in part.dampers:
            room = damper.room_in_droop
            if not room < 0.0:
                continue
            was = next((one.room_in_droop for one in before.axles[axle].dampers if one.name == damper.name), nan)
            already = _already(was, room)
            missing = of_end(unmeasured(after.vehicle, axle, damper.name), "extended")
            short = f"{show(-room, 'length')} too short{WITH_WIND_UP if isfinite(part.wind_up_rate) else ''}"
            doubt = doubt_of_room(setup, lines[axle, damper.name], "extended", part.jounce, part.droop.jounce)
            # What its own doubt turns into a damper that is long enough is no fact.
            if room + doubt.half > 0.0:
                first = listed(tuple(dict.fromkeys((*missing, *doubt.measure))))
                words = (
                    f"{axle}: its '{damper.name}' dampers may be fully out where droop ends: as far as estimates say {short}, {show(doubt.half, 'length')} "
                    f"more or less. If they are, {DAMPERS_HOLD} Measure {first} first.{already}"
                )
                said.append(Held(axle, words, True))
                continue
            measured = f" Measure {listed(missing)}: it is estimated." if missing else ""
            words = f"{axle}: its '{damper.name}' dampers are fully out where droop ends, and {short}: {DAMPERS_HOLD}{measured}{already}"
            said.append(Held(axle, words, False))
    return said


def _already(was: float, room: float) -> str:
    """Return that it is no doing of the lift, where it is none; empty of dampers that were long enough without it.

    was, room : what is left without the lift, and with it [m].
    """
    if not was < 0.0:
        return ""
    return (
        " They are as short without the lift."
        if was <= room + SAME_ROOM_M
        else " They are too short without the lift too."
    )
