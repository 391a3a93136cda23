"""Springs to order: load, lengths, energy and stress of those a set-up has, and the one that gives a wanted height."""

from dataclasses import dataclass
from math import isfinite, nan

from sim.describe.estimates.truck import shown_in_inches
from sim.describe.lowered import Lowered
from sim.describe.parts.axle import Axle
from sim.describe.parts.springs import LineSpring, SeatSpring, SpringDescription
from sim.describe.parts.springs.wire import AS_WOUND, CHROME_SILICON, PRESET, bears
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import estimated, spring_unmeasured
from sim.errors import RunError
from sim.integrate.cures import COIL_SOLID
from sim.kernel import layout as at
from sim.linear.droop import FREE_COIL, STRAP, Droop, droop
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.lower.seat import raised_m
from sim.study.ordered_length import whole
from sim.study.pressed import Pressed, jounces_of, line_of, pressed_at
from sim.study.spring_stress import StressOff, coil_stress_words, leaf_stress_words, stress_off

CLASH = 0.15
"""Travel that stays free before a coil is solid, as a share of its travel from free to full bump (Shigley, ch. 10, from memory)."""

FARTHEST = 0.5
"""Change of a spring's free length or camber [m] past which no answer is looked for."""

STEP = 1e-3
"""Length [m] below which two springs are the same one: none is wound nearer (`ordered_length`)."""


@dataclass(frozen=True)
class SpringOrder:
    """One spring of a set-up.

    Attributes
    ----------
    axle, name : str
    count : int
    coil : bool
        A coil, measured by its free length; else a leaf pack, measured by its free camber.
    rate : float
        Of one [N/m].
    free : float
        Free length, or free camber [m], as fitted.
    places : dict of str to Pressed
        "ride", "full bump" and where droop ends, as far as they are known.
    stands : float
        How far the frame stands above the measured height at this axle [m].
    wanted, order, gives : float
        Wanted height above the measured one [m], the free length or camber to order for it, to the step of `ordered_length`, and the
        height [m] that this gives.
    as_set_up : bool
        Whether the wanted height is that at which the set-up stands by its own springs, as it brings them itself.
    then : dict of str to Pressed
        At "ride" and "full bump", of the spring to order.
    bears : tuple of float
        Shear stress [Pa] that its wire bears: oil-tempered as wound, and preset, chrome-silicon preset; nan if not given.
    problems, notes : tuple of str
    unmeasured : tuple of str
        What must be measured before it is ordered: that was estimated, and the order rests on it.
    arch : float
        Of a leaf pack how much more arch the one to order has without load than the one fitted had as it was measured at ride [m].
    measured_rate : float
        Of the spring of that name with which the truck was measured [N/m]; nan if it had none.
    kept : str
        By what else the set-up is lifted, in words, where the spring stays as it was measured: then none is ordered. Else empty.
    keeps : bool
        Whether it has another rate and the length without load of the spring before it, as the set-up gives no other.
    inches : bool
        Whether it is ordered by the marks of a tape in inches.
    """

    axle: str
    name: str
    count: int
    coil: bool
    rate: float
    free: float
    places: dict[str, Pressed]
    stands: float
    wanted: float
    order: float
    gives: float
    then: dict[str, Pressed]
    bears: tuple[float, float, float]
    problems: tuple[str, ...]
    notes: tuple[str, ...]
    unmeasured: tuple[str, ...] = ()
    arch: float = nan
    as_set_up: bool = False
    measured_rate: float = nan
    kept: str = ""
    keeps: bool = False
    inches: bool = False


def spring_orders(vehicle: Vehicle, wanted_m: dict[str, float]) -> tuple[SpringOrder, ...]:
    """Return what to order of every spring of a set-up, so that each axle stands at a wanted height.

    Parameters
    ----------
    wanted_m : dict of str to float
        Wanted height of the frame over an axle above the measured height [m], by axle. Left out: where a set-up brings a spring of
        another length, spacer or block, the height at which it stands with them; else the measured height, which a load or
        another rate has changed.

    Raises
    ------
    RunError
        If it cannot stand, or no such spring gives the height.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    return tuple(
        _order(setup, standing, axle, name, wanted_m.get(axle)) for axle, part in vehicle.axles for name in part.springs
    )


LENGTHS = "free_length", "spacer", "free_camber", "block", "seat_above", "shackle_lift"
"""Keys of a spring that set its truck's height whatever its rate."""


def _brings_its_own(vehicle: Vehicle, axle: str) -> bool:
    """Tell whether a set-up stands on springs of another length than its truck was measured on: then the height is what they are for."""
    mine, measured = dict(vehicle.axles)[axle].springs, dict(vehicle.reference.axles)[axle].springs
    return mine.keys() != measured.keys() or any(
        getattr(spring, key, None) != getattr(measured[name], key, None)
        for name, spring in mine.items()
        for key in LENGTHS
    )


def _order(setup: Lowered, standing: Rest, axle: str, name: str, asked: float | None) -> SpringOrder:
    part = dict(setup.vehicle.axles)[axle]
    spring = part.springs[name]
    coil = isinstance(spring, LineSpring)
    jounce = float(standing.state[at.JOUNCE + 2 * ("front", "rear").index(axle)])
    end = droop(setup, standing, axle)
    as_set_up = asked is None and _brings_its_own(setup.vehicle, axle)
    wanted = asked if asked is not None else -jounce if as_set_up else 0.0
    jounces = jounces_of(setup, standing, axle)
    if end.place:
        jounces[end.place] = end.jounce
    line = line_of(setup, axle, name)
    free = line.line.length_free if line is not None else camber(setup, axle, name)
    wire = spring.wire[0] if isinstance(spring, LineSpring) and spring.wire else None

    def pressed(own: float, jounce: float) -> Pressed:
        return pressed_at(setup, axle, name, own, jounce)

    places = {key: pressed(free, j) for key, j in jounces.items()}
    problems: list[str] = []
    notes: list[str] = []
    order, gives = nan, nan
    try:
        _reached(setup, axle, wanted, end)
        order, gives = _for_height(
            setup.vehicle, axle, name, "free_length" if coil else "free_camber", free, -jounce, wanted
        )
    except RunError as error:
        # Asked for, it is an error; for a sheet of which nobody asked a height it is a blank.
        if asked is not None:
            raise
        notes.append(str(error))
    then = (
        {key: pressed(order, -gives if key == "ride" else j) for key, j in jounces.items() if key != end.place}
        if isfinite(order)
        else {}
    )
    limits = nan, nan, nan
    if wire:
        limits = bears(wire, AS_WOUND), bears(wire, PRESET), bears(wire, PRESET, CHROME_SILICON)
    if isinstance(spring, LineSpring):
        who = f"{axle} coil '{name}'"
        off = stress_off(setup.vehicle, axle, spring)
        _judge_coil(spring, who, free, places, limits, end.place, off, problems, notes)
        # One that differs is judged too: a longer coil is more loaded at the same bump.
        if isfinite(order) and abs(order - free) > 2.0 * STEP:
            own: list[str] = []
            _judge_coil(spring, f"{who}, the one to order", order, then, limits, "", off, problems, own)
            notes += [text for text in own if text.replace(", the one to order", "") not in notes]
    bump = (then or places).get("full bump")
    if isinstance(spring, SeatSpring) and bump is not None:
        notes += leaf_stress_words(setup.vehicle, axle, name, spring, bump.stress)
    measured = dict(setup.vehicle.reference.axles)[axle].springs.get(name)
    return SpringOrder(
        axle, name, spring.count, coil, spring.rate_n_per_m, free, places, -jounce, wanted, order, gives, then, limits,
        tuple(problems), tuple(notes), spring_unmeasured(setup.vehicle, axle, name),
        nan if coil else order + _measured_block(setup.vehicle, axle, name), as_set_up,
        nan if measured is None else measured.rate_n_per_m, _kept(part, spring, measured, abs(order - free) < STEP),
        keeps_its_length(spring, measured), in_inches(setup.vehicle),
    )  # fmt: skip


def in_inches(vehicle: Vehicle) -> bool:
    """Tell whether springs of a truck are ordered in inches: as was chosen, and where both were, as it was typed."""
    return shown_in_inches(vehicle.typed_system == "inch")


def keeps_its_length(spring: SpringDescription, measured: SpringDescription | None) -> bool:
    """Tell whether a spring has another rate than that of the truck as measured and its length without load, as no set-up says otherwise."""
    if measured is None or type(spring) is not type(measured):
        return False
    key = "free_length" if isinstance(spring, LineSpring) else "free_camber"
    now, was = (one.count * one.rate_n_per_m for one in (spring, measured))
    return getattr(spring, key) == getattr(measured, key) and abs(now / was - 1.0) > 1e-6


BETWEEN = "block", "spacer", "seat_above", "shackle_lift"
"""Keys of a spring that are of what stands between it and the truck, not of the spring."""


def _kept(part: Axle, spring: SpringDescription, measured: SpringDescription | None, as_it_is: bool) -> str:
    """Return by what else an axle is lifted whose spring stays as it was measured; empty if a spring is to be ordered."""
    if (
        measured is None
        or not as_it_is
        or spring.model_dump(exclude=set(BETWEEN)) != measured.model_dump(exclude=set(BETWEEN))
    ):
        return ""
    more = {key: getattr(spring, key, 0.0) - getattr(measured, key, 0.0) for key in BETWEEN}
    said = [f"by a {key} {_by(more[key])}" for key in ("block", "spacer") if more[key] != 0.0]
    if up := more["seat_above"]:
        said.append(f"by seats {show(abs(up), 'length')} {'higher' if up > 0.0 else 'lower'} on the axle")
    if up := more["shackle_lift"]:
        shackle = part.guide.shackle(up, spring.sides_m if isinstance(spring, SeatSpring) else None)
        # Longer by more than the lift, as the pack turns about its other eye.
        long = (
            f"shackles {show(abs(shackle.longer), 'length')} {'longer' if up > 0.0 else 'shorter'}"
            if shackle
            else "other shackles"
        )
        said.append(f"by {long}, which {'lift' if up > 0.0 else 'lower'} it by {show(abs(up), 'length')}")
    return " and ".join(said)


def _by(more: float) -> str:
    return f"{show(abs(more), 'length')} {'thicker' if more > 0.0 else 'thinner'}"


def _measured_block(vehicle: Vehicle, axle: str, name: str) -> float:
    """Return the block [m] on which a pack stood as its truck was measured; below zero of one under the axle.

    From the eyes down to the axle arch and block make one length: a camber is counted from where the axle was, so with the block beneath.
    """
    spring = dict(vehicle.reference.axles)[axle].springs.get(name)
    return spring.seat_m - spring.seat_above if isinstance(spring, SeatSpring) else 0.0


def _reached(setup: Lowered, axle: str, wanted: float, end: Droop) -> None:
    """Refuse a height that lies outside the axle's own travel.

    Raises
    ------
    RunError
        If the axle would stand on its stop or hang at the end of its droop.
    """
    stop = dict(setup.vehicle.axles)[axle].stop
    # A strap stays as long as it is. Where the axle hangs on its springs, longer ones or a block take the end of droop along.
    if end.place == STRAP and wanted >= -end.jounce:
        guessed = f"{axle}.strap.length" in estimated(setup.vehicle)
        way = (
            "the strap's length is estimated, as nobody measured it: jounce lift plans this height with longer straps, or measure the strap, "
            if guessed
            else "lift it less, or write a longer limit strap into the set-up, "
        )
        raise RunError(
            f"{axle} axle: {show(wanted, 'length')} above the measured height is past the end of droop ({end.place}), "
            f"{show(-end.jounce, 'length')}; {way}{axle}.strap.length"
        )
    farthest = -setup.paths[axle].range_m[0]
    if wanted >= farthest:
        raise RunError(
            f"{axle} axle: {show(wanted, 'length')} above the measured height is past the travel that its guide is worked out for, "
            f"{show(farthest, 'length')}; lift it less, or describe the axle at its new height"
        )
    if stop is not None and -wanted >= stop.gap:
        raise RunError(
            f"{axle} axle: {show(-wanted, 'length')} below the measured height it stands on its bump stop, gap {show(stop.gap, 'length')}; "
            "lower it less, or fit a shorter bump stop"
        )


def camber(setup: Lowered, axle: str, name: str) -> float:
    """Return the free camber of one leaf pack of an axle [m]."""
    part = dict(setup.vehicle.axles)[axle]
    seats = {key: spring for key, spring in part.springs.items() if isinstance(spring, SeatSpring)}
    written = seats[name].free_camber
    if written is not None:
        return written
    # What the packs carry at the measured height, less those whose camber is written; the others share by their rates.
    above = {key: raised_m(setup.vehicle, axle, key) for key in seats}
    known = sum(
        s.count * s.rate_n_per_m * (s.free_camber + above[key]) for key, s in seats.items() if s.free_camber is not None
    )
    open_ = sum(s.count * s.rate_n_per_m for s in seats.values() if s.free_camber is None)
    return (setup.axles[axle].leaf_preload - known) / open_ - above[name]


def _judge_coil(
    spring: LineSpring, who: str, free: float, places: dict[str, Pressed], limits: tuple[float, float, float], droop_place: str,
    off: StressOff, problems: list[str], notes: list[str],
) -> None:  # fmt: skip
    """Add what a coil's lengths and stress call for.

    off : how far off its stress may be [Pa] by what is estimated, and what to measure.
    """
    bump = places.get("full bump")
    # A measured one counts; without it wire and turns say what it is, as they do where a coil is designed.
    solid = spring.solid_by_wire if spring.binds_at is None else spring.binds_at
    reckoned = " (solid length from wire and turns: measure it)" if spring.binds_at is None else ""
    if bump is not None and solid is not None:
        left = bump.length - solid
        if left < 0.0:
            problems.append(
                f"{who} is solid {show(-left, 'length')} before its bump stop is fully squeezed{reckoned}: it breaks itself or its seat. "
                + COIL_SOLID.removesuffix(".")
            )
        elif left < CLASH * (free - bump.length):
            notes.append(
                f"{who}: {show(left, 'length')} left before it is solid at full bump{reckoned}; 15 % of its travel, "
                f"{show(CLASH * (free - bump.length), 'length')}, are usual (Shigley, from memory)"
            )
    elif bump is not None:
        notes.append(
            f"{who}: neither its solid_length nor its wire and turns are given, so whether it binds at full bump is not known"
        )
    if droop_place and droop_place != FREE_COIL and not spring.pulls and places[droop_place].force == 0.0:
        notes.append(
            f"{who} is loose {show(places[droop_place].length - free, 'length')} before droop ends and may leave its seat: hold it, or "
            "shorten the strap"
        )
    if not isfinite(limits[0]):
        notes.append(
            f"{who}: its wire is not given, so its stress is not known; write wire_diameter, coil_diameter and active_coils in place of rate"
        )
        return
    most = max(places.values(), key=lambda place: place.force)
    fault, *more = coil_stress_words(who, spring.wire, most.stress, limits, off)
    problems += filter(None, [fault])
    notes += more


def _for_height(
    vehicle: Vehicle, axle: str, name: str, key: str, free: float, stands: float, wanted: float
) -> tuple[float, float]:
    """Return the free length or camber [m], to the step in which it is ordered, with which an axle stands at a height [m], and what it gives."""
    path = f"{axle}.springs.{name}.{key}"
    none = RunError(
        f"{axle} spring '{name}': no {key} was found that gives {show(wanted, 'length')} above the measured height"
    )

    def height(value: float) -> float:
        if abs(value - free) > FARTHEST:
            raise none
        state = rest(lower(vehicle.changed({path: f"{value!r} m"}))).state
        return -float(state[at.JOUNCE + 2 * ("front", "rear").index(axle)])

    # Secant steps: height follows length nearly in proportion, so a few are enough.
    before, off_before = free, stands - wanted
    value, off = free, off_before
    for _ in range(12):
        if abs(off) < 1e-5:
            break
        if value == before:
            value = free - off
        else:
            slope = (off - off_before) / (value - before)
            if slope <= 0.0:
                raise none
            before, off_before, value = value, off, value - off / slope
        off = height(value) - wanted
    else:
        raise none
    ordered = whole(value, in_inches(vehicle))
    return ordered, height(ordered)
