"""Set-ups put at the start of their runs; one that differs from a known one in its dampers' laws alone takes the rest over."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import only_laws_differ
from sim.describe.runs import AnyRun
from sim.describe.valved import Valved
from sim.errors import JounceError
from sim.integrate.given import STEP_S
from sim.integrate.many.together import together
from sim.integrate.on_demand import OnDemand
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

    def prepared(self, vehicles: Sequence[Vehicle | Valved]) -> list[Prepared | JounceError]:
        """Return set-ups at the start of the run; for one that cannot stand or that the run does not fit, why."""
        outcomes: list[Prepared | JounceError | None] = [None] * len(vehicles)
        bases = [self._itself(one.known) if isinstance(one, Valved) else self._base(one) for one in vehicles]
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
        for place, own in zip(orphans, together([whole(vehicles[place]) for place in orphans], self.run), strict=True):
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

    def _derived(self, base: "Known", vehicles: Sequence[Vehicle | Valved]) -> list[Prepared | JounceError]:
        """Return set-ups that differ from a known one in laws alone."""
        one = base.prepared
        assert isinstance(one, Prepared)
        assert base.rates is not None
        numbers = {(line.axle, line.name): n for n, line in enumerate(one.setup.lines) if line.role == "damper"}
        setups = [
            _as_valved(own, one.setup, numbers) if isinstance(own, Valved) else _revalved(own, base.vehicle, one.setup)
            for own in vehicles
        ]
        outcomes: list[Prepared | JounceError] = []
        for setup, rate in zip(setups, base.rates().fastest_rates(setups, STEP_S), strict=True):
            try:
                outcomes.append(Prepared(setup, one.plan, one.standing, one.start, substeps(rate, STEP_S)))
            except JounceError as error:
                outcomes.append(error)
        return outcomes

    def _itself(self, vehicle: Vehicle) -> "Known":
        """Return a set-up as it is known, itself and no other one of other laws; to be started, if it is not."""
        for known in self._known:
            if known.vehicle is vehicle:
                return known
        return self._put_first(Known(vehicle))

    def _put_first(self, fresh: "Known") -> "Known":
        self._known.insert(0, fresh)
        del self._known[KEPT:]
        return fresh

    def _base(self, vehicle: Vehicle) -> "Known":
        """Return a known set-up from which this one differs in laws alone; itself, to be started, if there is none."""
        for number, known in enumerate(self._known):
            if only_laws_differ(known.vehicle, vehicle):
                # Last used first, as the last of the list are dropped.
                if number:
                    self._known.insert(0, self._known.pop(number))
                return known
        return self._put_first(self._taken_over(vehicle) or Known(vehicle))

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


def whole(setup: Vehicle | Valved) -> Vehicle:
    """Return all of a set-up."""
    return setup.vehicle if isinstance(setup, Valved) else setup


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


class _Revalved(OnDemand, Lowered):
    """A known set-up with other laws, whose vehicle is put together when it is asked for."""

    @property
    def kin(self) -> Vehicle:
        kin: Vehicle = self.base.kin
        return kin

    def law(self, axle: str, damper: str) -> DamperLaw:
        own: DamperSet | None = self.valved.sets.get((axle, damper))
        law: DamperLaw = self.base.law(axle, damper) if own is None else own.valving
        return law


def _as_valved(valved: Valved, known: Lowered, numbers: Mapping[tuple[str, str], int]) -> Lowered:
    """Return a known set-up with the laws of one that differs in them; numbers : of its dampers' lines, by axle and name."""
    lines = list(known.lines)
    for place, damper in valved.sets.items():
        line = lines[numbers[place]]
        lines[numbers[place]] = NamedLine(line.axle, line.role, line.name, line.line, damper.knots())
    return _Revalved(
        {"vehicle": lambda: valved.vehicle}, valved=valved, base=known, body=known.body, axles=known.axles, paths=known.paths,
        lines=tuple(lines), points=known.points, height=known.height, place=known.place,
    )  # fmt: skip
