"""Level lines across a panel with their labels beside it: rest, stops, straps."""

from collections.abc import Sequence
from dataclasses import dataclass

from sim.show.plots.ends import labels_right
from sim.show.plots.page import Page
from sim.show.plots.panel import Panel

NEAR = 0.015
"""Lines nearer than this share of a panel's height are drawn as one: they could not be told apart."""

MOST_LINES = 3
"""Different heights of one kind of line that can be told apart in a panel."""


@dataclass(frozen=True)
class Level:
    """One kind of level line.

    Attributes
    ----------
    text : str
        What it is.
    at : sequence of float or None
        Where it is for each set-up [SI], in their order; None if it has none.
    dash : tuple of float
        Its dash pattern; empty for a solid line.
    """

    text: str
    at: Sequence[float | None]
    dash: tuple[float, ...] = ()


def levels(made: Page, panel: Panel, kinds: Sequence[Level], same: float) -> None:
    """Draw level lines and label them, with the numbers of the set-ups where these differ.

    Parameters
    ----------
    made : Page
        The page of the panel.
    panel : Panel
        Where they are drawn.
    kinds : sequence of Level
        What is drawn.
    same : float
        Lines nearer than this are one [SI].
    """
    labels = []
    for kind in kinds:
        # Kinds differ by dash alone: their colour would be taken for that of a set-up.
        style = {"linestyle": (0, kind.dash)} if kind.dash else {}
        for at, numbers in grouped(kind.at, same):
            panel.level(at, **style)
            # Which set-ups, only where the line is not everybody's.
            whose = f" ({','.join(map(str, sorted(numbers)))})"
            # All kinds are labelled together: labels of different kinds collide as well.
            labels.append((at, kind.text + ("" if len(numbers) == len(kind.at) else whose)))
    labels_right(made, panel, labels)


def grouped(where: Sequence[float | None], same: float) -> list[tuple[float, list[int]]]:
    """Return the different heights, each with the numbers of its set-ups from 1.

    Past MOST_LINES different ones, only the lowest and the highest.
    """
    known = sorted((at, number) for number, at in enumerate(where, start=1) if at is not None)
    groups: list[tuple[float, list[int]]] = []
    for at, number in known:
        # Measured from the group's first: a chain of small steps must not become one line.
        if groups and at - groups[-1][0] < same:
            groups[-1][1].append(number)
        else:
            groups.append((at, [number]))
    return groups if len(groups) <= MOST_LINES else [groups[0], groups[-1]]
