"""What every guide answers: the axle's path, what holds it in words, and the members by which it is drawn."""

from abc import abstractmethod
from typing import TYPE_CHECKING, ClassVar, Literal, NamedTuple

import numpy as np
import numpy.typing as npt

from sim.describe.description import Description
from sim.describe.parts.guides.series import Path
from sim.describe.parts.guides.wind_up import WindUp
from sim.describe.parts.places import BodyPoint, SprungPlace

Array = npt.NDArray[np.float64]


class End(NamedTuple):
    """A place that moves with the body or with the axle.

    On the body it is counted from the sprung centre of gravity in body axes, on the axle from the axle's centre in the
    housing's axes [m].
    """

    on: Literal["body", "axle"]
    forward: float
    up: float


class Member(NamedTuple):
    """A part of a guide as it is drawn.

    A bar runs from its first end to its last. A leaf has three ends: one eye, the seat at which the axle holds it, and
    the other eye; it leaves the seat as the housing is turned.
    """

    shape: Literal["bar", "leaf"]
    ends: tuple[End, ...]
    joints: tuple[int, ...] = ()  # which of the ends are joints


class Shackle(NamedTuple):
    """A longer shackle: by how much [m], and how far it turns the housing [rad], its front downwards."""

    longer: float
    turns: float


class GuideDescription(Description):
    """Base of the guides."""

    is_leaves: ClassVar[bool] = False
    """Whether the leaf packs are what guides the axle: a block on them is then between axle and guide."""

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

    @property
    def swings_about(self) -> BodyPoint | None:
        """The joint on the frame about which axle and guide turn as one; None where there is no such joint."""
        return None

    def shackle(self, up: float, sides: tuple[float, float] | None) -> Shackle | None:
        """Return the longer shackle that lifts the frame by `up` [m]; None of an axle that hangs on none.

        sides : how far its spring reaches ahead of and behind the axle [m], if that is known.
        """
        return None

    def members(self, place: SprungPlace, forward: float, up: float) -> tuple[Member, ...]:
        """Return the parts by which it is drawn in side view; none if there is nothing to see.

        forward, up : the axle's centre at zero jounce in body axes [m].
        """
        return ()
