"""Arithmetic of what a shop measures by hand: each method a function of SI numbers, and how far off its result may be."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import hypot, pi

import numpy as np

from sim.describe.estimates.as_measured import LIFTED_CROSSED
from sim.describe.estimates.centre_of_gravity import lifted_height
from sim.describe.estimates.tyre_rate import jacked_rate
from sim.errors import InputError

GRAVITY = 9.80665
"""Standard gravity [m/s²]: ISO 80000-3."""

READ_TO: Mapping[str, float] = {"mass": 2.5, "length": 1e-3, "time": 0.2, "angle": 3.5e-3}
"""How far off one reading is [SI], 95 times in 100: half of what a weighbridge rounds to on two weighings, a tape, a stop watch, an angle
gauge; common practice, no source. Another is written with the reading: 15.9 in +- 0.05 in."""

SHARE_TO: Mapping[str, float] = {"force": 0.02, "stiffness": 0.05}
"""The same as a share of the reading: a spring balance, a rate by weights; common practice, no source."""


@dataclass(frozen=True)
class Reading:
    """What a method asks for.

    Attributes
    ----------
    name : str
        Option of the command.
    quantity : str
        Its kind, a key of `describe.shown.SHOWN`.
    words : str
        What is read, in words.
    example : str
        As somebody would write it.
    otherwise : float or None
        Taken where it is not given [SI]; None: it must be.
    many : bool
        Several, with commas between.
    """

    name: str
    quantity: str
    words: str
    example: str
    otherwise: float | None = None
    many: bool = False


@dataclass(frozen=True)
class Method:
    """A way to measure a number by hand.

    Attributes
    ----------
    name : str
        Word of the command.
    gives : str
        What it gives, in words.
    quantity : str
        Kind of the result.
    key : str
        Where it goes in a vehicle's file.
    readings : tuple of Reading
    result : callable
        From the readings [SI], by name, to the result [SI].
    page : str
        Page of docs/measure.
    caution : str
        What can hurt somebody; empty if nothing can.
    """

    name: str
    gives: str
    quantity: str
    key: str
    readings: tuple[Reading, ...]
    result: Callable[[Mapping[str, float]], float]
    page: str
    caution: str = ""


def height_by_lifting(read: Mapping[str, float]) -> float:
    """Return the height of the whole truck's centre of gravity [m]: ISO 10392, axle lifting."""
    if not 0.0 < read["by"] < read["wheelbase"]:
        raise InputError("--by: an axle is lifted by more than nothing and less than the wheelbase")
    if read["other"] <= read["level"]:
        raise InputError(f"--level and --other: {LIFTED_CROSSED}")
    if read["level"] >= read["whole"]:
        raise InputError("--whole: the whole truck weighs more than one of its axles carries")
    return lifted_height(
        read["wheelbase"], read["by"], read["whole"], read["other"] - read["level"], read["front-centre"], read["rear-centre"]
    )  # fmt: skip


def tyre_rate(read: Mapping[str, float]) -> float:
    """Return the rate of one tyre [N/m] by two loads and the height of its axle under each."""
    rate = GRAVITY * jacked_rate((read["load-1"], read["load-2"]), (read["height-1"], read["height-2"]))
    return _positive(rate, "the axle must stand lower under the greater load: are the two heights crossed?")


def unsprung(read: Mapping[str, float]) -> float:
    """Return what moves with an axle [kg]: the axle and its wheels whole, of what reaches to the body half.

    Half of a leaf pack, an arm, a damper or a propshaft goes with each end that it is held at: common practice, no source; of an even rod
    that turns about its far end a third would (m L²/3 at L), and a leaf pack lies between.
    """
    return read["axle"] + 2.0 * read["wheel"] + 0.5 * read["shared"]


def friction_by_heights(read: Mapping[str, float]) -> float:
    """Return the friction of one pack [N]: half of the gap between coming to rest from below and from above, times its rate."""
    gap = abs(read["from-above"] - read["from-below"])
    return 0.5 * gap * read["rate"]


def rate_by_weights(read: Mapping[str, Sequence[float]]) -> float:
    """Return the rate of one spring [N/m]: the slope through all loads and heights, loading and unloading, by least squares."""
    loads, heights = np.asarray(read["loads"]), np.asarray(read["heights"])
    if len(loads) != len(heights) or len(loads) < 2 or np.ptp(heights) == 0.0:
        raise InputError("--loads and --heights: as many of one as of the other, two at least, and not all alike")
    slope = float(np.polyfit(loads * GRAVITY, heights, 1)[0])
    return _positive(
        -1.0 / slope if slope else 0.0, "the end must stand lower under the greater load: are the heights crossed?"
    )


def inertia_by_swing(read: Mapping[str, float]) -> float:
    """Return the pitch inertia about the centre of gravity [kg m²] of a body that swings about one end on the springs of the other.

    I = k L² T² / (4 pi²) - m d² : about the pivot the springs' rate k at a reach L turns against the whole inertia, and parallel axes take
    off the mass m at its distance d (any text on vibrations; exact for small swings without damping).
    """
    period = read["time"] / read["swings"]
    about_pivot = read["rate"] * read["reach"] ** 2 * (period / (2.0 * pi)) ** 2
    return _positive(
        about_pivot - read["mass"] * read["arm"] ** 2,
        "less than nothing is left once the mass at its arm is taken off: look at the rate (of both springs), the swings and the arm",
    )


def wind_up(read: Mapping[str, float]) -> float:
    """Return the rate against wind-up [N m/rad]: moment of a bar on the housing over the turn that a dial sees at its radius."""
    return _positive(read["force"] * read["bar"] / (read["dial"] / read["radius"]), "the dial must move")


def _positive(value: float, otherwise: str) -> float:
    if not value > 0.0:
        raise InputError(otherwise)
    return value


_JACK = "the truck stands on stands under its frame, never on a jack alone; chock the wheels that stay down; nobody under it while it is let down."

METHODS: tuple[Method, ...] = (
    Method(
        "cg-height", "height of the whole truck's centre of gravity above the ground", "length", "weighed.lifted",
        (
            Reading("wheelbase", "length", "wheelbase", "92 in"), Reading("by", "length", "how far one axle was lifted", "24 in"),
            Reading("whole", "mass", "weight of the whole truck", "4230 lb"), Reading("level", "mass", "load of the other axle, level", "2450 lb"),
            Reading("other", "mass", "load of the other axle, lifted", "2600 lb"),
            Reading("front-centre", "length", "height of the front axle's centre, level", "15.7 in"),
            Reading("rear-centre", "length", "height of the rear axle's centre, level", "15.9 in"),
        ),
        height_by_lifting, "centre-of-gravity.md",
        "lock the suspension with blocks between axle and frame, make the tyres hard, chock the wheels on the scale only, keep people clear of the "
        "raised end, and stop where it begins to roll.",
    ),
    Method(
        "tyre-rate", "rate of one tyre", "stiffness", "front.tyre.rate",
        (
            Reading("load-1", "mass", "first load of the wheel", "800 lb"), Reading("height-1", "length", "height of the axle's centre under it", "15.9 in"),
            Reading("load-2", "mass", "second load of the wheel", "1300 lb"), Reading("height-2", "length", "height of the axle's centre under it", "15.58 in"),
        ),
        tyre_rate, "tyre.md", _JACK,
    ),
    Method(
        "unsprung", "mass that moves with an axle", "mass", "front.housing.mass",
        (
            Reading("axle", "mass", "axle with brakes and hubs, without wheels", "330 lb"), Reading("wheel", "mass", "one wheel with its tyre", "85 lb"),
            Reading("shared", "mass", "springs, arms, links and propshaft of this end, all of them; half is counted", "90 lb", 0.0),
        ),
        unsprung, "unsprung-mass.md", _JACK,
    ),
    Method(
        "leaf-friction", "friction of one leaf pack", "force", "rear.springs.pack.friction",
        (
            Reading("rate", "stiffness", "rate of one pack", "230 lb/in"), Reading("from-below", "length", "hub to arch, pushed down and let up slowly", "21 1/8 in"),
            Reading("from-above", "length", "hub to arch, lifted and let down slowly", "21 5/8 in"),
        ),
        friction_by_heights, "leaf-friction.md", "keep feet and hands from under the truck while it is pushed and lifted.",
    ),
    Method(
        "spring-rate", "rate of one spring at the axle", "stiffness", "front.springs.coil.rate",
        (
            Reading("loads", "mass", "loads on one spring, loading and unloading", "0 lb, 200 lb, 400 lb, 200 lb, 0 lb", many=True),
            Reading("heights", "length", "height of the frame above the axle under each", "17.5 in, 16.4 in, 15.4 in, 16.5 in, 17.4 in", many=True),
        ),
        rate_by_weights, "spring-rate.md",  # type: ignore[arg-type]
        "a coil at ride height holds enough energy to kill: a press with a cage, or rated tools, and stand aside.",
    ),
    Method(
        "pitch-inertia", "pitch inertia of the body", "inertia", "body.pitch_inertia",
        (
            Reading("rate", "stiffness", "ride rate of the end that swings, both springs and tyres", "330 lb/in"),
            Reading("reach", "length", "from the pivot to that end's axle", "92 in"), Reading("swings", "number", "full swings counted", "10"),
            Reading("time", "time", "time they took", "8.1 s"), Reading("mass", "mass", "what swings", "3700 lb"),
            Reading("arm", "length", "from the pivot to its centre of gravity", "53 in"),
        ),
        inertia_by_swing, "pitch-inertia.md",
        "the pivot is a beam on two stands that cannot walk or tip, both under the frame; wheels of the other end stay on the ground, chocked; push by "
        "hand only, from the side, and nobody under it.",
    ),
    Method(
        "wind-up", "rate of an axle against wind-up", "angular_stiffness", "rear.guide.wind_up.rate",
        (
            Reading("force", "force", "pull at the end of the bar", "120 lbf"), Reading("bar", "length", "from the axle's centre to the pull", "60 in"),
            Reading("dial", "length", "how far the dial moved", "0.31 in"), Reading("radius", "length", "from the axle's centre to the dial", "12 in"),
        ),
        wind_up, "wind-up.md",
        "the bar is bolted to the axle, not to the pinion nut; wheels on the ground and chocked, brakes off; stand clear of the bar's swing: it lets "
        "go with what was put into it.",
    ),
)  # fmt: skip
"""The methods: `jounce measure NAME`."""


def found(
    method: Method, values: Mapping[str, Sequence[float]], halves: Mapping[str, Sequence[float]]
) -> tuple[float, float]:
    """Return a method's result and how far off it may be [SI], 95 times in 100.

    Parameters
    ----------
    values, halves : mapping of str to sequence of float
        Readings by name [SI], each with how far off it may be; one each but of those that are many.

    Raises
    ------
    InputError
        If the readings do not go together.

    Notes
    -----
    Each reading is moved by how far off it may be, alone; the changes of the result add up as roots of squares (JCGM 100:2008, 5.1).
    """

    def result(at: Mapping[str, Sequence[float]]) -> float:
        many = {one.name for one in method.readings if one.many}
        return method.result({name: list(of) if name in many else of[0] for name, of in at.items()})  # type: ignore[misc]

    value = result(values)
    changes = []
    for name, own in values.items():
        for number, half in enumerate(halves[name]):
            moved = list(own)
            moved[number] += half
            try:
                changes.append(result({**values, name: moved}) - value)
            except InputError:  # so far off, that it says nothing
                changes.append(value)
    return value, hypot(*changes)
