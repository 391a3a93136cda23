"""Set-ups put at the start of their runs; one that differs from a known one in its dampers' laws alone takes the rest over."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cache

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import only_laws_differ
from sim.describe.runs import AnyRun
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.many.together import together
from sim.integrate.single import Prepared, start_state, with_plan
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
        bases = [self._base(vehicle) for vehicle in vehicles]
        self._start({id(base): base for base in bases if base.prepared is None}.values())
        revalved: dict[int, tuple[Known, list[int]]] = {}
        orphans: list[int] = []
        for place, (vehicle, base) in enumerate(zip(vehicles, bases, strict=True)):
            if base.vehicle is vehicle:  # nothing to derive: it is known itself
                outcomes[place] = base.prepared
            elif isinstance(base.prepared, Prepared):
                revalved.setdefault(id(base), (base, []))[1].append(place)
            else:  # it may be those very laws for which the one that it differs from cannot start
                orphans.append(place)
        for place, own in zip(orphans, together([vehicles[place] for place in orphans], self.run), strict=True):
            outcomes[place] = own
        # Those of one base together: their Jacobians are bounded in one go.
        for base, places in revalved.values():
            for place, made in zip(places, self._derived(base, [vehicles[place] for place in places]), strict=True):
                outcomes[place] = made
        return [one for one in outcomes if one is not None]

    def _start(self, fresh: Iterable["Known"]) -> None:
        """Put set-ups at the start of the run; one that cannot stand is not kept, and must not stop the others."""
        starting = list(fresh)
        for known, own in zip(starting, together([known.vehicle for known in starting], self.run), strict=True):
            known.start(own)
        self._known = [known for known in self._known if isinstance(known.prepared, Prepared)]

    def _derived(self, base: "Known", vehicles: Sequence[Vehicle]) -> list[Prepared | JounceError]:
        """Return set-ups that differ from a known one in laws alone."""
        one = base.prepared
        assert isinstance(one, Prepared)
        assert base.rates is not None
        setups = [_revalved(vehicle, base.vehicle, one.setup) for vehicle in vehicles]
        outcomes: list[Prepared | JounceError] = []
        for setup, rate in zip(setups, base.rates().fastest_rates(setups, STEP_S), strict=True):
            try:
                outcomes.append(Prepared(setup, one.plan, one.standing, one.start, substeps(rate, STEP_S)))
            except JounceError as error:
                outcomes.append(error)
        return outcomes

    def _base(self, vehicle: Vehicle) -> "Known":
        """Return a known set-up from which this one differs in laws alone; itself, to be started, if there is none."""
        for number, known in enumerate(self._known):
            if only_laws_differ(known.vehicle, vehicle):
                # Last used first, as the last of the list are dropped.
                if number:
                    self._known.insert(0, self._known.pop(number))
                return known
        fresh = self._taken_over(vehicle) or Known(vehicle)
        self._known.insert(0, fresh)
        del self._known[KEPT:]
        return fresh

    def _taken_over(self, vehicle: Vehicle) -> "Known | None":
        """Return a set-up that is known of another run, put at the start of this one; None if there is none, or it stands otherwise."""
        for known in self._elsewhere:
            one = known.prepared
            if not isinstance(one, Prepared) or not only_laws_differ(known.vehicle, vehicle):
                continue
            try:
                plan = self.run.plan(one.setup)
                # What a run says of the body is all that where it stands, and how fast it answers, depend on.
                if with_plan(one.setup, plan).body != one.setup.body:
                    continue
                start = start_state(one.setup, plan, one.standing)
            except JounceError:  # said when it is started by itself
                continue
            return Known(known.vehicle, Prepared(one.setup, plan, one.standing, start, one.cut), known.rates)
        return None


@dataclass
class Known:
    """A set-up that others are derived from; `prepared` is None until it is started, and why not if it cannot be.

    `rates` are worked out when they are first of use, and then kept.
    """

    vehicle: Vehicle
    prepared: Prepared | JounceError | None = None
    rates: Callable[[], Revalving] | None = None

    def start(self, own: Prepared | JounceError) -> None:
        """Keep it as it stands at the start of a run, or why it cannot."""
        self.prepared = own
        if isinstance(own, Prepared):
            self.rates = cache(lambda: Revalving(own.setup, own.standing))


def _revalved(vehicle: Vehicle, base: Vehicle, known: Lowered) -> Lowered:
    own, axles = dict(base.axles), dict(vehicle.axles)
    lines = []
    for line in known.lines:
        if line.role == "damper":
            damper = axles[line.axle].dampers[line.name]
            # Laws that stay keep the very knots, which the guard and blocks compare by identity.
            if damper is not own[line.axle].dampers[line.name]:
                line = NamedLine(line.axle, line.role, line.name, line.line, damper.knots())
        lines.append(line)
    return Lowered(vehicle, known.body, known.axles, known.paths, tuple(lines), known.points, known.height, known.place)
