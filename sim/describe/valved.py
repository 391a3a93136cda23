"""A set-up that differs from a known one in the laws of its dampers alone: what moves of it, and all of it only when somebody asks."""

from collections.abc import Callable, Mapping
from functools import cached_property

from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.vehicle import Vehicle


class Valved:
    """A known set-up with some dampers that differ in their laws.

    Of thousands of such set-ups nobody looks at more than their laws: what stands around those is made once.

    Parameters
    ----------
    known : Vehicle
        The set-up that it is but for these dampers.
    sets : mapping of (str, str) to DamperSet
        By axle and name. Their push is that of the known ones, as a damper's push decides where the truck stands.
    whole : callable
        Puts all of it together.
    """

    def __init__(self, known: Vehicle, sets: Mapping[tuple[str, str], DamperSet], whole: Callable[[], Vehicle]) -> None:
        self.known, self.sets, self._whole = known, sets, whole

    @cached_property
    def vehicle(self) -> Vehicle:
        """All of it."""
        return self._whole()
