"""What every damper law answers, whatever kind it is: force, ramps, words, claims, and what it brings of its damper."""

from abc import abstractmethod
from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, nan
from pathlib import Path
from typing import ClassVar, Literal, NamedTuple, Self

import numpy as np
import numpy.typing as npt

from sim.describe.description import Description
from sim.kernel.layout import Knot

Array = npt.NDArray[np.float64]
MoveWord = Literal["scale", "split", "value"]

NOWHERE: tuple[tuple[float, ...], tuple[float, ...]] = ((), ())
"""Opening speeds of a law without valves that open."""


@dataclass(frozen=True)
class Claims:
    """What a law says of itself; one test measures them all.

    Attributes
    ----------
    source : str
        Where its equation or its curve is from.
    odd : bool
        Compression and rebound give the same force.
    monotone : bool
        More speed never gives less force.
    memory : bool
        The force depends on what was before; only a law that the kernel steps may say so.
    fastest : float
        Speed [m/s], either way, up to which its ramps keep the bound.
    bound_share, bound_n : float
        Largest error of its ramps: a share of the force there, plus so much [N]. Both 0: exact.
    """

    source: str
    odd: bool = False
    monotone: bool = True
    memory: bool = False
    fastest: float = inf
    bound_share: float = 0.0
    bound_n: float = 0.0

    def allowed(self, force: Array) -> Array:
        """Return the largest error [N] of the ramps where the law's own force [N] is this."""
        return self.bound_share * np.abs(force) + self.bound_n


class Inside(NamedTuple):
    """What a law that is written in parts says of the damper that they are in; nan where it does not."""

    construction: str
    bore: float = nan  # [m]
    rod: float = nan  # [m]
    gas_pressure: float = nan  # [Pa] on the gauge, at the measured ride height
    oil_viscosity_40: float = nan  # [m²/s] at 40 °C


class Handle(NamedTuple):
    """A point by which a drawn force-speed curve is pulled: in compression both positive, in rebound both negative."""

    speed: float  # [m/s]
    force: float  # [N]


class DamperLaw(Description):
    """Base of the laws. A law says the first part; the second has answers for a law that is no more than a curve."""

    @abstractmethod
    def force(self, speed: npt.ArrayLike) -> Array:
        """Return the force [N] of one at closing speeds [m/s], without gas and seal; both positive in compression."""

    @abstractmethod
    def lower(self) -> tuple[Knot, ...]:
        """Return the ramps that the kernel adds up, within the bound that it claims."""

    @abstractmethod
    def scaled(self, factor: float) -> Self:
        """Return the same law with every force multiplied by `factor`, its knees where they were."""

    @abstractmethod
    def sided(self, compression: float, rebound: float) -> Self:
        """Return the law with the forces of its two sides multiplied; one whose sides hang together by the mean."""

    @property
    @abstractmethod
    def shape(self) -> str:
        """What its curve is written as, with the speeds of its knees: beside the curve's word (`curve_words`) on the order sheet."""

    @property
    @abstractmethod
    def claims(self) -> Claims:
        """What it says of itself."""

    moves: ClassVar[frozenset[MoveWord]] = frozenset(("scale", "split", "value"))
    """How tuning may move it: all forces, rebound against compression, a value that is written in it."""

    moved_instead: ClassVar[tuple[str, str]] = ("", "")
    """Of a law that refuses a move: why, and what to do; `{law}` stands for its path."""

    of_tube: ClassVar[Mapping[str, str]] = {}
    """Its places that are a measure of the tube (`bore`, `rod`), which follow when the tube moves, by that measure."""

    without_gas: ClassVar[Mapping[str, str]] = {}
    """Its places that let its gas out, with what is written there; none: the set's `gas_force` does."""

    def opens_at(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """Return the speeds [m/s] at which valves open, rising, in compression and in rebound: the knees of the curve."""
        return NOWHERE

    @property
    def handles(self) -> tuple[Handle, ...]:
        """Points by which its curve is pulled; none of one that follows from parts or from a test."""
        return ()

    def pulled(self, number: int, speed: float, force: float) -> dict[str, object]:
        """Return what is to be written in it, by its own keys, for one of its handles to stand at a speed [m/s] and a force [N]."""
        raise ValueError(f"a curve of the kind {type(self).__name__} has no points to pull")

    @property
    def inside(self) -> Inside | None:
        """What it knows of the damper around it; None of a curve, about which its set says that."""
        return None

    @property
    def gas(self) -> tuple[float, float | None] | None:
        """Push of the gas of one [N] and its rate [N/m]; a rate of None is that of the set, and None all of it."""
        # A curve is force by speed and no more: gas is for its set to say.
        return None

    @property
    def friction(self) -> float | None:
        """Seal friction of one, either way [N]; None: the set says it."""
        return None

    @property
    def points(self) -> tuple[Array, Array] | None:
        """Speeds [m/s] at which its own points in compression and rebound are; None of a law that is written as a formula."""
        return None

    @property
    def files(self) -> tuple[Path, ...]:
        """Files that it was read from."""
        return ()

    @property
    def notices(self) -> tuple[str, ...]:
        """How these files were understood, for people to look at before they trust a run."""
        return ()

    def at_temperature(self, kelvin: float) -> Self | None:
        """Return the law with its oil at a temperature [K]; None if it knows no oil."""
        return None

    def least_gas_pressure(self, speed: npt.ArrayLike) -> Array | None:
        """Return the least charge [Pa] on the gauge that speeds [m/s] ask for; None if it does not depend on one."""
        return None

    def starved(self, speed: Array) -> npt.NDArray[np.bool_]:
        """Return where, in a row of closing speeds [m/s], it loses force for want of gas pressure."""
        # Of a curve nothing is known about chambers, so nothing can be flagged.
        return np.zeros(speed.shape, bool)
