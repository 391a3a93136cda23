"""What a run says of itself: a flag for each place where it left what the model is valid for, with its few words and its sentence."""

from collections.abc import Iterable
from dataclasses import dataclass

IN_WORDS = {
    "damper_end": "{part} met its {end} end",
    "no_strap": "{part} holds the hanging axle, no strap does",
    "solid_first": "{part} is solid before its bump stop is squeezed",
    "cavitation": "{part} drew gas bubbles into its oil",
    "coil_bind": "{part} went solid",
    "stop_full": "{part} squeezed flat",
    "on_stops": "{part} stands on its bump stops",
    "on_straps": "{part} stands on taut limit straps",
    "wheels_up": "{part} in the air at rest",
    "not_run": "the run could not be made",
    "pitch_range": "body pitched further than the model holds",
    "jounce_range": "{part} left the range of its guide",
    "not_finite": "the run blew up",
    "numerical": "energy balance does not close",
    "hot": "{part} has too hot oil",
    "cold": "{part} has too cold oil",
}
"""What tables say of each kind of flag; its sentence has the rest. The order is that in which they count."""

IN_DOUBT = {"solid_first": "{part} may be solid before its bump stop is squeezed"}
"""The same of what estimates leave open."""

METAL = frozenset({"damper_end", "coil_bind", "stop_full", "cavitation", "on_stops", "on_straps"})
"""Kinds of flags that are events of a sound run: parts were asked for more than they bear, and the truck really does that. The others say
that the model does not hold."""


@dataclass(frozen=True)
class Flag:
    """Where and when a run left the model's validity, and what that means.

    Attributes
    ----------
    kind : str
        One of IN_WORDS; hot and cold are of hours of track, no_strap and solid_first are of a set-up at rest.
    time_s : float or None
        When it first happened [s]; None if it is of the run as a whole.
    part : str
        What it happened to, in words: "front damper 'main'", "body".
    sentence : str
        What happened, what it means and what to try.
    past_m : float
        How far a length went past its limit [m]; 0 for the others.
    end : str
        Which end of a damper: "collapsed" or "extended"; empty for the others.
    in_doubt : bool
        Whether estimates leave open that it is so.
    """

    kind: str
    time_s: float | None
    part: str
    sentence: str
    past_m: float = 0.0
    end: str = ""
    in_doubt: bool = False

    @property
    def words(self) -> str:
        """The fault in a few words, for a cell of a table."""
        words = IN_DOUBT.get(self.kind, IN_WORDS[self.kind]) if self.in_doubt else IN_WORDS[self.kind]
        return words.format(part=self.part, end=self.end or "stroke's")

    @property
    def is_event(self) -> bool:
        """Whether the run itself is sound (`METAL`)."""
        return self.kind in METAL

    @property
    def fault(self) -> tuple[str, str, str]:
        """What tells one fault of a truck from another: kind, part and end."""
        return self.kind, self.part, self.end


def in_words(flags: Iterable[Flag]) -> str:
    """Return what flags say in a few words each, every fault once; empty if there are none."""
    return "; ".join(dict.fromkeys(flag.words for flag in flags))


def once(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    """Return one flag of each fault, in the order in which they came: the one farthest past its limit."""
    known: dict[tuple[str, str, str], Flag] = {}
    for flag in flags:
        # Of equals the first: a kind without a length has its earliest.
        before = known.setdefault(flag.fault, flag)
        if flag.past_m > before.past_m:
            known[flag.fault] = flag
    return tuple(known.values())


WORSE = 5e-4
"""By how much [m] one of two faults must go further to be the worse one: below it no tape tells them apart."""


def alike(flags: Iterable[tuple[str, Flag]]) -> list[list[tuple[str, Flag]]]:
    """Return the flags of set-ups by fault, in the order in which they came; of each fault the one farthest past its limit first."""
    known: dict[tuple[str, str, str], list[tuple[str, Flag]]] = {}
    for name, flag in flags:
        known.setdefault(flag.fault, []).append((name, flag))
    groups = []
    for each in known.values():
        most = max(flag.past_m for _, flag in each)
        worst = next(one for one in each if one[1].past_m > most - WORSE)
        groups.append([worst, *(one for one in each if one is not worst)])
    return groups
