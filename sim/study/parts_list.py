"""What is to be ordered for a set-up: whatever it changes against the truck as measured, part by part; and what stays."""

from collections.abc import Iterator, Mapping, Sequence
from math import isfinite, nan

from sim.describe.doubt import NO_SOURCE
from sim.describe.parts.axle import Axle
from sim.describe.parts.places import AxlePoint, BodyPoint
from sim.describe.parts.springs import SeatSpring, SpringDescription
from sim.describe.parts.springs.base import LIFTS_ON_TOP
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import estimated, listed
from sim.integrate.cures import DEAD_LENGTH
from sim.study.concluded import Concluded
from sim.study.fit import Fit
from sim.study.little_droop import LittleDroop
from sim.study.ordered_length import show_ordered
from sim.study.other_tyres import tyres_in_words
from sim.study.parts import Part, PartsList
from sim.study.spring_order import BETWEEN, STEP, SpringOrder

BOLTS = f"Their bolts are not described yet: bolt to bolt as taped there with the axle hanging, less what they stretch ({NO_SOURCE})"

U_BOLTS = 2
"""U-bolts that hold one pack to its axle; common practice, no source."""

OFFERED = 5e-3
"""From which change of a spring's length [m] on it is said what would bring the measured height back; ours, no source."""

HEIGHT = "coil", "leaf pack", "spacer", "block", "shackle", "other"
"""Kinds of parts that may turn an axle."""

OTHERS = {
    "tyre": "tyres", "guide": "arms or guide", "housing": "axle and wheels", "wind_up_link": "link against wind-up",
    "fore_and_aft": "give along the truck", "shafts": "final drive and shafts", "brakes": "brakes", "propshaft": "propshaft",
    "drag_link": "drag link",
}  # fmt: skip
"""Parts of an axle that no line of the list is made for, in words."""


def parts_list(
    vehicle: Vehicle, springs: Sequence[SpringOrder], dampers: Sequence[Concluded], heights: Mapping[str, float],
    little: Mapping[str, LittleDroop] | None = None,
) -> PartsList:  # fmt: skip
    """Return what a set-up needs.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    springs : sequence of SpringOrder
        Of all its springs.
    dampers : sequence of Concluded
        What comes of all its damper sets.
    heights : mapping of str to float
        Heights [m] that were asked for, by axle: springs are ordered for them.
    little : mapping of str to LittleDroop, optional
        Axles of which the lift has taken most of the droop: their straps and dampers do not stay without a word.
    """
    little = little or {}
    order: list[Part] = []
    stays: list[str] = []
    off: list[str] = []
    offers: list[str] = []
    for axle, part in vehicle.axles:
        before = dict(vehicle.reference.axles)[axle]
        for one in (one for one in springs if one.axle == axle):
            _spring(one, part, before, axle in heights, order, stays, offers)
        for key in (key for key in before.springs if key not in part.springs):
            off.append(f"{axle} springs '{key}'")
        for concluded in (one for one in dampers if one.fit.axle == axle):
            _damper(concluded, part, before, order, stays, little.get(axle))
        for key in (key for key in before.dampers if key not in part.dampers):
            off.append(f"{axle} dampers '{key}'")
        _stop(vehicle, axle, part, before, order, stays, off)
        _strap(vehicle, axle, part, before, order, stays, off, little.get(axle))
        for key, words in OTHERS.items():
            if _differs(part, before, key):
                other = tyres_in_words(vehicle, axle) if key == "tyre" else _other(part, before, key)
                order.append(Part(axle, "other", 0, words, other))
    return PartsList(tuple(order), tuple(stays), tuple(off), tuple(offers))


OF_THE_PACK = {"fixed_half_length", "wind_up"}
"""What of an axle's guide by leaf packs is the pack's own: a line of the list is made for that."""


def _differs(part: Axle, before: Axle, key: str) -> bool:
    now, was = getattr(part, key), getattr(before, key)
    if key == "guide" and now.is_leaves and was.is_leaves:
        return bool(now.model_dump(exclude=OF_THE_PACK) != was.model_dump(exclude=OF_THE_PACK))
    return bool(now != was)


def _without_between(spring: SpringDescription) -> dict[str, object]:
    return spring.model_dump(exclude=set(BETWEEN))


def _spring(
    one: SpringOrder, part: Axle, before: Axle, asked: bool, order: list[Part], stays: list[str], offers: list[str]
) -> None:  # fmt: skip
    spring, measured = part.springs[one.name], before.springs.get(one.name)
    words = _spring_words(one)
    first = f"measure {listed(one.unmeasured)}" if one.unmeasured else ""
    who = f"{'coils' if one.coil else 'leaf packs'} '{one.name}'"
    own = measured is None or _without_between(spring) != _without_between(measured)
    # A new one is new whatever its length; of one that is there another length is another spring.
    if own or (asked and abs(one.order - one.free) >= STEP):
        kind = "coil" if one.coil else "leaf pack"
        order.append(Part(one.axle, kind, one.count, who, words, first, one.order if one.coil else one.arch))
        if not one.coil:
            more = _block(spring) - _block(measured)
            order.append(_u_bolts(one, more if abs(more) >= STEP else 0.0))
    else:
        if isfinite(one.order) and abs(one.order - one.free) >= OFFERED and not one.as_set_up:
            offers.append(
                f"{one.axle} {who}: only if it is to stand at the measured height again with these loads aboard, {words}"
            )
        stays.append(f"{one.axle} {who}")
    order.extend(_between(one, part, spring, measured, own))


def _spring_words(one: SpringOrder) -> str:
    if not isfinite(one.order):
        return f"{show(one.rate, 'stiffness')}; its length is not known: see its sheet"
    length = (
        f"free length {show_ordered(one.order, one.inches)}"
        if one.coil
        else f"arch without load, more than at ride as measured: {show_ordered(one.arch, one.inches)}"
    )
    return f"{length}, {show(one.rate, 'stiffness')} each"


def _block(spring: SpringDescription | None) -> float:
    return float(getattr(spring, "block", 0.0)) if spring is not None else 0.0


def _which_way(spring: SpringDescription) -> str:
    """Return which way a block moves the truck, as far as it is known where its pack lies."""
    if not isinstance(spring, SeatSpring) or spring.seat_above > 0.0:
        return ""
    return (
        "; between axle and pack below it, where it lowers the truck"
        if spring.is_under
        else f"; {LIFTS_ON_TOP}: look before they are ordered"
    )


def _u_bolts(one: SpringOrder, more: float) -> Part:
    longer = (
        f"{show(abs(more), 'length')} {'longer' if more > 0.0 else 'shorter'} than those fitted"
        if more
        else "as long as those fitted, and longer by what the new pack is thicker"
    )
    return Part(
        one.axle, "U-bolt", U_BOLTS * one.count, "U-bolts with nuts",
        f"{longer}; new ones, as used ones have stretched ({NO_SOURCE})", size=more or nan,
    )  # fmt: skip


def _between(
    one: SpringOrder, part: Axle, spring: SpringDescription, measured: SpringDescription | None, own: bool
) -> Iterator[Part]:
    """Yield what stands between a spring and the truck, where it differs."""
    for key, what in (("spacer", "coil spacers"), ("block", "lift blocks")):
        now, was = (float(getattr(s, key, 0.0)) if s is not None else 0.0 for s in (spring, measured))
        if abs(now - was) < 1e-6:
            continue
        if now:
            instead = f", in place of those of {show(was, 'length')}" if was else ""
            single = f"; one piece, never one block on another{_which_way(spring)}" if key == "block" else ""
            yield Part(one.axle, key, one.count, what, f"{show(now, 'length')} thick{instead}{single}", size=now)
        else:
            yield Part(one.axle, key, 0, what, f"taken out: those of {show(was, 'length')}", size=0.0)
        if key == "block" and not own:
            yield _u_bolts(one, now - was)
    higher = (getattr(s, "seat_above", 0.0) if s is not None else 0.0 for s in (spring, measured))
    if abs(moved := next(higher) - next(higher)) >= 1e-6 and measured is not None:
        way = "higher" if moved > 0.0 else "lower"
        yield Part(
            one.axle, "other", one.count, "spring seats",
            f"{show(abs(moved), 'length')} {way} on the axle than those fitted, with U-bolts to suit; what is welded to an axle is a licensed welder's work", size=moved,
        )  # fmt: skip
    up = (float(getattr(s, "shackle_lift", 0.0)) if s is not None else 0.0 for s in (spring, measured))
    lift = next(up) - next(up)
    if abs(lift) >= 1e-6:
        longer = part.guide.shackle(lift, spring.sides_m if isinstance(spring, SeatSpring) else None)
        if longer is not None:
            way = "longer" if lift > 0.0 else "shorter"
            yield Part(
                one.axle, "shackle", one.count, "shackles",
                f"{show(abs(longer.longer), 'length')} {way} between their eyes than those fitted; a pair of plates each", size=longer.longer,
            )  # fmt: skip


def _damper(
    one: Concluded, part: Axle, before: Axle, order: list[Part], stays: list[str], little: LittleDroop | None
) -> None:
    fit = one.fit
    measured = before.dampers.get(fit.name)
    who = f"dampers '{fit.name}'"
    if fit.strap:
        order.append(
            Part(
                fit.axle,
                "strap",
                2,
                "limit straps",
                f"{fit.strap} (damper '{fit.name}'). {BOLTS}",
                size=fit.places["ride"].length,
            )
        )
    if fit.spared and not one.offered and len(one.problems) == 1 and part.dampers[fit.name] == measured:
        # Nothing else is wrong with those fitted, and no other can be had: with a strap they stay.
        order.append(
            Part(
                fit.axle, "strap", 2, "limit straps",
                f"{fit.spared} (damper '{fit.name}', which no other can take the place of as it is mounted now): with them it stays. {BOLTS}",
                _first(one), fit.places["ride"].length,
            )
        )  # fmt: skip
        stays.append(f"{fit.axle} {who} (with those limit straps)")
    elif one.problems or one.instead:
        why = (
            ("they may not fit" if fit.verdict.startswith("may") else "they do not fit")
            if one.problems
            else one.instead
        )
        words = "no other can be ordered as they are mounted now: their sheet"
        if one.offered:
            offered = ", ".join(
                f"{show(length, 'length')} {word}"
                for length, word in zip(one.offered, ("collapsed at most", "extended at least"), strict=True)
            )
            words = f"{offered}; forces: the sheet of what is proposed"
        order.append(
            Part(
                fit.axle,
                "damper",
                fit.count,
                who,
                f"others than described ({why}): {words}",
                _first(one),
                one.offered[1] if one.offered else nan,
            )
        )
    elif measured is None or part.dampers[fit.name] != measured:
        ends = [
            f"{show(length, 'length')} {word}"
            for length, word in ((fit.collapsed, "collapsed"), (fit.extended, "extended"))
            if isfinite(length)
        ]
        order.append(
            Part(
                fit.axle,
                "damper",
                fit.count,
                who,
                f"{', '.join(ends) or 'lengths not given'}; forces and ends: their sheet",
                _first(one),
                fit.extended,
            )
        )
    elif little is not None and little.strokes.get(fit.name, 0.0) > 0.0 and isfinite(fit.extended):
        order.append(_longer_dampers(fit, little))
    else:
        # Estimated forces leave open how it rides, not whether it fits.
        known = one.fit.fits and not one.in_doubt
        stays.append(f"{fit.axle} {who}{'' if known else ' (whether they fit is not known yet: their sheet)'}")


def _longer_dampers(fit: Fit, little: LittleDroop) -> Part:
    """Return the dampers that would leave an axle the droop that it had."""
    wanted = fit.extended + little.strokes[fit.name]
    words = f"{little.left}; {show(wanted, 'length')} extended{' with longer straps' if little.strap else ''}"
    if isfinite(fit.collapsed):
        words += f", {show(fit.collapsed, 'length')} collapsed at most"
    words += f", leave the {show(little.before, 'length')} that there was"
    # Eyes, guide and piston are in both lengths, the stroke once in one and twice in the other.
    if wanted > 2.0 * fit.collapsed - DEAD_LENGTH:
        words += "; no damper is both, so set the mounts further apart, or fit bump stops that touch earlier"
    strap = f" ({fit.axle}.strap.length)" if little.strap else ""
    return Part(
        fit.axle, "damper", fit.count, f"dampers '{fit.name}'", words,
        f"decide how much droop is wanted, write it into the set-up{strap}, and take its sheet", wanted,
    )  # fmt: skip


def _first(one: Concluded) -> str:
    if one.in_doubt:
        return "in doubt: see its sheet"
    if one.fit.measured_first:
        return f"measure {listed(one.fit.measured_first)}"
    return "its forces are estimates" if one.guessed_forces else ""


def _stop(
    vehicle: Vehicle, axle: str, part: Axle, before: Axle, order: list[Part], stays: list[str], off: list[str]
) -> None:
    now, was = part.stop, before.stop
    if now == was:
        stays.extend([f"{axle} bump stops"] if now is not None else [])
    elif now is None:
        off.append(f"{axle} bump stops")
    else:
        taller = "" if was is None else _taller(was.gap - now.gap)
        known = vehicle.taped(axle, "stop").get("height", nan)
        height = f"{show(known, 'length')} high, " if isfinite(known) else ""
        order.append(
            Part(
                axle,
                "stop",
                now.count,
                "bump stops",
                f"{height}gap {show(now.gap, 'length')} where the truck was measured{taller}; give {show(now.squeeze, 'length')}, "
                f"{show(now.rate_first, 'stiffness')} at first touch, {show(now.rate_full, 'stiffness')} squeezed",
                _guess(vehicle, axle, "stop.gap", "the gap to the bump stop"),
                known if isfinite(known) else now.gap,
            )
        )


def _taller(by: float) -> str:
    """Return how much taller a stop is in the place of the one before, by the gap [m] that it takes."""
    return (
        f", so in the place of those before {show(abs(by), 'length')} {'taller' if by > 0.0 else 'lower'}" if by else ""
    )


def _strap(
    vehicle: Vehicle, axle: str, part: Axle, before: Axle, order: list[Part], stays: list[str], off: list[str],
    little: LittleDroop | None,
) -> None:  # fmt: skip
    now, was = part.strap, before.strap
    if now == was and now is not None and little is not None and little.strap:
        order.append(
            Part(
                axle, "strap", now.count, "limit straps",
                f"{little.left}; {show(now.length + little.up, 'length')} when just taut, "
                f"{show(little.up, 'length')} longer, leave the {show(little.before, 'length')} that there was, with dampers that are long enough",
                _guess(vehicle, axle, "strap.length", "the length of the limit strap"), now.length + little.up,
            )
        )  # fmt: skip
    elif now == was:
        stays.extend([f"{axle} limit straps"] if now is not None else [])
    elif now is None:
        off.append(f"{axle} limit straps")
    else:
        instead = "" if was is None or was.length == now.length else f", in place of {show(was.length, 'length')}"
        order.append(
            Part(
                axle,
                "strap",
                now.count,
                "limit straps",
                f"{show(now.length, 'length')} when just taut, bolt to bolt{instead}; {_upper(now.body)}; {_lower(now.axle)}",
                _guess(vehicle, axle, "strap.length", "the length of the limit strap"),
                now.length,
            )
        )


def _upper(point: BodyPoint) -> str:
    along = point.behind_front_axle
    where = f"{show(abs(along), 'length')} {'behind' if along > 0.0 else 'ahead of'}" if along else "over"
    return f"upper bolt {where} the front axle, {show(point.above_ground, 'length')} above the ground as measured"


def _lower(point: AxlePoint) -> str:
    along = (
        f"{show(abs(point.ahead), 'length')} {'ahead of' if point.ahead > 0.0 else 'behind'}" if point.ahead else "over"
    )
    up = (
        f", {show(abs(point.above), 'length')} {'above' if point.above > 0.0 else 'below'} its centre"
        if point.above
        else ", level with its centre"
    )
    return f"lower bolt {along} the axle{up}"


def _guess(vehicle: Vehicle, axle: str, path: str, words: str) -> str:
    return f"measure {words}" if f"{axle}.{path}" in estimated(vehicle) else ""


def _other(part: Axle, before: Axle, key: str) -> str:
    if getattr(part, key) is None:
        return "comes off"
    return "another one" if getattr(before, key) is not None else "to be fitted"
