"""What the block kernel computes, counted by running its own text in plain Python on numbers that count.

Counted as operations: additions, subtractions, products, divisions and roots of numbers that differ from lane to lane, as
written. Not counted: comparisons, selects and signs, and whatever is the same for all lanes and comes once an evaluation. So a
compiler that finds common terms does less, and none does more. The branches taken are those of the course.
"""

from collections import Counter
from math import floor, sqrt
from typing import Any

import numpy as np

from sim.kernel import integrate
from sim.kernel import layout as at
from sim.kernel.stepping import PAST_STEPS
from sim.lower.packed import UNWATCHED, pack
from tests.benchmarks.plain import copied

PARTS = (
    "begin", "guide", "road_here", "axle_forces", "wheel_loads", "stop_forces", "all_lines", "accelerations", "giving_accelerations", "farthest",
    "predict", "correct",
)  # fmt: skip
KINDS = ("add", "multiply", "divide", "root", "compare")
FLOPS = KINDS[:4]


class Tally:
    """Counts by (part of the kernel, kind of operation)."""

    def __init__(self) -> None:
        self.counts: Counter[tuple[str, str]] = Counter()
        self.part = ""

    def within(self, function: Any) -> Any:
        """Return a part of the kernel that says so while it works; other functions as they are."""
        if function.__name__ not in PARTS:
            return function

        def called(*arguments: Any) -> Any:
            self.part = function.__name__
            return function(*arguments)

        return called


def counting(tally: Tally) -> type:
    """Return a kind of number that counts what is done with it."""

    class Number:
        __slots__ = ("value",)

        def __init__(self, value: float) -> None:
            self.value = value

        def __abs__(self) -> "Number":
            return Number(abs(self.value))

        def __neg__(self) -> "Number":
            return Number(-self.value)

        def __floor__(self) -> int:
            # In which cell of the road a wheel is: a place in memory from here on, nothing that is computed with.
            return floor(self.value)

    def value(of: Any) -> float:
        return of.value if isinstance(of, Number) else of

    def operation(kind: str, act: Any) -> Any:
        def do(a: Any, b: Any) -> Any:
            tally.counts[tally.part, kind] += 1
            made = act(value(a), value(b))
            return made if kind == "compare" else Number(made)

        return do

    for name, kind, act in (
        ("add", "add", lambda a, b: a + b),
        ("sub", "add", lambda a, b: a - b),
        ("mul", "multiply", lambda a, b: a * b),
        ("truediv", "divide", lambda a, b: a / b),
    ):
        do = operation(kind, act)
        setattr(Number, f"__{name}__", do)
        setattr(Number, f"__r{name}__", lambda b, a, do=do: do(a, b))
    for name in ("gt", "lt", "ge", "le", "eq"):
        setattr(Number, f"__{name}__", operation("compare", lambda a, b, name=f"__{name}__": getattr(float(a), name)(float(b))))  # fmt: skip
    return Number


def count(setup: Any, start: Any, given: Any, steps: int) -> dict[tuple[str, str], float]:
    """Return operations a lane and step by (part, kind), of the first so many steps of a block's run after its start."""
    whole, beginning = (_counts(setup, start, given, n) for n in (PAST_STEPS + steps, PAST_STEPS))
    return {key: (n - beginning[key]) / steps for key, n in whole.items()}


def _counts(setup: Any, start: Any, given: Any, steps: int) -> Counter[tuple[str, str]]:
    tally = Tally()
    number = counting(tally)

    def root(of: Any) -> Any:
        tally.counts[tally.part, "root"] += 1
        return number(sqrt(of.value))

    run = copied(integrate.loop(1, traced=False), {"sqrt": root}, tally.within, {})

    def numbers(array: Any) -> Any:
        made = np.empty(array.shape, object)
        for place in np.ndindex(array.shape):
            made[place] = number(float(array[place]))
        return made

    packed = pack([setup], 1)
    packed.memory[: at.STATES] = start
    memory = numbers(packed.memory)
    run(
        memory, numbers(packed.lines), packed.lines_front, packed.kinds, numbers(packed.knots), packed.first_group,
        given.road, given.nominal, given.speed_m_per_s, given.push, given.step_s, steps, 1, np.empty((0, 1, 1)),
        UNWATCHED, numbers(packed.bush_memory()),
    )  # fmt: skip
    return tally.counts
