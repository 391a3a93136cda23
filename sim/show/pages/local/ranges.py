"""In which range a number of a box mostly lies, in words."""

from sim.describe.estimates.fields import PAIR, Field
from sim.describe.estimates.truck import IN_INCHES, WRITTEN_IN, estimate_text, read_si
from sim.describe.shown import SHOWN, shown_units, system
from sim.show.pages.local.fields import Cell

PAIR_OF = {"lb": "mass", "in": "length"}
"""What two numbers of one box are, by the unit of their example."""


def usual_words(cell: Cell) -> str:
    """Return the range that a number mostly lies in, in words; empty if nobody knows one."""
    own, wants = cell.asked, cell.wants
    if own is not None and own.low is not None and own.high is not None and own.kind in SHOWN:
        return _between(own.low, own.high, own.kind, own.range_of, own.range_source)
    if wants is None or wants.usual is None or wants.quantity not in SHOWN_BY:
        return ""
    usual = wants.usual
    return _between(usual.low, usual.high, SHOWN_BY[wants.quantity], usual.of, usual.source)


def examples(cell: Cell) -> dict[str, str]:
    """Return how a box's number is written, by system; of what has no units, or is more than one number, both alike."""
    return written_like(cell.asked) if cell.asked is not None else {}


def written_like(own: Field) -> dict[str, str]:
    """Return how a number that a shop measures is written, by system; of what has no units "both", as it is the same in either."""
    inch = own.example
    quantity = PAIR_OF[inch.rpartition(" ")[2]] if own.kind == PAIR else own.kind
    if quantity not in WRITTEN_IN or not IN_INCHES.search(inch):
        return {"both": inch}
    metric = []
    for one in inch.split(", "):
        value = read_si(one, quantity)
        if value is None:
            return {"both": inch}
        number, _, unit = estimate_text(value, 0.0, quantity, inches=False).partition(" ")
        metric.append(f"{_short(float(number))} {unit}")
    return {"metric": ", ".join(metric), "inch": inch}


def example_shown(own: Field) -> str:
    """Return how a number is written in the units that are shown; where both are, in either of them."""
    like = written_like(own)
    return like.get(system()) or " or ".join(like.values())


def range_text(low: float, high: float, quantity: str) -> str:
    """Return a range [SI] with few digits, in the units that are shown: `71 to 169 in`."""
    ends = [
        f"{_short(low / divisor)} to {_short(high / divisor)} {unit}".strip()
        for divisor, unit, _ in shown_units(quantity)
    ]
    return f"{ends[0]} ({ends[1]})" if len(ends) > 1 else ends[0]


def _between(low: float, high: float, quantity: str, of: str, source: str) -> str:
    return f"Usually {range_text(low, high, quantity)} for {of} ({source})."


def _short(number: float) -> str:
    return f"{number:.3g}" if abs(number) < 1000.0 else f"{number:.0f}"


SHOWN_BY = {
    "m": "length", "kg": "mass", "N": "force", "m/s": "speed", "N/m": "stiffness", "N*s/m": "damping", "kg*m^2": "inertia",
    "N*m": "torque", "N*m/rad": "angular_stiffness", "rad/s": "turning", "Pa": "pressure", "s": "time",
}  # fmt: skip
"""Row of `SHOWN` in which quantities are shown, by their SI unit."""
