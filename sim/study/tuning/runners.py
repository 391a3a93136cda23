"""How the set-ups of a case are run: side by side in blocks, one by one if they drive by their own wheels, by a lap if hours."""

from collections.abc import Sequence
from typing import Protocol, cast

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun, Track
from sim.describe.valved import Valved
from sim.errors import JounceError
from sim.integrate.driven import driven_once
from sim.integrate.many.blocks import Block
from sim.integrate.many.ready import whole
from sim.integrate.single import prepared
from sim.lower.packed import PrecisionName
from sim.machine.jit import BLOCK
from sim.measure import measures_for
from sim.measure.measure import Measure
from sim.measure.rest_band import RestBand, within
from sim.study.many import Outcome, not_run, outcome_of
from sim.study.many import Track as Blocks
from sim.study.tuning.warming import Warming


class Runner(Protocol):
    """Runs set-ups through one run.

    Attributes
    ----------
    at_once : int
        How many set-ups make one part of the work.
    """

    at_once: int

    @property
    def air(self) -> float | None:
        """Temperature [K] from which warming is counted; None where nothing warms."""

    def measures(self, vehicle: Vehicle) -> tuple[Measure, ...]:
        """Return what can be asked of this run.

        Raises
        ------
        RunError
            If the set-up cannot be run.
        """

    def outcomes(self, vehicles: Sequence[Vehicle | Valved]) -> list[Outcome]:
        """Return what came of set-ups; one that cannot be run says why."""


def runner(
    run: AnyRun, measures: Sequence[str], precision: PrecisionName = "double", band: RestBand | None = None
) -> Runner:
    """Return what runs set-ups through a run and takes these measures; what goes side by side, in this precision.

    All count as at rest within `band`, that of the set-up that the search begins with; without one each by its own largest swing.
    """
    # By the way it is run, never by its kind: a new run can then be tuned without a line here.
    if run.way == "hours":
        return Warming(cast(Track, run), measures)
    if run.way == "driven":
        return Driving(run, measures, band)
    return SideBySide(run, measures, precision, band)


class SideBySide:
    """Courses, pushes, drops and releases: sixteen set-ups in one go."""

    at_once = BLOCK  # a whole block, so that no lane stays empty
    air = None

    def __init__(
        self, run: AnyRun, measures: Sequence[str], precision: PrecisionName, band: RestBand | None = None
    ) -> None:
        self.run = run
        self._blocks = Blocks(run, measures, precision=precision, band=band)

    def measures(self, vehicle: Vehicle) -> tuple[Measure, ...]:
        """Return what can be asked of this run."""
        # A block that is laid out but not run knows what it could measure.
        return measures_for(Block([prepared(vehicle, self.run)], self.run, None).whole())

    def outcomes(self, vehicles: Sequence[Vehicle | Valved]) -> list[Outcome]:
        """Return what came of set-ups."""
        return self._blocks.outcomes(vehicles)


class Driving:
    """Launches and stops: their kernel has one lane, so one set-up after the other, in small parts that spread evenly."""

    at_once = 4
    air = None

    def __init__(self, run: AnyRun, measures: Sequence[str], band: RestBand | None = None) -> None:
        self.run, self.wanted, self.band = run, tuple(measures), band

    def measures(self, vehicle: Vehicle) -> tuple[Measure, ...]:
        """Return what can be asked of this run, which must be driven to know it."""
        return measures_for(driven_once(vehicle, self.run))

    def outcomes(self, vehicles: Sequence[Vehicle | Valved]) -> list[Outcome]:
        """Return what came of set-ups."""
        return [self._outcome(whole(vehicle)) for vehicle in vehicles]

    def _outcome(self, vehicle: Vehicle) -> Outcome:
        try:
            return outcome_of(within(driven_once(vehicle, self.run), self.band), self.wanted)
        # A trial that cannot be run is an answer too, the worst: the search goes on.
        except JounceError as error:
            return not_run(error)
