"""What every guide answers: the axle's path, what holds it in words, and the lines by which it is drawn."""

from abc import abstractmethod
from collections.abc import Callable
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from sim.describe.description import Description
from sim.describe.parts.guides.series import Path
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import BodyPoint, SprungPlace

Array = npt.NDArray[np.float64]
Point = tuple[float, float]
"""A place in side view [m]: behind the front axle as measured, and above the ground."""


class Stroke(NamedTuple):
    """A line of a drawing, and where it has joints."""

    points: tuple[Point, ...]
    joints: tuple[Point, ...] = ()


class GuideDescription(Description):
    """Base of the guides."""

    if TYPE_CHECKING:
        kind: str  # each has a word of its own
        wind_up: WindUp

    @abstractmethod
    def path(self, jounce: Array, place: SprungPlace, forward: float, up: float) -> tuple[Array, Array]:
        """Return the centre's forward place [m] and the housing's rotation [rad], positive lowers its front: exactly.

        jounce : (n,) [m]; forward, up : the centre at zero jounce in body axes [m].
        """

    @abstractmethod
    def lower(self, place: SprungPlace, forward: float, up: float) -> Path:
        """Return the path for the kernel, within PATH_BOUND over the travel that the guide allows.

        Raises
        ------
        ValueError
            If it cannot guide the axle.
        """

    @property
    @abstractmethod
    def held(self) -> str:
        """How it holds the axle, in a few words: a line of the order sheet."""

    def outline(
        self, centre: Point, on_axle: Callable[[float, float], Point], on_body: Callable[[BodyPoint], Point]
    ) -> tuple[Stroke, ...]:
        """Return the lines by which it is drawn in side view as the truck stands; none if there is nothing to see.

        Parameters
        ----------
        centre : Point
            The axle's centre.
        on_axle : callable
            From metres ahead of and above the centre, in the housing's axes, to a place of the drawing.
        on_body : callable
            From a point of the body to a place of the drawing.
        """
        return ()
