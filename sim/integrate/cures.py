"""The one cure for each fault of a damper or a coil, in words: said so of a run, of a truck at rest, of an order and of a conversion."""

from math import ceil

from sim.describe.shown import show, show_short

DEAD_LENGTH = 0.100
"""Least length [m] that eyes, guide, piston and foot take of a damper besides its stroke twice; common practice, no source."""

ROUNDED = 0.010
"""Step [m] up to which it is said how far mounts must go apart: the rule for the dead length is no better known; ours, no source."""

EARLIER_STOP = "fit a bump stop that touches earlier (a smaller gap)"

COIL_SOLID = f"F{EARLIER_STOP[1:]}, or a coil of fewer turns of thinner, stronger wire."
"""A coil that goes solid, wire on wire: turns times wire is its solid length, and wire that is thinner for the same rate bears more."""

MORE_GAS = "Charge it higher, or move resistance from the piston to a foot valve."
"""A damper that runs out of gas pressure."""

TOO_LONG = (
    "A longer damper is no cure: this one is too long already, as it is solid before its bump stop is fully squeezed."
)
HANGS_LOWER = ", for this run; for the axle that hangs, jounce stand says what is long enough"
"""After a longer damper of an axle without a strap: how far it went, and not how far it drops on a jack."""
LOOSE_COIL = "A longer damper alone is no cure: a coil that is loose carries nothing of the axle."
NONE_SO_LONG = (
    "A longer damper is no cure as it is mounted now: none that is long enough is short enough for the bump stop. "
    f"Set the mounts further apart, or {EARLIER_STOP}, and one fits."
)
"""Why a damper that is pulled out is not cured by a longer one."""


def shorter(by: float, counted: str = "") -> str:
    """Return what cures a damper that is solid; `by`: so much shorter collapsed [m], `counted`: what that leaves room for."""
    return (
        f"Fit a damper at least {show(by, 'length')} shorter collapsed{counted}, set a mount so that the damper is "
        f"longer as the truck stands, or {EARLIER_STOP}."
    )


def none_to_order(why: str) -> str:
    """Return what cures a damper that is solid where none can be ordered that is not (`no_length`)."""
    return f"No other can be ordered as it is mounted now. {why}."


def strap(strapped: bool, where: str = "taut before the end of the damper") -> str:
    """Return the first cure of a damper that is pulled out, without a mark at its end; `strapped`: the axle has a strap, which is too long."""
    return f"Fit {'a shorter limit strap' if strapped else 'a limit strap'} that is {where}"


LEAST_DROOP = 0.040
"""Droop [m] below which a strap that spares the damper leaves hardly any (`describe.good`): then it is no cure."""


def pulled_out(strapped: bool, droop: float, more: str, where: str = "taut before the end of the damper") -> str:
    """Return what cures a damper that is pulled out: a strap, and what else, or where a strap has no droop to give, that alone.

    Parameters
    ----------
    strapped : bool
        Whether the axle has a strap, which is too long.
    droop : float
        What that strap leaves from ride height [m]; below nothing it is taut there.
    more : str
        The rest of the sentence: `longer`, or why a longer damper is no cure, after a full stop.
    where : str
        Where a strap must be taut.
    """
    if not strapped or droop >= LEAST_DROOP:
        return f"{strap(strapped, where)}{more}"
    left = f"leaves {show(droop, 'length')} of droop" if droop > 0.0 else "is taut"
    beginning = f"A shorter limit strap is no cure: the one that is fitted {left} as the truck stands."
    rest = more.removeprefix(", or a ")
    return f"{beginning} Fit a {rest}" if rest != more else f"{beginning}{more.removeprefix('.')}"


def longer(by: float, counted: str = "", then: str = "") -> str:
    """Return, as the rest of a sentence, that a longer damper cures it too: by so much extended [m]."""
    return f", or a damper at least {show(by, 'length')} longer extended{counted}{then}."


def no_length(collapsed: float, extended: float, strapped: bool) -> str:
    """Return why no damper is so short collapsed [m] and so long extended [m], and what to change; empty if one may be; nan: not known."""
    short = DEAD_LENGTH - (2.0 * collapsed - extended)
    if not short > 0.0:
        return ""
    return (
        f"No damper is {_short(collapsed)} collapsed with {_short(extended - collapsed)} of stroke, as eyes, guide and piston take "
        f"{_short(DEAD_LENGTH)} or more besides: set the mounts about {_about(short)} further apart, "
        f"{'shorten the strap' if strapped else 'fit a limit strap'}, or {EARLIER_STOP}"
    )


def _about(length: float) -> str:
    """Return a length that mounts are to be moved by, rounded up to what a rule of the trade is worth."""
    return show_short(ceil(length / ROUNDED - 1e-9) * ROUNDED, "length", (0, 1))


def _short(length: float) -> str:
    return show_short(length, "length", (0, 2))
