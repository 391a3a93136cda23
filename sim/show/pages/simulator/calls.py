"""A run of one set-up as what the kernel is given, by the names of its arguments."""

import inspect
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from sim.describe.lowered import Lowered
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.plan import Plan
from sim.integrate.driven import substeps_of
from sim.integrate.given import STEP_S, Input, sampled
from sim.integrate.single import arguments, start_state, with_plan
from sim.kernel import layout as at
from sim.kernel.driven import run_driven
from sim.kernel.integrate import run_single
from sim.lower.guard import fastest_rate, substeps
from sim.lower.lowering import lower
from sim.lower.packed import pack
from sim.lower.rest import Rest, rest
from sim.lower.wheeled import Table, driven_arguments, road_table, start_of, wheeled
from sim.machine.jit import DRIVEN, ONE

RUNS = {ONE: run_single, DRIVEN: run_driven}
"""The kernel's runs that a page has, by the names under which it has them."""


@dataclass(frozen=True)
class Call:
    """One call of the kernel.

    Attributes
    ----------
    run : str
        Which of RUNS.
    given : dict
        Its arguments by name; `out`, to which it writes, has the shape of all outputs (outputs, channels).
    setup : Lowered
    plan : Plan
    standing : Rest
        Where the set-up stands on level ground.
    """

    run: str
    given: dict[str, Any]
    setup: Lowered
    plan: Plan
    standing: Rest


@dataclass(frozen=True)
class Ready:
    """A set-up where its run begins.

    Attributes
    ----------
    parts : callable
        Into how many an output step is to be cut, with every damper's force times a factor.
    call : callable
        The call with so many.
    """

    parts: Callable[[float], int]
    call: Callable[[int], Call]


def call_of(vehicle: Vehicle, run: AnyRun, parts: int | None = None) -> Call:
    """Return the call that runs a set-up once, in `parts` of an output step; left out: as many as it needs.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    ready = Setup(vehicle).ready(run)
    return ready.call(parts or ready.parts(1.0))


class Setup:
    """A set-up that is put where runs begin; where it stands is worked out once for those that ask the same of its body."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.lowered = lower(vehicle)
        self._known: dict[at.Body, Rest] = {}
        self._ready: dict[int, tuple[AnyRun, Ready]] = {}

    def ready(self, run: AnyRun) -> Ready:
        """Put it where a run begins.

        Raises
        ------
        RunError
            If it cannot stand or the run does not fit it.
        """
        # With the run itself, so that its id stays its own.
        if id(run) not in self._ready:
            self._ready[id(run)] = run, self._put(run)
        return self._ready[id(run)][1]

    def _put(self, run: AnyRun) -> Ready:
        plan = run.plan(self.lowered)
        if plan.driving is not None:
            return _driven(self.lowered, plan, self._standing(self.lowered))
        lowered = with_plan(self.lowered, plan)
        return _held(lowered, plan, self._standing(lowered))

    def _standing(self, lowered: Lowered) -> Rest:
        if lowered.body not in self._known:
            self._known[lowered.body] = rest(lowered)
        return self._known[lowered.body]


def _held(lowered: Lowered, plan: Plan, standing: Rest) -> Ready:
    start = start_state(lowered, plan, standing)

    def parts(factor: float) -> int:
        return substeps(fastest_rate(_stiffer(lowered, factor), standing), STEP_S)

    def call(cut: int) -> Call:
        return _call(ONE, arguments(pack([lowered], 1), start, _given(lowered, plan, cut)), lowered, plan, standing)

    return Ready(parts, call)


def _given(lowered: Lowered, plan: Plan, cut: int) -> Input:
    """Return road and push, the very same for set-ups that meet the same."""
    # A keeper of speed has its gain from the truck's mass, which is in another array.
    key = (replace(plan, keeper_gain=0.0), cut, _felt(lowered))
    given: Input = _kept(key, lambda: sampled(lowered.vehicle, plan, STEP_S, cut))
    return given


def _table(lowered: Lowered, plan: Plan) -> Table:
    """Return the road of a truck that drives or brakes, the very same for set-ups that meet the same."""
    table: Table = _kept((plan.course, plan.lead_m, _felt(lowered)), lambda: road_table(lowered, plan))
    return table


def _felt(lowered: Lowered) -> tuple[object, ...]:
    """Return what of a truck decides how it feels a road."""
    axles = lowered.vehicle.axles
    return (lowered.vehicle.wheelbase, *((axle.tyre.radius, axle.tyre.contact_length_driven) for _, axle in axles))


def _kept(key: tuple[object, ...], work: Callable[[], Any]) -> Any:
    if key not in _roads:
        _roads[key] = work()
        while len(_roads) > ROADS_KEPT:
            _roads.popitem(last=False)
    return _roads[key]


ROADS_KEPT = 4
_roads: OrderedDict[tuple[object, ...], Any] = OrderedDict()


def _driven(lowered: Lowered, plan: Plan, standing: Rest) -> Ready:
    assert plan.driving is not None
    own, table = wheeled(lowered, plan.driving), _table(lowered, plan)
    start = start_of(own, standing, table)

    def parts(factor: float) -> int:
        stiffer = replace(own, setup=_stiffer(own.setup, factor))
        return substeps_of(stiffer, standing, start, table, STEP_S)

    def call(cut: int) -> Call:
        given = driven_arguments(own, table, start, plan.duration_s, STEP_S, cut)
        return _call(DRIVEN, given, own.setup, plan, standing)

    return Ready(parts, call)


def _stiffer(setup: Lowered, factor: float) -> Lowered:
    """Return a set-up with the forces of all dampers multiplied, their seals' friction too."""
    if factor == 1.0:
        return setup
    lines = (
        line._replace(knots=tuple(knot._replace(slope=factor * knot.slope) for knot in line.knots))
        if line.role == "damper"
        else line
        for line in setup.lines
    )
    return replace(setup, lines=tuple(lines))


def _call(run: str, given: tuple[Any, ...], setup: Lowered, plan: Plan, standing: Rest) -> Call:
    return Call(run, dict(zip(names(run), given, strict=True)), setup, plan, standing)


@cache
def names(run: str) -> tuple[str, ...]:
    """Return the names of a run's arguments, in their order."""
    text: Any = RUNS[run]
    return tuple(inspect.signature(getattr(text, "py_func", text)).parameters)
