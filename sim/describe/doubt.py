"""What is known of a number: `620 kg +- 15 kg`, `180 to 260 N/mm`, `about 9 kg m^2`.

The number in use stays a plain central value; what is known of it is kept beside it and asked for by whoever draws from it.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

INSIDE = 0.95
"""Share of a normal distribution that `+-` and `about` mean: so is an expanded uncertainty with its usual factor of two
(JCGM 100:2008, the guide to the expression of uncertainty in measurement, 6.2 and annex G)."""

PLUS_MINUS = re.compile(r"\s*(?:\+\s*/?\s*-|±)\s*")
ABOUT = re.compile(r"\s*about\b\s*", re.IGNORECASE)
TO = re.compile(r"\s+to\s+", re.IGNORECASE)


class Spread(NamedTuple):
    """Default spread of an estimate."""

    share: float  # of its size: within it 95 times in 100
    least: float  # [SI] never less than this, whatever its size
    why: str


NO_SOURCE = "common practice, no source"

GUESS = "a guess of ours, no source"
"""Of an estimate that not even the trade has a rule for: it is the first to be measured."""

ABOUT_SPREADS: dict[str, Spread] = {
    "mass": Spread(0.15, 0.0, f"a part that was looked up or guessed, not weighed ({NO_SOURCE})"),
    "length": Spread(0.05, 5e-3, f"read off a part that is fitted, or scaled from a picture ({NO_SOURCE})"),
    "force": Spread(0.40, 0.0, f"friction and gas force felt by hand ({NO_SOURCE})"),
    "rate": Spread(0.20, 0.0, f"a spring or a tyre of the same size on a like truck ({NO_SOURCE})"),
    "damping": Spread(
        0.25, 0.0, "tolerance of a workshop manual's test figures, 14 to 30 % (from memory, no source at hand)"
    ),
    "moment of inertia": Spread(0.20, 0.0, f"from mass and wheelbase by a rule of thumb ({NO_SOURCE})"),
    "angular rate": Spread(0.30, 0.0, f"wind-up of a like pack ({NO_SOURCE})"),
    "angular damping": Spread(0.50, 0.0, f"seldom measured at all ({NO_SOURCE})"),
    "torque": Spread(0.10, 0.0, f"of an engine that has run for years ({NO_SOURCE})"),
    "angle": Spread(0.10, 8.7e-3, f"read by eye, half a degree at least ({NO_SOURCE})"),
    "speed": Spread(0.10, 0.0, f"by an uncorrected speedometer ({NO_SOURCE})"),
    "time": Spread(0.20, 0.0, f"counted, not clocked ({NO_SOURCE})"),
    "pressure": Spread(0.15, 0.0, f"a charge that nobody has checked ({NO_SOURCE})"),
    "temperature": Spread(0.0, 10.0, f"felt, not measured ({NO_SOURCE})"),
}
"""Spread of `about` by kind of quantity, 95 times in 100."""

ANY_SPREAD = Spread(0.20, 0.0, NO_SOURCE)
"""Of a kind that has no line of its own."""


def about_spread(kind: str) -> Spread:
    """Return the default spread of an estimate of a kind of quantity."""
    return ABOUT_SPREADS.get(kind, ANY_SPREAD)


@dataclass(frozen=True)
class Doubt:
    """What is known of a number.

    Attributes
    ----------
    written : str
        As it stands in the file.
    shape : "normal" or "even"
        A normal distribution, or every value between the ends alike.
    low, high : float
        Ends [SI]: of a normal one it lies between them 95 times in 100, of an even one always.
    kind : str
        Kind of quantity, in words.
    si : str
        SI unit of the ends; empty for a bare number.
    """

    written: str
    shape: Literal["normal", "even"]
    low: float
    high: float
    kind: str
    si: str


class Estimated(float):
    """A number with what is known of it: a plain float wherever one computes with it."""

    doubt: Doubt

    def __new__(cls, value: float, doubt: Doubt) -> "Estimated":
        """Return the central value with its doubt."""
        one = super().__new__(cls, value)
        one.doubt = doubt
        return one

    def __reduce__(self) -> tuple[Any, ...]:
        """Return what a copy in another process is made of."""
        return Estimated, (float(self), self.doubt)


def is_doubtful(text: str) -> bool:
    """Tell whether a text says what is known of a number, rightly or not."""
    return bool(PLUS_MINUS.search(text) or TO.search(text) or ABOUT.match(text))


def without_doubt(text: str) -> str:
    """Return the first number of a text, with its unit, of one that says what is known of it."""
    pieces = [piece for part in TO.split(ABOUT.sub("", text, count=1)) for piece in PLUS_MINUS.split(part)]
    units = [unit[1] for unit in map(UNIT_OF.match, pieces) if unit and unit[1] not in ("", "%")]
    first = UNIT_OF.match(pieces[0])
    return f"{pieces[0]} {units[0]}" if first and not first[1] and units else pieces[0]


UNIT_OF = re.compile(r"\s*[+-]?[\d.,]+(?:[eE][+-]?\d+)?\s*(.*?)\s*$")


@dataclass(frozen=True)
class Reading:
    """How numbers of a kind are read.

    Attributes
    ----------
    kind, si : str
        As in `Doubt`.
    value : callable
        From a written number to SI; raises what is wrong with it.
    spread : callable
        From a number and its unit to a difference in SI, which has no zero of a scale to take off.
    refusal : callable
        From what is wrong to the error to raise.
    points : bool
        A per cent is a unit of this kind, a point of a share, and no share of the central value.
    """

    kind: str
    si: str
    value: Callable[[str], float]
    spread: Callable[[str], float]
    refusal: Callable[[str], Exception]
    points: bool = False

    def read(self, text: str) -> float:
        """Return a number that is written with its doubt: `Estimated`, or plain where its spread is nothing.

        Raises
        ------
        PydanticCustomError
            If it is not understood.
        """
        about = ABOUT.match(text)
        pieces = [piece.strip() for piece in PLUS_MINUS.split(text, maxsplit=1)]
        ends = TO.split(text.strip())
        if about:
            rest = text[about.end() :]
            if TO.search(rest) or ABOUT.match(rest):
                raise self.refusal("'about' goes with one value: write it alone or with '+-', or 'to' alone")
            pieces = [piece.strip() for piece in PLUS_MINUS.split(rest, maxsplit=1)]
            if len(pieces) == 2:  # an estimate that says its own spread
                return self._plus_minus(pieces[0], pieces[1], text)
            centre = self.value(rest)
            default = about_spread(self.kind)
            half = max(default.share * abs(centre), default.least)
            if half == 0.0:
                raise self.refusal("'about 0' says nothing of how far off it may be: write '0 to' a greatest value")
            return self._normal(centre, half, text)
        if len(ends) > 1:
            return self._even(ends, text)
        if len(pieces) != 2 or not pieces[0]:
            raise self.refusal("before '+-' the value is wanted, after it how far off it may be")
        return self._plus_minus(pieces[0], pieces[1], text)

    def _plus_minus(self, value: str, spread: str, text: str) -> float:
        if PLUS_MINUS.search(spread):
            raise self.refusal("'+-' is written once")
        if TO.search(spread) or TO.search(value):
            raise self.refusal("write '+-' or 'to', not both")
        number = re.match(r"\s*([+-]?)(?:\d|\.)", spread)
        if number is None:
            raise self.refusal("after '+-' a number is wanted: how far off the value may be, 95 times in 100")
        if number[1] == "-":
            raise self.refusal("after '+-' a number without a sign is wanted: it goes both ways")
        unit = UNIT_OF.match(spread)
        written = unit[1] if unit else ""
        if not re.match(r"\s*[+-]?(?:\d|\.)", value):
            raise self.refusal("before '+-' a number is wanted")
        own = UNIT_OF.match(value)
        if own and not own[1] and written and written != "%":  # `620 +- 15 kg`: the unit is of both
            value = f"{value} {written}"
        centre = self.value(value)
        if written == "%" and self.points and not (own and own[1]):
            raise self.refusal(
                "per cent of the share, or points of it? Write both as shares or both in %: '30 % +- 5 %'"
            )
        if written == "%" and not self.points:
            share = float(spread.strip().rstrip("%")) / 100.0
            if centre == 0.0:
                raise self.refusal("a per cent of 0 is nothing: write after '+-' how far off it may be, with its unit")
            half = share * abs(centre)
        else:
            # `620 kg +- 15`: what has no unit has that of the value
            own_unit = own[1] if own else ""
            half = abs(self.spread(spread if written else f"{spread} {own_unit}"))
        return self._normal(centre, half, text)

    def _even(self, ends: list[str], text: str) -> float:
        if len(ends) != 2 or any(PLUS_MINUS.search(end) for end in ends):
            raise self.refusal("a range is written with one 'to': its least value, 'to', its greatest")
        low, high = ends
        last = UNIT_OF.match(high)
        first = UNIT_OF.match(low)
        if first and not first[1] and last and last[1]:  # `180 to 260 N/mm`
            low = f"{low} {last[1]}"
        elif last and not last[1] and first and first[1]:  # `180 N/mm to 260`
            high = f"{high} {first[1]}"
        least, most = self.value(low), self.value(high)
        if least > most:
            raise self.refusal(
                f"the range runs backwards: write '{ends[1].strip()} to' first if that is its least value"
            )
        if least == most:
            return least
        return Estimated(0.5 * (least + most), Doubt(text.strip(), "even", least, most, self.kind, self.si))

    def _normal(self, centre: float, half: float, text: str) -> float:
        if half == 0.0:
            return centre
        return Estimated(centre, Doubt(text.strip(), "normal", centre - half, centre + half, self.kind, self.si))
