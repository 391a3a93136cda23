"""Other tyres that are planned: by the size on their wall or their outside diameter, of either axle or of both."""

from collections.abc import Iterator, Mapping, Sequence
from math import pi
from typing import Any

from pydantic import ValidationError

from sim.describe.estimates.as_measured import TyreAsMeasured
from sim.describe.estimates.truck import AXLES, read_si
from sim.describe.estimates.tyre_size import looks_like_size, tyre_size
from sim.describe.files.two_tyre_sizes import WINDS_UP
from sim.describe.parts.vehicle import Vehicle
from sim.describe.wrong import first_in_words
from sim.errors import InputError, Problem
from sim.linear.standing import Standing, stand
from sim.study.lift import Row

NAME = "other tyres"
"""What a set-up with them is called."""


def diameter_of(text: str, where: str) -> float:
    """Return the outside diameter [m] of tyres that are planned.

    Raises
    ------
    InputError
        If it is neither a size nor a diameter, or no tyre is so big.
    """
    read = tyre_size(text)
    if read is not None:
        return read.diameter
    key = _key(text)
    try:
        tyre = TyreAsMeasured.model_validate({key: text})
    except ValidationError as error:
        if key == "size":
            raise InputError(Problem(first_in_words(error, text), where=where, given=text)) from None
        # The words for a length would have an example of any length: who types 35 must see a tyre's.
        raise InputError(
            Problem(
                "no size of a tyre and no diameter with its unit", where=where, given=text,
                suggestion="write the size as on the wall, 35x12.50R15 or 285/75R16, or the outside diameter, 35 in",
            )
        ) from None  # fmt: skip
    return float(tyre.outside_diameter or 0.0)


def tyre_changes(vehicle: Vehicle, wanted: Mapping[str, str]) -> dict[str, str]:
    """Return what a set-up with the tyres that are planned changes; nothing where none are.

    Parameters
    ----------
    vehicle : Vehicle
        As measured: of another nobody knows what follows from a size.
    wanted : mapping of str to str
        From an axle to the size of its tyres, as it was written.

    Raises
    ------
    InputError
        If the truck has tyres of that size already, or is not described as weighed.
    """
    # A truck with every number in its file has no estimate that a size could renew.
    if any(wanted.values()) and not vehicle.estimates:
        raise InputError(
            Problem(
                "a size says radius, rate and weight only of a truck that is written as weighed", where="planned tyres",
                suggestion="write a set-up with radius, rate and heavier_by of the tyres",
            )
        )  # fmt: skip
    other = {axle: text for axle in AXLES if (text := wanted.get(axle, "")) and not _has(vehicle, axle, text)}
    given = ", ".join(dict.fromkeys(wanted.values()))
    if given and not other:
        raise InputError(
            Problem(
                "the truck has tyres of this size already", where="planned tyres", given=given,
                suggestion="the size that is to come, or leave it out",
            )
        )  # fmt: skip
    return {f"{axle}.tyre.{_key(text)}": text for axle, text in other.items()}


def called(changes: Mapping[str, Any]) -> str:
    """Return what a set-up with other tyres is called, which has them in front, behind or both."""
    on = {path.partition(".")[0] for path in changes}
    return NAME if len(on) == len(AXLES) else f"{NAME} {'in front' if 'front' in on else 'behind'}"


def with_other_tyres(vehicle: Vehicle, changes: Mapping[str, str]) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """Return a truck before and after other tyres, and what it means.

    Raises
    ------
    InputError
        If it cannot be so.
    RunError
        If it cannot stand so.
    """
    standing = stand(vehicle), stand(vehicle.changed(changes))
    rows = [row for axle in AXLES if any(path.startswith(axle) for path in changes) for row in _rows(standing, axle)]
    rows += [
        Row(before.label, before.quantity, before.value, after.value)
        for before in standing[0].clearances
        for after in standing[1].clearances
        # A bigger tyre may reach a point that a smaller one left free: then there is nothing to set beside it.
        if after.key == before.key
    ]
    said: dict[str, list[str]] = {}
    for axle in AXLES:
        turns = [_turn(one, axle) for one in standing]
        more = 100.0 * (turns[1] / turns[0] - 1.0)
        if abs(more) >= LEAST_GEARING:
            # It counts turns of the wheel, and takes each for what one covered before.
            off = f"{100.0 * abs(more) / (100.0 + more):.0f} % too {'low' if more > 0.0 else 'high'}"
            said.setdefault(
                f"in the same gear it goes {abs(more):.0f} % {'faster and pulls less' if more > 0.0 else 'slower and pulls more'}; "
                f"a final drive {abs(more):.0f} % {'shorter' if more > 0.0 else 'longer'} gives it back. A speedometer driven from there reads {off}.",
                [],
            ).append(axle)
    notes = [f"{' and '.join(axles).capitalize()}: {text}" for text, axles in said.items()]
    # Bigger ones on one axle alone are half of a plan.
    notes += [
        " ".join(f"{text[0].upper()}{text[1:]}." for text in _notice(one.lines))
        for one in standing[1].vehicle.unusual
        if one.lines[0] == WINDS_UP
    ]
    taped = any(one.key.endswith("_wing") for one in standing[1].clearances)
    return tuple(rows), (*notes, ESTIMATED + (AS_TAPED if taped else NOT_TAPED), BIGGER)


def _notice(lines: Sequence[str]) -> tuple[str, str, str]:
    """Return the sentences of a notice on tyres of two sizes, without the words that its lines begin with."""
    # A size keeps its letters: 35x12.50R15.
    return lines[0], lines[1].removeprefix("given: "), lines[3].removeprefix("try: ")


LEAST_GEARING = 1.0
"""Change of what a turn of a wheel covers, in per cent, from which on it is worth a word; ours, no source."""

ESTIMATED = "Estimated from their size: rate, weight and spin inertia, each with its spread. "
NOT_TAPED = "Whether they clear arches, arms, springs and brake hoses at full lock and full bump is not looked at: try one, with the springs out."
AS_TAPED = "From tyre to wing is of the points that were taped, wheels straight ahead: arms, springs and brake hoses, full lock and a crossed axle are not looked at. Try one, with the springs out."
BIGGER = "Bigger tyres want more pedal for the same stop, and the truck tips sooner. Local rules and licensed practice come first."


def _rows(standing: tuple[Standing, Standing], axle: str) -> Iterator[Row]:
    """Yield what other tyres change at an axle."""
    tyres = [dict(one.vehicle.axles)[axle].tyre for one in standing]
    at_rest = [one.axles[axle] for one in standing]
    yield Row(f"{axle}: radius of the tyre, off the ground", "length", *(one.radius for one in tyres))
    yield Row(f"{axle}: axle's centre above the ground", "length", *(one.centre_height for one in at_rest))
    yield Row(f"{axle}: frame above the ground, against the truck as it is", "length", 0.0, _up(standing, axle))
    yield Row(f"{axle}: load on the ground", "load", *(one.load for one in at_rest))
    yield Row(f"{axle}: what moves with the axle", "mass", *(one.unsprung_mass for one in at_rest))
    yield Row(f"{axle}: rate of one tyre", "stiffness", *(one.rate_driven for one in tyres))
    if tyres[0].spin_inertia and tyres[1].spin_inertia:
        yield Row(f"{axle}: spin inertia of one wheel", "inertia", *(one.spin_inertia or 0.0 for one in tyres))
    yield Row(f"{axle}: road covered in one turn of the wheel", "distance", *(_turn(one, axle) for one in standing))


def _up(standing: tuple[Standing, Standing], axle: str) -> float:
    """Return how much higher the frame stands over an axle [m]: by its wheels and by its springs."""
    before, after = (one.axles[axle] for one in standing)
    return after.centre_height - before.centre_height + after.frame_up - before.frame_up


def _turn(standing: Standing, axle: str) -> float:
    """Return what one turn of a wheel covers [m]: by its rolling radius, the radius less a share of what the tyre gives."""
    tyre, at_rest = dict(standing.vehicle.axles)[axle].tyre, standing.axles[axle]
    return 2.0 * pi * (tyre.radius - tyre.rolling_share * (tyre.radius - at_rest.centre_height))


def _key(text: str) -> str:
    is_length = tyre_size(text) is None and not (looks_like_size(text) and read_si(text, "length") is None)
    return "outside_diameter" if is_length else "size"


AS_BIG_M = 1e-3
"""Difference of two diameters [m] that no tape round a tread tells."""


def _has(vehicle: Vehicle, axle: str, text: str) -> bool:
    """Tell whether an axle's tyres are of a size already, or as big where only a diameter is known of one of both."""
    now, wanted = tyre_size(vehicle.tyre_size(axle)), tyre_size(text)
    if now is not None and wanted is not None:
        return now == wanted
    if wanted is not None:
        return False  # of another width, which weighs and gives otherwise
    return abs(diameter_of(text, axle) - 2.0 * dict(vehicle.axles)[axle].tyre.radius) < AS_BIG_M
