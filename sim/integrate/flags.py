"""Where a run left what the model is valid for, or did what breaks parts: one check, one function, and its place in a list.

A run of one set-up knows its signals over time; a lane of a block knows how far they went. Both are asked the same.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import chain
from math import inf

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.shown import show
from sim.describe.to_measure import estimated
from sim.errors import RunError
from sim.integrate import cures
from sim.integrate.damper_room import LEAST_MARGIN, room_in_bump
from sim.integrate.line_lengths import line_length, taut_m
from sim.integrate.status import Flag
from sim.integrate.traces import Energy
from sim.kernel import layout as at

Array = npt.NDArray[np.float64]

ENERGY_LIMIT = 1e-3
"""Energy residual, as a share of what went through the run, past which a run is flagged."""


@dataclass(frozen=True)
class Past:
    """A signal past a limit: how far at most, and when first, where that is known [s]."""

    by: float
    time_s: float | None

    @property
    def when(self) -> str:
        """The moment in words, with a blank before it; empty if it is not known."""
        return "" if self.time_s is None else f" at {self.time_s:.2f} s"


@dataclass(frozen=True)
class Span:
    """How far a signal went: its ends, or all of it with its times."""

    values: Array
    time_s: Array | None = None

    def above(self, limit: float) -> Past | None:
        """Return how far the signal went above a limit, None if it did not."""
        # Comparisons with nan are false: of a lane that blew up `blew_up` speaks alone.
        past = self.values > limit
        return Past(float(self.values.max()) - limit, self._first(past)) if past.any() else None

    def below(self, limit: float) -> Past | None:
        """Return how far the signal went below a limit, None if it did not."""
        past = self.values < limit
        return Past(limit - float(self.values.min()), self._first(past)) if past.any() else None

    def outside(self, low: float, high: float) -> Past | None:
        """Return how far the signal left a range, None if it did not."""
        past = (self.values < low) | (self.values > high)
        if not past.any():
            return None
        return Past(max(low - float(self.values.min()), float(self.values.max()) - high), self._first(past))

    def _first(self, past: npt.NDArray[np.bool_]) -> float | None:
        return None if self.time_s is None else float(self.time_s[int(np.argmax(past))])


@dataclass(frozen=True)
class Seen:
    """What is known of a run when its flags are asked for.

    Attributes
    ----------
    setup : Lowered
    lengths, speeds : tuple of Span
        Of every line of the set-up [m], [m/s].
    pitch : Span
        Of the body, nose down [rad].
    jounce : tuple of Span
        Of the front and the rear axle [m].
    standing_jounce_m : tuple of float
        Where both axles stand before the run [m].
    energy : Energy or None
        The balance; None where nobody kept it.
    """

    setup: Lowered
    lengths: tuple[Span, ...]
    speeds: tuple[Span, ...]
    pitch: Span
    jounce: tuple[Span, Span]
    standing_jounce_m: tuple[float, float]
    energy: Energy | None = None


def flags(seen: Seen) -> tuple[Flag, ...]:
    """Return every flag of a run, in the order of `CHECKS`."""
    return tuple(chain.from_iterable(check(seen) for check in CHECKS))


def are_unflagged(setups: Sequence[Lowered], widest: Seen) -> bool:
    """Tell that none of some set-ups has a flag; if in doubt it is not told.

    Parameters
    ----------
    setups : sequence of Lowered
        That share all but their dampers' laws.
    widest : Seen
        As far as the farthest of them went, with the first of them.
    """
    # Every check is of limits: what goes less far passes none that what goes farther does not pass.
    if flags(widest):
        return False
    dampers = [line for line in setups[0].lines if line.role == "damper"]
    for setup in setups[1:]:
        for line in dampers:
            law = setup.law(line.axle, line.name)
            # A law without a word of its own about gas has none to run out of.
            if type(law).starved is not DamperLaw.starved and flags(replace(widest, setup=setup)):
                return False
    return True


def refused(error: RunError) -> Flag:
    """Return the flag of a set-up that cannot stand or be run."""
    return Flag(error.kind, None, error.part, str(error))


def blew_up(time_s: float | None) -> Flag:
    """Return the flag of a run that ended in numbers that are none, at a time [s] if it is known."""
    if time_s is None:
        return Flag("not_finite", None, "body", "The run blew up; nothing of it can be trusted.")
    return Flag(
        "not_finite", time_s, "body",
        f"The run blew up at {time_s:.3f} s; nothing after it, and little before it, can be trusted.",
    )  # fmt: skip


def _lines(seen: Seen) -> Iterator[Flag]:
    """Say of each coil and damper whether it was taken past its own ends, or drew gas into its oil."""
    for line, length, speed in zip(seen.setup.lines, seen.lengths, seen.speeds, strict=True):
        # A strap's end is its length just taut, there to be met; a link has none.
        if line.role == "coil":
            yield from _coil_bind(line, length)
        elif line.role == "damper":
            yield from _collapsed(seen, line, length)
            yield from _pulled_out(seen, line, length)
            yield from _starved(seen, line, speed)


def _coil_bind(line: NamedLine, length: Span) -> Iterator[Flag]:
    # A coil's collapsed length is its solid one, wire on wire.
    past = length.below(line.line.length_collapsed)
    if past:
        part = f"{line.axle} spring '{line.name}'"
        yield Flag(
            "coil_bind", past.time_s, part,
            f"{part} went solid{past.when}. {cures.COIL_SOLID}",
            past.by,
        )  # fmt: skip


def _collapsed(seen: Seen, line: NamedLine, length: Span) -> Iterator[Flag]:
    past = length.below(line.line.length_collapsed)
    if past:
        part = f"{line.axle} damper '{line.name}'"
        none = _no_length(seen, line, length)
        cure = cures.none_to_order(none) if none else cures.shorter(past.by + LEAST_MARGIN)
        yield Flag(
            "damper_end", past.time_s, part,
            f"{part} hit its collapsed end{past.when} (by {show(past.by, 'length')}): on the truck that breaks mounts. {cure}",
            past.by, "collapsed",
        )  # fmt: skip


def _pulled_out(seen: Seen, line: NamedLine, length: Span) -> Iterator[Flag]:
    past = length.above(line.line.length_extended)
    if past:
        part = f"{line.axle} damper '{line.name}'"
        strapped = _strapped(seen, line)
        without = "" if strapped else "The axle is without a limit strap. "
        yield Flag(
            "damper_end", past.time_s, part,
            f"{part} was pulled to its extended end{past.when} (by {show(past.by, 'length')}): on the truck that tears mounts "
            f"and seals. {without}{cures.pulled_out(strapped, _droop(seen, line.axle), _or_longer(seen, line, length, past.by))}",
            past.by, "extended",
        )  # fmt: skip


def _or_longer(seen: Seen, line: NamedLine, length: Span, by: float) -> str:
    """Return, as the rest of the sentence on a strap, whether a longer damper is a cure too, or why not."""
    if room_in_bump(seen.setup, line, seen.standing_jounce_m[("front", "rear").index(line.axle)]) < 0.0:
        return f". {cures.TOO_LONG}"
    # Below its free length a loose coil carries nothing, so that the axle hangs from a damper of any length.
    if not (_strapped(seen, line) or _can_hang(seen.setup, line.axle)):
        return f". {cures.LOOSE_COIL}"
    if _no_length(seen, line, length):
        return f". {cures.NONE_SO_LONG}"
    # A run seldom takes an axle to where it hangs: a damper that is long enough for the one may be short for the other.
    return cures.longer(by + LEAST_MARGIN, "", "" if _strapped(seen, line) else cures.HANGS_LOWER)


def _no_length(seen: Seen, line: NamedLine, length: Span) -> str:
    """Return why no damper bears how far this one went, with the usual margin at both ends, and what to change; empty if one may."""
    least, most = float(length.values.min()), float(length.values.max())
    return cures.no_length(least - LEAST_MARGIN, most + LEAST_MARGIN, _strapped(seen, line))


def _strapped(seen: Seen, line: NamedLine) -> bool:
    return dict(seen.setup.kin.axles)[line.axle].strap is not None


def _droop(seen: Seen, axle: str) -> float:
    """Return what an axle's strap leaves it from where it stands [m]; inf without one."""
    taut = taut_m(seen.setup, axle)
    return inf if taut is None else seen.standing_jounce_m[("front", "rear").index(axle)] - taut


def _can_hang(setup: Lowered, axle: str) -> bool:
    """Tell whether the springs of an axle can hold it as it hangs: leaf packs, and coils that both seats hold."""
    coils = [line for line in setup.lines if line.axle == axle and line.role == "coil"]
    others = len(dict(setup.kin.axles)[axle].springs) > len(coils)
    return others or any(line.line.force_least < 0.0 for line in coils)


def _starved(seen: Seen, line: NamedLine, speed: Span) -> Iterator[Flag]:
    """Say whether a damper whose law knows its gas runs out of its pressure: past that the law does not hold."""
    # A run that blew up has its own flag; a law is not asked for numbers that are none.
    if not np.all(np.isfinite(speed.values)):
        return
    law = seen.setup.law(line.axle, line.name)
    where = law.starved(speed.values)
    # The fastest closing and the fastest opening ask for most.
    asked = law.least_gas_pressure(np.array([speed.values.max(), speed.values.min()])) if where.any() else None
    if asked is None:
        return
    # How far is a pressure, not a length: it stands in the sentence.
    past = Past(0.0, None if speed.time_s is None else float(speed.time_s[int(np.argmax(where))]))
    part = f"{line.axle} damper '{line.name}'"
    gas = "as it is" if law.inside is None else f"at {show(law.inside.gas_pressure, 'pressure')}"
    yield Flag(
        "cavitation", past.time_s, part,
        f"{part} draws gas bubbles into its oil{past.when} and loses force: its gas is {gas}, the run asks for "
        f"{show(float(np.max(asked)), 'pressure')}. {cures.MORE_GAS}",
    )  # fmt: skip


def _stops(seen: Seen) -> Iterator[Flag]:
    """Say whether an axle stands on its bump stops, or squeezed them past what they can give."""
    for (name, axle), jounce, standing in zip(seen.setup.kin.axles, seen.jounce, seen.standing_jounce_m, strict=True):
        if axle.stop is None:
            continue
        stood, solid = standing - axle.stop.gap, standing > axle.stop.gap + axle.stop.squeeze
        if stood > 0.0:  # before the run begins, so it has no time
            # Where the stop is solid too, a larger gap only lets metal meet elsewhere.
            other = (
                ""
                if solid
                else ", or fit bump stops that touch later (a larger gap) if dampers and tyres have the room"
            )
            yield Flag(
                "on_stops", None, f"{name} axle",
                f"The truck stands on its {name} bump stops, pressed in by {show(stood, 'length')}: it "
                f"has no bump travel left. Take load off, or fit stiffer or longer springs{other}.",
                stood,
            )  # fmt: skip
        # Past it rubber is solid: the model's curve goes on as if it still gave.
        past = jounce.above(axle.stop.gap + axle.stop.squeeze)
        if past:
            # What damps or slows a blow does nothing for a truck that stands there.
            cure = (
                "It stands so before it moves. Take load off, or fit stiffer or longer springs."
                if solid
                else "More damping in compression, stiffer springs, a bump stop that is stiffer or gives further (foam gives more of "
                "its height than rubber), or less speed."
            )
            yield Flag(
                "stop_full", past.time_s, f"{name} bump stops",
                f"The {name} bump stops were squeezed flat{past.when}, {show(past.by, 'length')} past the "
                f"{show(axle.stop.squeeze, 'length')} that they give: on the truck metal meets metal. {cure}",
                past.by,
            )  # fmt: skip


TAUT = 5e-4
"""Stretch [m] of a limit strap at rest below what a tape can tell."""


def _straps(seen: Seen) -> Iterator[Flag]:
    """Say whether an axle stands on taut limit straps: then they pull the truck down, and every bump ends in them."""
    for line in seen.setup.lines:
        if line.role != "strap":
            continue
        standing = seen.standing_jounce_m[("front", "rear").index(line.axle)]
        stretch = line_length(seen.setup, line, standing) - line.line.length_extended
        if stretch > TAUT:  # before the run begins, so it has no time
            path = f"{line.axle}.strap.length"
            first = "Its length is estimated: measure it first. " if path in estimated(seen.setup.vehicle) else ""
            yield Flag(
                "on_straps", None, f"{line.axle} axle",
                f"The {line.axle} limit straps are taut as the truck stands, stretched by {show(stretch, 'length')}: they hold it down, and it "
                f"has no droop travel left. {first}Fit longer straps (a larger {path}), or bring the frame down.",
                stretch,
            )  # fmt: skip


def _pitch(seen: Seen) -> Iterator[Flag]:
    # Past it the kernel's short sine and cosine lose their stated error.
    past = seen.pitch.outside(-at.PITCH_LIMIT, at.PITCH_LIMIT)
    if past:
        yield Flag(
            "pitch_range", past.time_s, "body",
            f"The body pitched past {np.degrees(at.PITCH_LIMIT):.0f} degrees{past.when}; the model does not hold there.",
        )  # fmt: skip


def _jounce(seen: Seen) -> Iterator[Flag]:
    for (name, path), jounce in zip(seen.setup.paths.items(), seen.jounce, strict=True):
        low, high = path.range_m
        # Outside of it no guide's path is what the kernel runs: a polynomial runs away, an arc is capped.
        past = jounce.outside(low, high)
        if past:
            yield Flag(
                "jounce_range", past.time_s, f"{name} axle",
                f"The {name} axle left its guide's range of {show(low, 'length')} to {show(high, 'length')}{past.when}; the model does "
                "not hold there. Give it bump stops and limit straps.",
            )  # fmt: skip


def _balance(seen: Seen) -> Iterator[Flag]:
    # Lanes of a block keep no energies.
    if seen.energy is not None and seen.energy.residual_share > ENERGY_LIMIT:
        yield Flag(
            "numerical", None, "energy balance",
            f"The energy balance is open by {100 * seen.energy.residual_share:.2f} % of what went through the run; do not "
            "trust its figures.",
        )  # fmt: skip


CHECKS: tuple[Callable[[Seen], Iterator[Flag]], ...] = (_lines, _stops, _straps, _pitch, _jounce, _balance)
"""What every run is asked; a new check is a function here and its place in this list.

Each is of limits that are passed or not: whoever goes less far has no flag that one who goes farther has not (`are_unflagged`).
"""
