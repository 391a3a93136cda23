"""Set-ups put at the start of their runs; one that differs from a known one in its dampers' laws alone takes the rest over."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import only_laws_differ
from sim.describe.runs import AnyRun
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.single import Prepared, prepared, start_state, with_plan
from sim.lower.guard import Revalving, substeps

KEPT = 8
"""Known set-ups that are kept for others to be derived from."""


class Ready:
    """Prepares set-ups for one run, `like` those of another one that it knows already.

    A damper's law is a function of speed alone that is zero at rest, so where a truck stands, its plan and its start do
    not depend on it: only its ramps and the step that it needs are new.
    """

    def __init__(self, run: AnyRun, like: "Ready | None" = None) -> None:
        self.run = run
        self._known: list[Known] = []
        # Of another run, such as this one at another speed: a truck stands there as it stands here.
        self._elsewhere: list[Known] = [] if like is None else [*like._known, *like._elsewhere][:KEPT]

    def prepared(self, vehicles: Sequence[Vehicle]) -> list[Prepared | JounceError]:
        """Return set-ups at the start of the run; for one that cannot stand or that the run does not fit, why."""
        outcomes: list[Prepared | JounceError | None] = [None] * len(vehicles)
        revalved: dict[int, tuple[Known, list[int]]] = {}
        for place, vehicle in enumerate(vehicles):
            try:
                base = self._base(vehicle)
            except JounceError as error:
                outcomes[place] = error  # one that cannot stand must not stop a sweep
                continue
            if base.vehicle is vehicle:  # nothing to derive: it is known itself
                outcomes[place] = base.prepared
            else:
                revalved.setdefault(id(base), (base, []))[1].append(place)
        # Those of one base together: their Jacobians are bounded in one go.
        for base, places in revalved.values():
            setups = [_revalved(vehicles[place], base) for place in places]
            rates = base.rates().fastest_rates(setups, STEP_S)
            one = base.prepared
            for place, setup, rate in zip(places, setups, rates, strict=True):
                try:
                    outcomes[place] = Prepared(setup, one.plan, one.standing, one.start, substeps(rate, STEP_S))
                except JounceError as error:
                    outcomes[place] = error
        return [one for one in outcomes if one is not None]

    def _base(self, vehicle: Vehicle) -> "Known":
        """Return a known set-up from which this one differs in laws alone; itself, made known, if there is none."""
        for number, known in enumerate(self._known):
            if only_laws_differ(known.vehicle, vehicle):
                # Last used first, as the last of the list are dropped.
                if number:
                    self._known.insert(0, self._known.pop(number))
                return known
        fresh = self._taken_over(vehicle) or _known(vehicle, prepared(vehicle, self.run))
        self._known.insert(0, fresh)
        del self._known[KEPT:]
        return fresh

    def _taken_over(self, vehicle: Vehicle) -> "Known | None":
        """Return a set-up that is known of another run, put at the start of this one; None if there is none, or it stands otherwise."""
        for known in self._elsewhere:
            if not only_laws_differ(known.vehicle, vehicle):
                continue
            one = known.prepared
            plan = self.run.plan(one.setup)
            # What a run says of the body is all that where it stands, and how fast it answers, depend on.
            if with_plan(one.setup, plan).body != one.setup.body:
                continue
            start = start_state(one.setup, plan, one.standing)
            return Known(known.vehicle, Prepared(one.setup, plan, one.standing, start, one.cut), known.rates)
        return None


@dataclass(frozen=True)
class Known:
    """A set-up that others are derived from; `rates` are worked out when they are first of use, and then kept."""

    vehicle: Vehicle
    prepared: Prepared
    rates: Callable[[], Revalving]


def _known(vehicle: Vehicle, one: Prepared) -> Known:
    return Known(vehicle, one, cache(lambda: Revalving(one.setup, one.standing)))


def _revalved(vehicle: Vehicle, base: Known) -> Lowered:
    own, axles = dict(base.vehicle.axles), dict(vehicle.axles)
    lines = []
    for line in base.prepared.setup.lines:
        if line.role == "damper":
            damper = axles[line.axle].dampers[line.name]
            # Laws that stay keep the very knots, which the guard and blocks compare by identity.
            if damper is not own[line.axle].dampers[line.name]:
                line = NamedLine(line.axle, line.role, line.name, line.line, damper.knots())
        lines.append(line)
    known = base.prepared.setup
    return Lowered(vehicle, known.body, known.axles, known.paths, tuple(lines), known.points, known.height, known.place)
