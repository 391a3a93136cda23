"""How far off the room at a damper's end may be, by what nobody measured: a sum of squares, quick enough for every command."""

from collections.abc import Sequence
from math import sqrt
from typing import NamedTuple

from sim.describe.estimates.bump_stop import BY_HEIGHT
from sim.describe.estimates.damper_mounts import OF_TAPED
from sim.describe.estimates.estimate import Estimate
from sim.describe.lowered import Lowered, NamedLine
from sim.describe.to_measure import FULLY_IN, FULLY_OUT, GAP, MOUNTS, STOP_HEIGHT, STOP_SQUEEZE, STRAP_LENGTH
from sim.integrate.damper_room import extremes
from sim.integrate.line_lengths import line_length

MOVED: tuple[tuple[str, str, float], ...] = (
    ("body.behind_front_axle", "body_forward", -1.0), ("body.above_ground", "body_up", 1.0), ("axle.ahead", "axle_forward", 1.0),
    ("axle.above", "axle_up", 1.0), ("lean_inward", "sideways", 1.0),
)  # fmt: skip
"""Keys of a damper's mounts, and what of its line moves with them."""

DECIDES = 0.2
"""Least share of the squares that makes a number worth measuring first; ours, no source."""


class RoomInDoubt(NamedTuple):
    """Doubt of the room at one end of a damper.

    Attributes
    ----------
    half : float
        How far off it may be [m], 95 times in 100.
    measure : tuple of str
        What decides that, in words, the first most.
    squeeze : float
        How far off it may be by the squeeze of the bump stop alone [m]; 0 where the stop's gap, which is worth more, is estimated too.
    """

    half: float = 0.0
    measure: tuple[str, ...] = ()
    squeeze: float = 0.0


def doubt_of_room(
    setup: Lowered, line: NamedLine, end: str, ride: float, jounce: float, estimates: Sequence[Estimate] | None = None,
) -> RoomInDoubt:  # fmt: skip
    """Return the doubt of the room at a damper's end.

    Each estimate is moved by itself to the ends of its own doubt, and the halves are added as squares (JCGM 100:2008, 5.1.2, from memory).

    Parameters
    ----------
    end : str
        "collapsed" or "extended".
    ride, jounce : float
        Where the axle stands, and where its travel ends there [m].
    estimates : sequence of Estimate, optional
        What was estimated, where the set-up itself does not have it, as a study moved its mounts.
    """
    halves = {
        one.path: (one.half, one.of)
        for one in (setup.vehicle.estimates if estimates is None else estimates)
        if one.half
    }
    place = f"{line.axle}.dampers.{line.name}."
    side = 0 if end == "collapsed" else 1
    squares: dict[str, float] = {}

    def add(words: str, moved: float) -> None:
        squares[words] = squares.get(words, 0.0) + moved**2

    # Its length as the truck stands was taped: then a mount that is elsewhere moves the other one with it.
    taped = any(of == OF_TAPED for path, (_, of) in halves.items() if path.startswith(place))

    def at_end(one: NamedLine, where: float) -> float:
        length = extremes(setup, one, where, where)[side]
        return length - line_length(setup, one, ride) if taped else length

    for key, field, sense in MOVED:
        half, of = halves.get(place + key, (0.0, ""))
        if of == OF_TAPED:
            # What the tape may be off goes into every length alike.
            add(MOUNTS, half)
        elif half:
            own = [
                line._replace(line=line.line._replace(**{field: getattr(line.line, field) + sense * d}))
                for d in (-half, half)
            ]
            add(MOUNTS, 0.5 * (at_end(own[1], jounce) - at_end(own[0], jounce)))
    own_length = halves.get(f"{place}length_{end}", (0.0, ""))[0]
    add(FULLY_IN if end == "collapsed" else FULLY_OUT, own_length)
    for path, words in _limits(setup, line.axle, end, halves):
        half = halves.get(path, (0.0, ""))[0]
        add(words, 0.5 * (at_end(line, jounce - half) - at_end(line, jounce + half)))
    whole = sum(squares.values())
    if not whole > 0.0:
        return RoomInDoubt()
    first = sorted((words for words in squares if squares[words] >= DECIDES * whole), key=lambda words: -squares[words])
    alone = 0.0 if squares.get(GAP) else sum(squares.get(words, 0.0) for words in (STOP_HEIGHT, STOP_SQUEEZE))
    return RoomInDoubt(sqrt(whole), tuple(first), sqrt(alone))


def _limits(setup: Lowered, axle: str, end: str, halves: dict[str, tuple[float, str]]) -> tuple[tuple[str, str], ...]:
    """Return the numbers of a stop or strap that move where travel ends, each with what to measure."""
    if end == "extended":
        return ((f"{axle}.strap.length", STRAP_LENGTH),)
    squeeze = f"{axle}.stop.squeeze"
    height = halves.get(squeeze, (0.0, ""))[1] != BY_HEIGHT
    return (f"{axle}.stop.gap", GAP), (squeeze, STOP_HEIGHT if height else STOP_SQUEEZE)
