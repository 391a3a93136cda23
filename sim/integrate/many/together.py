"""Many set-ups put at the start of one run: where they stand, and the step that each needs, found sixteen at a time in the lanes of the kernel."""

from collections.abc import Sequence
from dataclasses import replace

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.single import Prepared, start_state, with_plan
from sim.lower.guard import fastest_rates, substeps
from sim.lower.lanes import in_lanes
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rests


def together(vehicles: Sequence[Vehicle], run: AnyRun) -> list[Prepared | JounceError]:
    """Return set-ups at the start of a run, as `sim.integrate.single.prepared` does for one; of one that cannot start, why.

    A set-up comes out the same to the last bit with whatever others it is prepared.
    """
    outcomes: dict[int, Prepared | JounceError] = {}
    lowered: dict[int, tuple[Lowered, Plan]] = {}
    for place, vehicle in enumerate(vehicles):
        try:
            lowered[place] = _lowered(vehicle, run)
        except JounceError as error:
            outcomes[place] = error
    places = list(lowered)
    for lot in in_lanes([setup for setup, _ in lowered.values()]):
        own = [places[number] for number in lot]
        started: list[tuple[int, Prepared]] = []
        for place, stood in zip(own, rests([lowered[place][0] for place in own]), strict=True):
            try:
                started.append((place, _started(*lowered[place], stood)))
            except JounceError as error:
                outcomes[place] = error
        setups, standing = [one.setup for _, one in started], [one.standing for _, one in started]
        rates = fastest_rates(setups, standing, STEP_S) if started else []
        for (place, one), rate in zip(started, rates, strict=True):
            try:
                outcomes[place] = replace(one, cut=substeps(rate, STEP_S))
            except JounceError as error:
                outcomes[place] = error
    return [outcomes[place] for place in range(len(vehicles))]


def _lowered(vehicle: Vehicle, run: AnyRun) -> tuple[Lowered, Plan]:
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    return with_plan(lowered, plan), plan


def _started(setup: Lowered, plan: Plan, stood: Rest | JounceError) -> Prepared:
    """Return a set-up at the start of a run, its step not cut yet."""
    if isinstance(stood, JounceError):
        raise stood
    return Prepared(setup, plan, stood, start_state(setup, plan, stood), 1)
