"""Good and bad: what the trade calls a frequency, a damping ratio, a travel, and where its usual range lies. One table.

Ranges are of the trade and have no one source; each entry says where it is from. They place a figure in words, and judge nothing:
what a truck is for decides.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import isfinite, pi

from sim.describe.doubt import NO_SOURCE
from sim.describe.shown import figure_of, show_short

DEGREE = pi / 180.0

AS_USUAL = "as usual"

LOADED = 0.15
"""Share by which an axle must carry more than on the truck as measured to be called loaded; ours, no source. With less its ride
frequency has a range between those of an empty and of a loaded axle; of travel and stroke as much less is asked for as the load takes, down
to the loaded range. So no word turns at a kilogram, and less travel never has a better word."""

GRIP = 0.8
"""Friction between tyre and dry ground at which wind-up is asked for; common practice, no source."""


@dataclass(frozen=True)
class Good:
    """What a figure is called.

    Attributes
    ----------
    label : str
        What is placed, with {axle} where it is of one.
    quantity : str
        As in `sim.describe.shown`.
    decimals : tuple of int
        Of each of its units in a sentence.
    edges : tuple of float
        Where one word ends and the next begins [SI], rising.
    words : tuple of str
        One more than edges; a range's own ends are usual.
    usual : tuple of float
        The usual range [SI].
    source : str
    """

    label: str
    quantity: str
    decimals: tuple[int, ...]
    edges: tuple[float, ...]
    words: tuple[str, ...]
    usual: tuple[float, float]
    source: str

    def called(self, axle: str, name: str = "") -> str:
        """Return what is placed, of an axle and of a damper set of that name."""
        # The rear axle pulls; of the front one, which need not be driven, its brakes alone are counted.
        return self.label.format(axle=axle, name=name, alone=", its brakes alone" if axle == "front" else "")

    def word(self, value: float) -> str:
        """Return what a value [SI] is called. At an edge the word is the one nearer to the usual range."""
        low, _ = self.usual
        below = tuple(edge for edge in self.edges if edge <= low)
        above = self.edges[len(below) :]
        return self.words[bisect_right(below, value) + bisect_left(above, value)]


def _good(
    label: str, quantity: str, decimals: tuple[int, ...], edges: tuple[float, ...], words: tuple[str, ...],
    usual: tuple[float, float], source: str,
) -> Good:  # fmt: skip
    return Good(label, quantity, decimals, edges, words, usual, f"{source}; {NO_SOURCE}")


FREQUENCY = "1.0 to 1.5 Hz for comfort, working pickups to 2.3 Hz empty and 1.6 Hz loaded (trade articles, from memory)"
DAMPING = "0.2 to 0.4 on the road, 0.65 to 0.7 for sport (textbooks and trade articles, from memory)"
HOP = "axles of trucks hop at 8 to 12 Hz"
TRAVEL = "some 75 to 150 mm (3 to 6 in) of bump, as much droop or half as much again"
WING = "room for mud and for a tyre that bulges"

GOOD: Mapping[str, Good] = {
    "body_frequency": _good(
        "{axle} ride frequency", "frequency", (1,), (1.0, 1.5, 2.3), ("soft", "comfortable", "firm", "hard"), (1.0, 2.3), FREQUENCY
    ),
    "frequency_ratio": _good(
        "rear over front ride frequency", "number", (2,), (0.95, 1.45),
        ("slower than the front: it pitches on after a bump", AS_USUAL, "far from the front's: ends swing out of step after a bump"),
        (0.95, 1.45), "the rear some 10 to 30 % quicker than the front, M. Olley's rules by T. D. Gillespie (1992), from memory; wider here",
    ),
    "body_damping": _good(
        "{axle} damping ratio", "number", (2,), (0.1, 0.2, 0.4, 0.7),
        ("hardly damped", "lightly damped", AS_USUAL, "firmly damped", "stiff"), (0.2, 0.4), DAMPING,
    ),
    "hop_frequency": _good("{axle} hop", "frequency", (1,), (8.0, 12.0), ("slow", AS_USUAL, "quick"), (8.0, 12.0), HOP),
    "hop_damping": _good(
        "{axle} hop, damping ratio", "number", (2,), (0.1, 0.15, 0.4),
        ("hardly damped", "lightly damped", AS_USUAL, "firmly damped"), (0.15, 0.4), "from quarter-cars of textbooks, from memory",
    ),
    "bump_left": _good(
        "{axle} bump travel left", "length", (0, 1), (0.025, 0.075, 0.15),
        ("nearly on its bump stops", "little", AS_USUAL, "long"), (0.075, 0.15), TRAVEL,
    ),
    "wing": _good(
        "{axle} tyre to wing at full bump, straight ahead", "length", (0, 1), (0.0, 0.02, 0.3), ("meets the wing", "little", AS_USUAL, "ample"), (0.02, 0.3), WING,
    ),
    "droop_left": _good(
        "{axle} droop travel left", "length", (0, 1), (0.04, 0.075, 0.225),
        ("hardly any", "little", AS_USUAL, "long"), (0.075, 0.225), TRAVEL,
    ),
    "stroke_left": _good(
        "{axle} damper '{name}', stroke left inwards", "percent", (0,), (0.2, 0.35, 0.6),
        ("nearly solid", "little", AS_USUAL, "rides far out"), (0.35, 0.6),
        "half and half in the desert, 40/60 on trails",
    ),
    "motion_ratio": _good(
        "{axle} damper '{name}', motion ratio", "number", (2,), (0.7, 1.05), ("low", AS_USUAL, "high"), (0.7, 1.05),
        "near 1 upright on the axle, 0.7 leaned 45 deg",
    ),
    "wind_up": _good(
        f"{{axle}} steady wind-up at the limit of grip ({GRIP:g}, load shifted{{alone}})", "angle", (1,), (5.0 * DEGREE, 10.0 * DEGREE, 15.0 * DEGREE),
        ("little", AS_USUAL, "much", "very much"), (0.0, 10.0 * DEGREE), "5 to 10 deg quoted, up to 15 deg reported, of trucks that pull, so with the load that shifts",
    ),
}  # fmt: skip
"""By name. An empty truck, or one as it was measured."""

GOOD_LOADED: Mapping[str, Good] = {
    "body_frequency": _good(
        "{axle} ride frequency", "frequency", (1,), (1.0, 1.3, 1.6), ("soft", "comfortable", "firm", "hard"), (1.0, 1.6), FREQUENCY
    ),
    "bump_left": _good(
        "{axle} bump travel left", "length", (0, 1), (0.025, 0.05, 0.15),
        ("nearly on its bump stops", "little", AS_USUAL, "long"), (0.05, 0.15), TRAVEL,
    ),
    "stroke_left": _good(
        "{axle} damper '{name}', stroke left inwards", "percent", (0,), (0.15, 0.25, 0.55),
        ("nearly solid", "little", AS_USUAL, "rides far out"), (0.25, 0.55), "less than half of it left with the load aboard",
    ),
}  # fmt: skip
"""What is another for an axle that carries a load; the others are the same."""


@dataclass(frozen=True)
class Placed:
    """One figure of a set-up, placed.

    Attributes
    ----------
    kind : str
        Its name in GOOD.
    good : Good
    axle, name : str
        Of what it is; `name` of a damper set, else empty.
    value : float
        In SI.
    loaded : float
        How much of a load its axle carries, from 0 to 1: of what makes it a loaded one.
    note : str
        What is said in place of the word where the figure rests on what nobody measured; empty where it does not.
    least, most : float
        How low and how high the figure may be by what is estimated, as shares of it; 1 where that is not known, or nothing is.
    measure : str
        What decides that, to be measured.
    """

    kind: str
    good: Good
    axle: str
    name: str
    value: float
    loaded: float = 0.0
    note: str = ""
    least: float = 1.0
    most: float = 1.0
    measure: str = ""

    @property
    def label(self) -> str:
        """What it is of, in words."""
        return self.good.called(self.axle, self.name)

    @property
    def word(self) -> str:
        """What it is called; of what rests on an estimate, what to measure."""
        word = self.good.word(self.judged)
        if self.may_be:
            return self.note or f"may be {word}, as estimated: measure {self.measure}"
        return self.note or word

    @property
    def judged(self) -> float:
        """The value [SI] that is judged: an end of the usual range where it reads as that end, as no tape tells them apart.

        By the first of both units: the other one, of the same length, may be rounded the other way.
        """
        own = _short(self.value, self.good, self.good.decimals).partition(" (")[0]
        for end in self.good.usual:
            if own == _short(end, self.good, self.good.decimals).partition(" (")[0]:
                return end
        return self.value

    @property
    def is_usual(self) -> bool:
        """Whether it lies within the usual range, its ends included, by the digits that are shown."""
        low, high = self.good.usual
        return low <= self.judged <= high

    @property
    def may_be(self) -> bool:
        """Whether it is out of the usual by its middle value alone, and within it as far as estimates leave open."""
        low, high = self.good.usual
        # By the figure as it is shown: of two set-ups that read alike, one is not sure where the other may be.
        seen = (
            self.value * float(self.figure.split()[0]) / figure_of(self.value, self.good.quantity)
            if self.value
            else 0.0
        )
        # Of a figure without doubt there is nothing to measure.
        return bool(self.measure) and not self.is_usual and seen * self.least <= high and seen * self.most >= low

    @property
    def figure(self) -> str:
        """The value with its units, to the digits by which it is judged."""
        return _short(self.value, self.good, self.good.decimals)

    @property
    def said(self) -> str:
        """Figure, word and usual range: `1.6 Hz: firm, usual 1.0 to 2.3 Hz`."""
        text = between(self.good)
        return (
            f"{self.figure}: {AS_USUAL} ({text})"
            if self.word == AS_USUAL
            else f"{self.figure}: {self.word}, usual {text}"
        )

    @property
    def usual(self) -> str:
        """The usual range in words: `usual 1.0 to 2.3 Hz`."""
        return f"usual {between(self.good)}"

    @property
    def sentence(self) -> str:
        """All of it: `front ride frequency 1.6 Hz: firm, usual 1.0 to 2.3 Hz`."""
        return f"{self.label}{self.with_load} {self.said}"

    @property
    def with_load(self) -> str:
        """In brackets, that its axle is loaded, or in part where that has a range of its own; empty if it is not."""
        if self.loaded >= 1.0:
            return " (loaded)"
        return " (part loaded)" if self.loaded > 0.0 and self.kind in GOOD_LOADED else ""


def _short(value: float, good: Good, decimals: tuple[int, ...]) -> str:
    return show_short(value, good.quantity, decimals).strip()


def between(good: Good) -> str:
    """Return a usual range with its units; only its upper end where it begins at nothing."""
    low, high = (_short(end, good, good.decimals) for end in good.usual)
    if good.usual[0] <= 0.0:
        return f"up to {high}"
    if "(" not in low:
        number, _, unit = low.partition(" ")
        return f"{number} to {high}" if high.endswith(unit) else f"{low} to {high}"
    # Both systems: each range with its own unit.
    (a, b), (c, d) = (text.rstrip(")").split(" (") for text in (low, high))
    return f"{a.split()[0]} to {c} ({b.split()[0]} to {d})"


def good_for(name: str, loaded: float = 0.0) -> Good:
    """Return the range of a figure of an axle that carries so much of a load, from 0 to 1."""
    empty, full = GOOD[name], GOOD_LOADED.get(name)
    if full is None or loaded <= 0.0:
        return empty
    if loaded >= 1.0:
        return full

    def between_both(one: float, other: float) -> float:
        return one + loaded * (other - one)

    edges = tuple(map(between_both, empty.edges, full.edges))
    low, high = map(between_both, empty.usual, full.usual)
    return replace(empty, edges=edges, usual=(low, high))


def placed(
    name: str, value: float, axle: str, loaded: float = 0.0, damper: str = "", note: str = "", doubt: tuple[float, float, str] = (1.0, 1.0, ""),
) -> Placed | None:  # fmt: skip
    """Return a figure placed among what is usual; None if it is not known."""
    if not isfinite(value):
        return None
    return Placed(name, good_for(name, loaded), axle, damper, float(value), loaded, note, *doubt)
