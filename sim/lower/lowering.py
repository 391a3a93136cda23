"""From what people wrote to plain SI records: what the kernel needs of one set-up."""

from collections import OrderedDict
from math import degrees
from typing import Any

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.axle import Axle
from sim.describe.parts.dampers.damper_set import FREE_OIL_LEAN
from sim.describe.parts.guides.series import Path, moved
from sim.describe.parts.places import SprungPlace
from sim.describe.parts.springs import LineSpring, SeatSpring
from sim.describe.parts.stop import Stop
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import RunError
from sim.kernel import layout as at
from sim.lower.preload import Preload, preload
from sim.lower.seat import about_seat, seat_m
from sim.lower.stance import GRAVITY, AxleStance, axle_mass, axle_stances, sprung_mass, tyre_curve


def lower(vehicle: Vehicle, gravity: float = GRAVITY) -> Lowered:
    """Lower a set-up; its springs are those of the truck as measured unless it brings its own.

    Raises
    ------
    RunError
        If the truck cannot stand, or a spring's free length is not known.
    """
    # The springs of a truck are what holds it where it was measured; a set-up keeps them and settles as it may.
    measured = _measured(vehicle.reference)
    sprung = sprung_mass(vehicle)
    body = at.Body(
        mass=sprung.mass, pitch_inertia=sprung.pitch_inertia, gravity=gravity,
        # What the run says of these comes later (`single.with_plan`, `wheeled`).
        free_to_roll=0.0, push_forward=0.0, push_up=0.0, keeper_gain=0.0,
    )  # fmt: skip
    axles, paths, lines = {}, {}, []
    for name, axle in vehicle.axles:
        stance, held = measured[name]
        paths[name] = _path(name, vehicle, stance, sprung.place)
        forward = sprung.place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
        seat = seat_m(vehicle, name)
        axles[name] = _axle(name, vehicle, stance, held, paths[name], sprung.place, forward)
        lines += [
            one._replace(line=about_seat(one.line, seat))
            for one in _lines(name, axle, vehicle, stance, held, sprung.place)
        ]
    points = {key: (sprung.place.forward(p), sprung.place.up(p)) for key, p in vehicle.points.items()}
    return Lowered(vehicle, body, axles, paths, tuple(lines), points, sprung.place.cg_above_ground, sprung.place)


Measured = dict[str, tuple[AxleStance, Preload]]

_KEPT = 32
_known_trucks: OrderedDict[int, tuple[Vehicle, Measured]] = OrderedDict()
_known_paths: OrderedDict[tuple[Any, ...], tuple[Any, Path]] = OrderedDict()
_known_guides: OrderedDict[int, tuple[Any, Any]] = OrderedDict()
"""Trucks as measured, guides and their paths, kept for the next set-up: with the object, so that its id stays its own."""


def _measured(reference: Vehicle) -> Measured:
    """Return how the axles of the truck as measured stand, and what holds them there."""
    if id(reference) not in _known_trucks:
        axles: Measured = {}
        place = sprung_mass(reference).place
        for name, stance in axle_stances(reference).items():
            axles[name] = stance, preload(name, reference, _path(name, reference, stance, place), stance)
        _keep(_known_trucks, id(reference), (reference, axles))
    return _known_trucks[id(reference)][1]


def _path(name: str, vehicle: Vehicle, stance: AxleStance, place: SprungPlace) -> Path:
    guide = getattr(vehicle, name).guide
    # The pack lies as it does; on a higher seat it is the axle that stands lower under it.
    thicker = seat_m(vehicle, name) - seat_m(vehicle.reference, name)
    forward = place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    up = stance.centre_height - place.cg_above_ground
    # By identity: set-ups of a sweep share the very guide that they leave alone, whose keys need not be compared then. Set-ups that
    # come from files have one each, all alike.
    guide = _known_guide(guide)
    key = id(guide), place.cg_behind_front_axle, place.cg_above_ground, forward, up, thicker
    if key not in _known_paths:
        try:
            lowered = moved(guide.lower(place, forward, up), thicker)
        except ValueError as error:
            raise RunError(f"{name} guide: {error}") from error  # a guide does not know which axle it is of
        _keep(_known_paths, key, (guide, lowered))
    path: Path = _known_paths[key][1]
    return path


def _known_guide(guide: Any) -> Any:
    """Return the first guide seen of those that are as this one."""
    if id(guide) not in _known_guides:
        same = next((one for _, one in _known_guides.values() if type(one) is type(guide) and one == guide), guide)
        _keep(_known_guides, id(guide), (guide, same))
    return _known_guides[id(guide)][1]


def _keep(known: OrderedDict[Any, Any], key: Any, value: Any) -> None:
    known[key] = value
    while len(known) > _KEPT:
        known.popitem(last=False)


def _axle(
    name: str, vehicle: Vehicle, stance: AxleStance, held: Preload, path: Path, place: SprungPlace, forward: float
) -> at.Axle:
    axle: Axle = getattr(vehicle, name)
    seat = seat_m(vehicle, name)
    mass = axle_mass(axle)
    packs = {key: s for key, s in axle.springs.items() if isinstance(s, SeatSpring)}
    friction_travels = {p.friction_travel for p in packs.values() if p.friction > 0.0}
    # Friction is one state an axle in the kernel, so all packs build it up in one travel.
    if len(friction_travels) > 1:
        raise RunError(f"{name} axle: its leaf packs must share one friction_travel.")
    wind_up_rate, coupling = _wind_up(name, axle, list(packs.values()))
    # Of the springs at zero jounce, all packs together: the rate takes it from there.
    support = 0.0
    for key, pack in packs.items():
        if pack.seat_above and not held.seat_above.get(key, pack.seat_above):
            raise RunError(
                f"{name} spring '{key}': the set-up gives seat_above, {show(pack.seat_above, 'length')}, and the truck as measured gives none. It is a "
                f"measure of the truck: write {name}.springs.{key}.seat_above into the vehicle's file as it was taped. What lifts is a block."
            )
        if pack.free_camber is not None:
            # As measured, the axle was where that counts from; a pack put over it instead of under it is bent by what lies between.
            moved = pack.seat_above - held.seat_above.get(key, pack.seat_above)
            support += pack.count * pack.rate_n_per_m * (pack.free_camber + pack.raised_m + moved)
        elif key in held.leaf_support:
            # A thicker block or a longer shackle bends the pack as if the axle had come up by as much.
            more = pack.raised_m - held.raised[key] + pack.seat_above - held.seat_above[key]
            rate = pack.count * pack.rate_n_per_m
            # A stiffer pack keeps the arch of the one before, as a stiffer coil its free length: bent as far it carries more, and lifts.
            support += held.leaf_support[key] * (rate / held.leaf_rate[key]) + rate * more
        else:
            raise RunError(f"{name} spring '{key}' is not on the truck as measured, so its free_camber must be given.")
    stop, give = axle.stop, axle.fore_and_aft
    wind_up = axle.guide.wind_up
    # Two rates make a curve only with a load: that of the truck as measured, also for a set-up's own tyre.
    tyre_rate, tyre_rise = tyre_curve(name, axle.tyre, stance.load)
    return at.Axle(
        mass=mass.mass, pitch_inertia=mass.pitch_inertia, gravity_forward=mass.forward, gravity_up=mass.up - seat,
        seat_up=stance.centre_height - place.cg_above_ground + seat, seat_above=seat,
        jounce_middle=path.middle, jounce_scale=path.scale,
        wind_up_rate=wind_up_rate, wind_up_damping=wind_up.damping,
        # Wind-up is measured from the stance of the file, so it is zero there.
        wind_up_preload=held.wind_up_moment, wind_up_free=1.0 if wind_up.is_free else 0.0,
        leaf_rate=sum(p.count * p.rate_n_per_m for p in packs.values()), leaf_preload=support,
        friction=sum(p.count * p.friction for p in packs.values()),
        # 1: any, as there is then no friction for it to build up
        friction_build_up=1.0 / friction_travels.pop() if friction_travels else 1.0,
        **_stop(stop, seat),
        tyre_radius=axle.tyre.radius, tyre_rate=axle.tyre.count * tyre_rate,
        tyre_rate_rise=axle.tyre.count * tyre_rise,
        tyre_damping=axle.tyre.count * axle.tyre.damping,
        leaf_coupling=coupling, centre_forward=forward, shift_free=1.0 if give else 0.0,
        shift_rate=give.rate if give else 0.0, shift_damping=give.damping if give else 0.0,
        # So that the give is zero, as wind-up is, where the truck was measured.
        shift_preload=held.shift_force if give else 0.0,
    )  # fmt: skip


def _wind_up(name: str, axle: Axle, packs: list[SeatSpring]) -> tuple[float, float]:
    """Return the rate against wind-up [N m/rad] and the coupling of wind-up with jounce [N/rad] of an axle.

    A rate as measured is of the whole axle, so the packs then add no coupling that nobody measured.
    """
    wind_up = axle.guide.wind_up
    if wind_up.rate != "from_leaves":
        return wind_up.rate_n_m_per_rad, 0.0
    rates = [(pack.count, pack.wind_up) for pack in packs]
    if not rates or any(own is None for _, own in rates):
        raise RunError(
            f"{name} axle: wind_up rate 'from_leaves' needs leaf packs with their halves: halves: {{ahead: 610 mm, behind: 700 mm}}"
        )
    return (
        sum(count * own.by_turn for count, own in rates if own is not None),
        sum(count * own.coupling for count, own in rates if own is not None),
    )


def _stop(stop: Stop | None, seat: float) -> dict[str, float]:
    if stop is None:
        return {
            # A gap of a kilometre is never closed: the kernel needs no case for an axle without a stop.
            "stop_gap": 1e3, "stop_rate": 0.0, "stop_cubic": 0.0, "stop_loss": 0.0,
            "stop_forward": 0.0, "stop_up": 0.0,
        }  # fmt: skip
    return {
        "stop_gap": stop.gap, "stop_rate": stop.count * stop.rate_first, "stop_cubic": stop.count * stop.cubic,
        "stop_loss": stop.loss, "stop_forward": stop.meets.ahead, "stop_up": stop.meets.above - seat,
    }  # fmt: skip


def _lines(
    name: str, axle: Axle, vehicle: Vehicle, stance: AxleStance, held: Preload, place: SprungPlace
) -> list[NamedLine]:
    # In the order of `packed.ROLES`: set-ups laid side by side then need no sorting.
    lines = []
    for key, spring in axle.springs.items():
        if isinstance(spring, LineSpring):
            free = spring.free_length if spring.free_length is not None else held.free_length.get(key)
            if free is None:
                raise RunError(
                    f"{name} spring '{key}' is not on the truck as measured, so its free_length must be given."
                )
            lines.append(NamedLine(name, "coil", key, spring.lower(place, free), ()))
    forward = place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    up = stance.centre_height - place.cg_above_ground
    for key, damper in axle.dampers.items():
        length = damper.length_at_ride_m(place, forward, up)
        low, high = damper.length_collapsed or 0.0, damper.length_extended or 1e3
        if not low < length < high:
            raise RunError(
                f"{name} damper set '{key}' is {show(length, 'length')} long between its mounts at ride height, outside "
                f"its stroke of {show(low, 'length')} to {show(high, 'length')}. Check mounts and lengths."
            )
        lean = damper.lean_at_ride(place, forward, up)
        # The file's own check knows which end is up, not the lean: that takes both mounts and the ride height.
        if damper.built == "twin_tube" and lean > FREE_OIL_LEAN:
            raise RunError(
                f"{name} damper set '{key}' leans {degrees(lean):.0f} deg at ride height; a twin-tube with a free oil surface takes in "
                f"its gas past {degrees(FREE_OIL_LEAN):.0f} deg. Stand it up, or fit one with a gas cell or a monotube."
            )
        line, knots = damper.lower(place, length)
        lines.append(NamedLine(name, "damper", key, line, knots))
    if axle.wind_up_link is not None:
        # The bar pulls and pushes, its bushes only resist speed: two lines between the same eyes.
        spring_line, bush_line = axle.wind_up_link.lower(place, forward, up)
        lines.append(NamedLine(name, "link", "wind_up_link", *spring_line))
        lines.append(NamedLine(name, "link bushes", "wind_up_link", *bush_line))
    if axle.strap is not None:
        line, knots = axle.strap.lower(place)
        lines.append(NamedLine(name, "strap", "strap", line, knots))
    return lines
