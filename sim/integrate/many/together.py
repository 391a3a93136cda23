"""Many set-ups put at the start of one run: standing and step of sixteen at a time, in the lanes of the kernel."""

from collections.abc import Sequence

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.single import Prepared, start_state, with_plan
from sim.lower.guard import fastest_rates, substeps
from sim.lower.lanes import in_lanes, rests
from sim.lower.lowering import lower
from sim.lower.rest import Rest


def together(vehicles: Sequence[Vehicle], run: AnyRun) -> list[Prepared | JounceError]:
    """Return set-ups at the start of a run, as `sim.integrate.single.prepared` does for one; of one that cannot start, why.

    A set-up comes out the same to the last bit with whatever others it is put at rest.
    """
    outcomes: dict[int, Prepared | JounceError] = {}
    planned: list[tuple[int, Lowered, Plan]] = []
    for place, vehicle in enumerate(vehicles):
        try:
            lowered = lower(vehicle)
            plan = run.plan(lowered)
            planned.append((place, with_plan(lowered, plan), plan))
        except JounceError as error:
            outcomes[place] = error
    for lot in in_lanes([setup for _, setup, _ in planned], [plan.boards_m for _, _, plan in planned]):
        outcomes |= _started([planned[number] for number in lot])
    return [outcomes[place] for place in range(len(vehicles))]


def _started(lot: Sequence[tuple[int, Lowered, Plan]]) -> dict[int, Prepared | JounceError]:
    """Return set-ups that are alike at the start of their run, by place."""
    outcomes: dict[int, Prepared | JounceError] = {}
    standing: list[tuple[int, Lowered, Plan, Rest]] = []
    for (place, setup, plan), rest in zip(lot, rests([setup for _, setup, _ in lot]), strict=True):
        if isinstance(rest, Rest):
            standing.append((place, setup, plan, rest))
        else:
            outcomes[place] = rest
    if not standing:
        return outcomes
    setups = [setup for _, setup, _, _ in standing]
    boards_m = standing[0][2].boards_m
    on_boards = rests(setups, boards_m) if any(boards_m) else [None] * len(setups)
    rates = fastest_rates(setups, [rest for *_, rest in standing], STEP_S)
    for (place, setup, plan, rest), raised, rate in zip(standing, on_boards, rates, strict=True):
        try:
            if isinstance(raised, JounceError):
                raise raised
            outcomes[place] = Prepared(
                setup, plan, rest, start_state(setup, plan, rest, raised), substeps(rate, STEP_S)
            )
        except JounceError as error:
            outcomes[place] = error
    return outcomes
