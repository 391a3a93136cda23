"""What cures a damper that meets an end of its axle's travel: one sentence for each end, wherever it is said."""

from dataclasses import replace
from math import inf, isfinite, isnan, nan
from typing import NamedTuple

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.shown import show
from sim.describe.to_measure import estimated
from sim.integrate import cures
from sim.integrate.cures import LEAST_DROOP
from sim.integrate.damper_room import LEAST_MARGIN, WITH_WIND_UP, extremes, room_in_bump, room_in_droop
from sim.integrate.line_lengths import line_length
from sim.kernel import layout as at
from sim.linear.droop import FREE_COIL, HANGING, STRAP, Droop, droop
from sim.lower.rest import Rest

HALVINGS = 40


class Taut(NamedTuple):
    """Where a limit strap must be taut for a damper: its length there eye to eye, and the droop that is left from ride [m]."""

    eye_to_eye: float
    droop: float

    @property
    def words(self) -> str:
        """Where it is taut, and what that leaves."""
        return (
            f"taut where the damper is {show(self.eye_to_eye, 'length')} eye to eye or before, which leaves "
            f"{show(self.droop, 'length')} of droop"
        )


def strap_for(setup: Lowered, standing: Rest, line: NamedLine, end: Droop) -> Taut | None:
    """Return where a limit strap must be taut that spares a damper: before its end by the usual margin, and before a coil is loose.

    None where the end of droop or the damper's extended length is not known, or where it would leave less than LEAST_DROOP.
    """
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    if part.length_extended is None or not end.place:
        return None
    index = ("front", "rear").index(line.axle)
    ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
    most = part.length_extended - LEAST_MARGIN

    def fits_at(jounce: float) -> bool:
        return extremes(setup, line, jounce, jounce)[1] <= most

    low = end.jounce
    if not fits_at(low):
        if not fits_at(ride):
            return None
        high = ride
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            low, high = (low, middle) if fits_at(middle) else (middle, high)
        low = high
    if ride - low < LEAST_DROOP:
        return None
    # As a tape finds it on the hanging axle, whose housing nothing winds up.
    return Taut(line_length(setup, line, low, wind_up), ride - low)


def no_length(least: float, most: float, place: str) -> str:
    """Return why no damper is so short and so long, and what to change; empty if one may be.

    Parameters
    ----------
    least, most : float
        Least and greatest length [m] eye to eye over the axle's travel; nan if not known.
    place : str
        Where droop ends (`Droop.place`).
    """
    return cures.no_length(least - LEAST_MARGIN, most + LEAST_MARGIN, place == STRAP)


def bump_cure(setup: Lowered, standing: Rest, line: NamedLine) -> str:
    """Return what cures a damper that is solid before its axle's bump stop is fully squeezed."""
    ride = _ride(standing, line)
    none = _no_other(setup, standing, line, droop(setup, standing, line.axle))
    if none:
        return cures.none_to_order(none)
    return cures.shorter(LEAST_MARGIN - room_in_bump(setup, line, ride), _counted(setup, line))


def droop_cure(setup: Lowered, standing: Rest, line: NamedLine, end: Droop) -> str:
    """Return what cures a damper that is fully out before droop ends, or that is all that holds its hanging axle.

    A strap first: it is the cheapest part, and the damper stays. A longer damper is offered only where one can be had, and helps.
    """
    taut = strap_for(setup, standing, line, end)
    strapped = end.place == STRAP
    # Of a strap that could be shorter it is said where; of one that has no droop to give, that.
    droop_left = _ride(standing, line) - end.jounce if strapped and taut is None else inf

    def cured(more: str) -> str:
        return cures.pulled_out(strapped, droop_left, more, *([taut.words] if taut else []))

    if room_in_bump(setup, line, _ride(standing, line)) < 0.0:
        return cured(f". {cures.TOO_LONG}")
    if end.place == FREE_COIL:
        return cured(f"{_clamped(setup, standing, line)}. {cures.LOOSE_COIL}")
    longer = _longer(setup, standing, line, end) if end.place else nan
    if isnan(longer) or longer <= 0.0:
        return cured(".")
    if _no_other(setup, standing, line, end):
        return cured(f". {cures.NONE_SO_LONG}")
    then = ": the axle then hangs on its springs" if end.place == HANGING else ""
    return cured(cures.longer(longer, _counted(setup, line), then))


def _clamped(setup: Lowered, standing: Rest, line: NamedLine) -> str:
    """Return, as the rest of a sentence, whether coils that are held at both seats would hold the hanging axle."""
    clamped = tuple(
        n._replace(line=n.line._replace(force_least=-1e9)) if n.role == "coil" and n.axle == line.axle else n
        for n in setup.lines
    )
    held = droop(replace(setup, lines=clamped), standing, line.axle)
    if held.place != HANGING:
        return ""
    other = ", or clamp the coils to both seats, so that they stay seated and pull"
    longer = _longer(setup, standing, line, held)
    if not longer > 0.0:
        return other
    if _no_other(setup, standing, line, held):
        return ""
    return f"{other}, with a damper at least {show(longer, 'length')} longer extended{_counted(setup, line)}"


def _no_other(setup: Lowered, standing: Rest, line: NamedLine, end: Droop) -> str:
    """Return why no damper is so long and so short as the travel to an end of droop asks; empty if one may be."""
    stop = dict(setup.vehicle.axles)[line.axle].stop
    if stop is None or not end.place or not isfinite(end.jounce):
        return ""
    ride, squeezed = _ride(standing, line), stop.gap + stop.squeeze
    least, most = extremes(setup, line, min(ride, end.jounce), max(ride, squeezed))
    text = no_length(least, most, end.place)
    if not text:
        return ""
    mounts = tuple(f"{line.axle}.dampers.{line.name}.{place}." for place in ("body", "axle"))
    guessed = any(one.path.startswith(mounts) and one.half for one in setup.vehicle.estimates)
    first = ". The places of the mounts are estimated and decide this: measure them first" if guessed else ""
    return f"{text}{first}"


def lowered_first(sentence: str) -> str:
    """Return a cure as the rest of a sentence."""
    return f"{sentence[:1].lower()}{sentence[1:]}"


def measured_first(setup: Lowered, line: NamedLine) -> str:
    """Return the first step where a bump stop's gap is an estimate: a damper is not ordered by it."""
    return (
        "Measure the gap to the stop first, which is estimated here. "
        if f"{line.axle}.stop.gap" in estimated(setup.vehicle)
        else ""
    )


def _ride(standing: Rest, line: NamedLine) -> float:
    return float(standing.state[at.JOUNCE + 2 * ("front", "rear").index(line.axle)])


def _counted(setup: Lowered, line: NamedLine) -> str:
    """Return what a length to order counts on, beside the room as the truck stands: of an axle whose housing winds up that too."""
    return WITH_WIND_UP.replace(", with", ", which leaves room with") if setup.axles[line.axle].wind_up_free else ""


def _longer(setup: Lowered, standing: Rest, line: NamedLine, end: Droop) -> float:
    """Return by how much a damper must be longer extended [m] to reach the end of droop with the usual margin; negative if it does."""
    return LEAST_MARGIN - room_in_droop(setup, line, _ride(standing, line), end.jounce)
