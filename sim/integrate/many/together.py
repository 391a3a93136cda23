"""Many set-ups put at the start of one run, the step that each needs found sixteen at a time in the lanes of the kernel."""

from collections.abc import Sequence
from dataclasses import replace

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.single import Prepared, start_state, with_plan
from sim.lower.guard import fastest_rates, substeps
from sim.lower.lanes import in_lanes
from sim.lower.lowering import lower
from sim.lower.rest import Equations, rest


def together(vehicles: Sequence[Vehicle], run: AnyRun) -> list[Prepared | JounceError]:
    """Return set-ups at the start of a run, as `sim.integrate.single.prepared` does for one; of one that cannot start, why.

    A set-up comes out the same to the last bit with whatever others it is prepared.
    """
    outcomes: dict[int, Prepared | JounceError] = {}
    started: list[tuple[int, Prepared]] = []
    standing = Standing()
    for place, vehicle in enumerate(vehicles):
        try:
            # One by one: where it stands is as exact as its last digit, and single precision shows that in a sixth one.
            started.append((place, _started(vehicle, run, standing)))
        except JounceError as error:
            outcomes[place] = error
    # Of those that could be started: all lanes of a lot are set-ups that stand.
    for lot in in_lanes([one.setup for _, one in started]):
        own = [started[number] for number in lot]
        rates = fastest_rates([one.setup for _, one in own], [one.standing for _, one in own], STEP_S)
        for (place, one), rate in zip(own, rates, strict=True):
            try:
                outcomes[place] = replace(one, cut=substeps(rate, STEP_S))
            except JounceError as error:
                outcomes[place] = error
    return [outcomes[place] for place in range(len(vehicles))]


def _started(vehicle: Vehicle, run: AnyRun, standing: "Standing") -> Prepared:
    """Return a set-up at the start of a run, its step not cut yet."""
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    setup = with_plan(lowered, plan)
    stood = rest(setup, equations=standing.equations(setup))
    return Prepared(setup, plan, stood, start_state(setup, plan, stood), 1)


class Standing:
    """Arrays in which one set-up after the other is put at rest: to lay out new ones takes as long as to find where it stands."""

    def __init__(self) -> None:
        self._last: Equations | None = None

    def equations(self, setup: Lowered) -> Equations:
        """Return the equations of a set-up, in the arrays of the one before if it fits them."""
        if self._last is None or not self._last.take(setup):
            self._last = Equations(setup)
        return self._last
