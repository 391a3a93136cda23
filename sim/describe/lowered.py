"""A set-up in plain SI: the records that lowering fills, and that a run's plan reads."""

from dataclasses import dataclass
from typing import NamedTuple

from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.guides.series import Path
from sim.describe.parts.places import SprungPlace
from sim.describe.parts.vehicle import Vehicle
from sim.kernel import layout as at


class NamedLine(NamedTuple):
    """One line of the kernel with the part that it stands for."""

    axle: str
    role: str  # "coil", "damper" or "strap"
    name: str
    line: at.Line
    knots: tuple[at.Knot, ...]


@dataclass(frozen=True)
class Lowered:
    """One set-up in plain SI: what the kernel needs, and what it is called."""

    vehicle: Vehicle
    body: at.Body
    axles: dict[str, at.Axle]
    paths: dict[str, Path]
    lines: tuple[NamedLine, ...]  # the front axle's first
    points: dict[str, tuple[float, float]]  # forward and up of the centre of gravity [m]
    height: float  # of the centre of gravity above the ground the truck was measured on [m]
    place: SprungPlace

    @property
    def kin(self) -> Vehicle:
        """A vehicle that has all of its parts but the laws of its dampers, which may be others: one that is there already."""
        return self.vehicle

    def law(self, axle: str, damper: str) -> DamperLaw:
        """Return the law of a set of dampers."""
        law: DamperLaw = getattr(self.vehicle, axle).dampers[damper].valving
        return law
