"""What is measured on a truck after the work, and what it should read: each axle, under each load of the file, with the band that doubt leaves."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

import numpy as np

from sim.describe.lowered import Lowered
from sim.describe.parts.axle import Axle
from sim.describe.parts.springs import SeatSpring
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.push import Push
from sim.errors import InputError, RunError
from sim.integrate.channels import centre_heights
from sim.integrate.line_lengths import line_length
from sim.integrate.simulation import simulate
from sim.kernel import layout as at
from sim.linear.standing import AxleStanding, axles_at_rest
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.measure.free_motion import SIGNALS
from sim.measure.settling import cycles
from sim.study.lift import SHACKLE_LIFT, housing_turn, shackle
from sim.study.spring_order import SpringOrder

LOAD, FRAME, AXLE, DAMPER, GAP, MOUNTS, DROP, TURN, GIVE, BOBS, FREQUENCY = KINDS = (
    "load", "frame", "axle", "damper", "gap", "strap_mounts", "strap_drop", "turn", "push_down", "push_bobs", "frequency",
)  # fmt: skip
"""What is read: axle on the scale, heights over an axle, damper eye to eye, gap to the stop, strap (mount to mount; how far the axle drops to it), castor or
pinion, a push on that end (how far down, how many bobs), ride frequency."""

QUANTITY = dict.fromkeys(KINDS, "length") | {LOAD: "load", TURN: "angle", BOBS: "number", FREQUENCY: "frequency"}

MOST_CASES = 4
"""Load cases that are read: a page has room for so many."""

HELD = 0.5
"""Share of a push from which leaf friction holds an end: let go, friction turns round, which takes twice itself, so the springs swing no more."""

Quantities = dict[tuple[str, ...], float]
"""Numbers [SI] by axle, kind and name."""

Bands = Mapping[str, Mapping[tuple[str, ...], tuple[float, float]]]
"""By truck, between what each of them lies 95 times in 100."""

Banded = Callable[[Mapping[str, Vehicle]], Bands]
"""Returns that of trucks by their labels."""


def push(axle: str) -> Push:
    """Return the push of the demo's question about bobs (scenarios/push_on_the_bumper.yaml), on the bumper of an end."""
    given = {
        "over": axle,
        "outside_wheels": "450 mm",
        "force": "800 N",
        "press": "1 s",
        "hold": "1.5 s",
        "watch": "5 s",
    }
    return Push.model_validate({"kind": "push", **given})


@dataclass(frozen=True)
class Reading:
    """One number to be read on the truck.

    Attributes
    ----------
    axle, kind : str
        The end, and one of KINDS.
    name : str
        Of a damper set; else empty.
    value : float
        What it should read [SI]. A height is that above what was taped before, if nobody has taped it (`taped`) the same; a turn is
        against the measured one: castor gained in front, pinion upwards behind.
    low, high : float
        Within which it lies 95 times in 100; nan where nothing that it rests on is in doubt.
    taped : float
        What the height was before [m]; nan if the file does not say.
    held : tuple of float
        Of a push that leaf friction holds: that friction, and what of the push comes onto the axle [N]; else empty.
    """

    axle: str
    kind: str
    name: str
    value: float
    low: float = nan
    high: float = nan
    taped: float = nan
    held: tuple[float, ...] = ()

    @property
    def quantity(self) -> str:
        """What it is, for its units."""
        return QUANTITY[self.kind]


@dataclass(frozen=True)
class Case:
    """The truck as fitted, with some loads aboard.

    Attributes
    ----------
    loads : tuple of str
        What is aboard beside what was aboard as it was measured.
    own : bool
        Whether these are the set-up's own.
    readings : tuple of Reading
    cannot : str
        Why it cannot stand so; empty if it can.
    nose_up : float
        Of the frame against the measured stance [rad].
    without : tuple of str
        What was aboard as it was measured, and is not now.
    """

    loads: tuple[str, ...]
    own: bool
    readings: tuple[Reading, ...] = ()
    cannot: str = ""
    nose_up: float = 0.0
    without: tuple[str, ...] = ()

    @property
    def as_measured(self) -> bool:
        """Whether what is aboard is what was aboard as it was measured."""
        return not (self.loads or self.without)


@dataclass(frozen=True)
class AfterFitting:
    """All that is read after the work.

    Attributes
    ----------
    vehicle : Vehicle
        The truck as fitted, with the set-up's own loads.
    cases : tuple of Case
        The lightest first.
    aboard : tuple of str
        What was aboard as the truck was measured.
    left_out : int
        Further load cases of the file.
    rests_within : dict of str to float
        By leaf-sprung axle, how far from these heights [m] the friction of its leaves may leave it, either way.
    """

    vehicle: Vehicle
    cases: tuple[Case, ...]
    aboard: tuple[str, ...]
    left_out: int
    rests_within: Mapping[str, float]

    @property
    def own(self) -> Case:
        """The case of the set-up's own loads."""
        return next(case for case in self.cases if case.own)


def after_fitting(
    vehicle: Vehicle, name: str, changes: Mapping[str, Mapping[str, object]], banded: Banded | None = None
) -> AfterFitting:
    """Return what is to be read of a set-up once it is fitted.

    Parameters
    ----------
    vehicle : Vehicle
        As it will be fitted.
    name : str
        The set-up's.
    changes : mapping of str to mapping
        What each set-up of the file changes, by path: their loads are the cases.
    banded : callable, optional
        Says between what the numbers of some trucks lie (`sim.study.doubt.fitting`); left out, nothing of it is in doubt.

    Raises
    ------
    RunError
        If it cannot stand with its own loads.
    """
    trucks, left_out = _with_loads(vehicle, name, changes)
    cases: list[Case] = []
    bands_of = banded({label: truck for label, (truck, _) in trucks.items()}) if banded else {}
    for label, (truck, loads) in trucks.items():
        own = truck is vehicle
        try:
            found = quantities(truck)
        except RunError as error:
            if own:
                raise
            cases.append(Case(loads, own, cannot=str(error), without=_without(truck)))
            continue
        nose_up = -float(rest(lower(truck)).state[at.PITCH])
        cases.append(
            Case(
                loads,
                own,
                tuple(_readings(truck, found, bands_of.get(label, {}))),
                nose_up=nose_up,
                without=_without(truck),
            )
        )
    friction = {axle: _friction(part) for axle, part in vehicle.axles}
    rates = {axle: one.wheel_rate for axle, one in _axles(vehicle).items()}
    return AfterFitting(
        vehicle, tuple(cases), tuple(vehicle.reference.loads), left_out,
        {axle: friction[axle] / rates[axle] for axle in friction if friction[axle]},
    )  # fmt: skip


def fitted_with(vehicle: Vehicle, springs: Sequence[SpringOrder], heights: Mapping[str, float]) -> Vehicle:
    """Return a set-up with the springs that are ordered for wanted heights [m], by axle; itself where none is asked."""
    changes: dict[str, object] = {}
    for order in springs:
        part = dict(vehicle.axles)[order.axle]
        # Of several springs of an axle the first one gives the height, as of a lift.
        if order.axle in heights and order.name == next(iter(part.springs)) and isfinite(order.order):
            key = "free_length" if order.coil else "free_camber"
            changes[f"{order.axle}.springs.{order.name}.{key}"] = f"{order.order!r} m"
    return vehicle.changed(changes) if changes else vehicle


def _with_loads(
    vehicle: Vehicle, name: str, changes: Mapping[str, Mapping[str, object]]
) -> tuple[dict[str, tuple[Vehicle, tuple[str, ...]]], int]:
    """Return the truck as fitted with each of the file's loads aboard, the lightest first, and how many cases have no room.

    An engine is fitted as the springs are: nobody takes it out, or puts another set-up's in, to read a height.
    """
    measured = vehicle.reference.loads
    without: dict[str, object] = {
        f"loads.{load}": "none" for load in vehicle.loads if load not in measured and not is_fitted(load)
    }
    tried = [vehicle]
    for of_loads in ({}, *(_of_loads(one) for other, one in changes.items() if other != name)):
        try:
            tried.append(vehicle.changed(without | of_loads) if without or of_loads else vehicle)
        except InputError:  # one that this set-up's own loads do not go with
            continue
    found: list[Vehicle] = []
    for truck in tried:
        if not any(truck.loads == one.loads for one in found):
            found.append(truck)
    # Its own first, then the truck as it was measured, then the heaviest.
    first, *others = found
    bare = [one for one in others if one.loads == measured]
    rest_ = sorted((one for one in others if one not in bare), key=_mass, reverse=True)
    kept = sorted([first, *bare, *rest_][:MOST_CASES], key=_mass)
    added = [tuple(load for load, own in one.loads.items() if own != measured.get(load)) for one in kept]
    return {f"case {n}": (one, loads) for n, (one, loads) in enumerate(zip(kept, added, strict=True))}, max(
        len(found) - MOST_CASES, 0
    )


def _of_loads(changes: Mapping[str, object]) -> dict[str, object]:
    return {
        path: value
        for path, value in changes.items()
        if path.startswith("loads.") and not is_fitted(path.split(".")[1])
    }


ENGINE = "engine"
"""Word of a load that is another engine than the one that was weighed."""


def is_fitted(load: str) -> bool:
    """Tell whether a load is a part of the truck, that stays in whatever else comes aboard."""
    return ENGINE in load.lower()


def _without(vehicle: Vehicle) -> tuple[str, ...]:
    return tuple(load for load in vehicle.reference.loads if load not in vehicle.loads)


def _mass(vehicle: Vehicle) -> float:
    return sum(load.mass for load in vehicle.loads.values())


def _axles(vehicle: Vehicle) -> dict[str, AxleStanding]:
    setup = lower(vehicle)
    return axles_at_rest(setup, rest(setup))


def _friction(part: Axle) -> float:
    """Return the friction of all leaf packs of an axle [N]."""
    return sum(one.count * getattr(one, "friction", 0.0) for one in part.springs.values())


def quantities(vehicle: Vehicle) -> Quantities:
    """Return what is read of a standing truck, by axle, kind and name.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    before = lower(vehicle.reference)
    at_first = rest(before)
    axles = axles_at_rest(setup, standing)
    found: Quantities = {}
    for axle, part in vehicle.axles:
        one = axles[axle]
        index = ("front", "rear").index(axle)
        stood = float(centre_heights(before, axle, at_first.state[None])[0])
        found[axle, LOAD, ""] = one.load
        found[axle, AXLE, ""] = one.centre_height - stood
        # The frame comes up with the axle, and by what the axle's jounce has become less.
        found[axle, FRAME, ""] = one.centre_height - stood - one.jounce + float(at_first.state[at.JOUNCE + 2 * index])
        for damper in one.dampers:
            found[axle, DAMPER, damper.name] = damper.length
        if part.stop is not None:
            found[axle, GAP, ""] = part.stop.gap - one.jounce
        if part.strap is not None:
            strap = next(line for line in setup.lines if (line.axle, line.role) == (axle, "strap"))
            wind_up = float(standing.state[at.WIND_UP + 2 * index])
            found[axle, MOUNTS, ""] = line_length(setup, strap, one.jounce, wind_up)
            found[axle, DROP, ""] = one.travel_left_down
        found[axle, TURN, ""] = turned(setup, standing, axle) - turned(before, at_first, axle)
        onto = _onto(vehicle)
        slips = max(onto - _friction(part), 0.0)
        # Springs give to what friction leaves of the push, tyres to all of it: how far doubt moves it; how far it is says the run.
        found[axle, GIVE, ""] = slips / one.wheel_rate + onto / one.tyre_rate
        found[axle, FREQUENCY, ""] = one.ride_frequency
    return found


def _onto(vehicle: Vehicle) -> float:
    """Return what of the push comes onto the axle of that end [N]: more than itself, as it acts outside of the wheels."""
    one = push("front")
    return one.force * (1.0 + one.outside_wheels / vehicle.wheelbase)


def turned(setup: Lowered, standing: Rest, axle: str) -> float:
    """Return how far a housing has turned since the truck was measured [rad], its front upwards; longer shackles count.

    In front that is castor gained, behind how far the pinion points higher.
    """
    return -housing_turn(setup, standing, axle) - _by_shackle(setup.vehicle, axle)


def _by_shackle(vehicle: Vehicle, axle: str) -> float:
    """Return how far longer shackles than the measured ones turn a pack about its fixed eye [rad], its front downwards."""
    mine, measured = (
        next((getattr(s, SHACKLE_LIFT, 0.0) for s in dict(one.axles)[axle].springs.values() if isinstance(s, SeatSpring)), 0.0)
        for one in (vehicle, vehicle.reference)
    )  # fmt: skip
    return shackle(vehicle, axle, mine - measured).turns if mine != measured else 0.0


def _readings(
    truck: Vehicle, found: Quantities, bands: Mapping[tuple[str, ...], tuple[float, float]]
) -> Iterator[Reading]:
    for axle, part in truck.axles:
        taped = truck.reference.taped(axle)
        heights = {FRAME: taped.get("frame_height", nan), AXLE: taped.get("axle_height", nan)}
        own = {key: value for key, value in found.items() if key[0] == axle}
        by_rates = own[axle, GIVE, ""]
        own[axle, GIVE, ""], own[axle, BOBS, ""] = _pushed(truck, axle)
        friction, onto = _friction(part), _onto(truck)
        held = (friction, onto) if friction >= HELD * onto else ()
        for key in sorted(own, key=lambda key: KINDS.index(key[1])):
            _, kind, name = key
            low, high = bands.get(key, (nan, nan))
            if kind == GIVE:
                low, high = (end * own[key] / by_rates for end in (low, high))
            said = held if kind in (GIVE, BOBS) else ()
            if said:  # what the leaves hold is no number to go by
                low = high = nan
            yield Reading(axle, kind, name, own[key], low, high, heights.get(kind, nan), said)


def _pushed(truck: Vehicle, axle: str) -> tuple[float, float]:
    """Return how far a push takes an end down [m], and how many times it bobs then; nan if that cannot be run, inf if it does not come to rest."""
    try:
        run = simulate(truck, push(axle))
    except RunError:
        return nan, nan
    signal = next(signal for signal in SIGNALS if signal.name == f"{axle}_body")
    # Half of the force counts at the very step at which it is let go.
    held_at = int(np.searchsorted(run.time_s, run.released_s - 1e-6)) - 1
    return -float(signal.of(run, 0)[held_at]), cycles(run, signal)
