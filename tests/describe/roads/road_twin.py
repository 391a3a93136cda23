"""The rolling disc in slow obvious Python, and roads that only tests need."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.describe.roads.course import Course


def course(*items: dict[str, Any]) -> Course:
    return Course.model_validate({"kind": "course", "name": "test", "items": list(items)})


def flat(length: str) -> dict[str, Any]:
    return {"kind": "flat", "length": length}


@dataclass(frozen=True)
class Formula:
    """A road given by a formula."""

    length_m: float
    height: Callable[[np.ndarray], np.ndarray]
    places: tuple[float, ...] = field(default=())

    def edges(self) -> tuple[float, ...]:
        return self.places


def mirrored(road: Any) -> Formula:
    """The same road, driven from its end."""
    places = tuple(sorted(road.length_m - place for place in road.edges()))
    return Formula(road.length_m, lambda x: road.height(road.length_m - x), places)


def dilated(road: Any, centre: float, radius: float, spacing: float = 1e-5) -> float:
    """Height of the lowest point of a disc above `centre`: the highest that any point asks for."""
    edges = np.array(road.edges())
    beside = np.concatenate([edges - 1e-9, edges + 1e-9])
    reach = np.arange(-radius, radius, spacing) + centre
    points = np.concatenate([reach, beside[np.abs(beside - centre) <= radius]])
    lift = road.height(points) + np.sqrt(np.maximum(radius**2 - (points - centre) ** 2, 0.0))
    return float(np.max(lift)) - radius


def offset_curve(
    height: Callable[[float], float], slope: Callable[[float], float], x: float, radius: float
) -> tuple[float, float]:
    """Height and slope of the path of a disc on a road that curves less than the disc.

    The centre lies a radius away from the contact at right angles to the road, and its path is
    parallel to the road: the contact `s` is found by bisection.
    """
    low, high = x - radius, x + radius
    for _ in range(200):
        s = (low + high) / 2.0
        ahead = s - radius * slope(s) / np.hypot(1.0, slope(s)) - x
        low, high = (low, s) if ahead > 0.0 else (s, high)
    return height(s) + radius / np.hypot(1.0, slope(s)) - radius, slope(s)
