"""Where in its axle's travel a damper meets an end."""

from sim.describe.lowered import Lowered, NamedLine
from sim.integrate.line_lengths import line_length

HALVINGS = 50

AS_ESTIMATED = "as estimated"
"""Beside an end of travel that is a damper whose place or length nobody measured."""


def jounce_at(setup: Lowered, line: NamedLine, length: float, ride: float, far: float, wind_up: float) -> float | None:
    """Return the jounce [m] between ride and another one [m] at which a damper is just as long as given [m]; None if it is nowhere.

    Parameters
    ----------
    wind_up : float
        Of the housing [rad].
    """

    def past(jounce: float) -> float:
        return line_length(setup, line, jounce, wind_up) - length

    inside, outside = ride, far
    if past(inside) * past(outside) >= 0.0:
        return None
    side = past(inside)
    for _ in range(HALVINGS):
        middle = 0.5 * (inside + outside)
        inside, outside = (middle, outside) if past(middle) * side > 0.0 else (inside, middle)
    return inside


def is_known(guessed: frozenset[str], axle: str, name: str, end: str) -> bool:
    """Tell whether it was measured where a damper's end is, "collapsed" or "extended": its length there, and as the truck stands.

    `guessed`: paths of what nobody gave (`to_measure.estimated`).
    """
    place = f"{axle}.dampers.{name}."
    return not {place + "body.above_ground", f"{place}length_{end}"} & guessed
