"""What was typed and is possible, but hardly meant: with file, line, what was given, what is usual, and the slip that explains it."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel

from sim.describe.doubt import NO_SOURCE, without_doubt
from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE, TyreAsMeasured, Weighed, person_of
from sim.describe.estimates.truck import AXLES, read_si
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.files.reader import Document, Place
from sim.describe.files.slips import si_of, slip
from sim.describe.notations import NUMBER, has_kilograms_as_force, has_thousands, one_number
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.usual import FRONT_SHARE, HARDLY, NO_HAND_TEST, OTHER_UNITS, PITCH_INERTIA, RIM, USUAL_RANGES, Usual
from sim.describe.written_unit import in_the_unit_of


@dataclass(frozen=True)
class Notice:
    """What is said of one number that is possible, but hardly meant.

    Attributes
    ----------
    place : tuple of (str or int)
        Where it stands in its document.
    head : str
        File, line and path.
    lines : tuple of str
        What is said: that it is unusual, what was given, what is usual, what to try.
    """

    place: Place
    head: str
    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it, as a command says it."""
        return f"{self.head}: " + "\n    ".join(self.lines)

    @property
    def beside(self) -> str:
        """What is said beside the box or the question that it is of, which says the rest: without place and given value."""
        return "; ".join(line for line in self.lines if not line.startswith("given: "))


def hardly_meant(part: Any, document: Document, prefix: Place = ()) -> tuple[str, ...]:
    """Return a notice in words for every number of a part, and of all that it holds, that is possible but hardly meant."""
    return tuple(notice.text for notice in unusual(part, document, prefix))


def unusual(part: Any, document: Document, prefix: Place = ()) -> tuple[Notice, ...]:
    """Return a notice for every number of a part, and of all that it holds, that is possible but hardly meant.

    Parameters
    ----------
    part : model
        What stands at `prefix` in the document, validated.
    """
    notices = []
    for key, place, value, si in _numbers(part, prefix, ""):
        written = _count_at(document, place) if key in COUNTED_KEYS else written_at(document, place)
        # A number that the file does not have is a default of ours, or comes of a file that this one names.
        if written is None or place in document.estimates:
            continue
        usual = USUAL_RANGES.get(key)
        if usual is not None and value != 0.0 and not usual.low <= abs(value) <= usual.high:
            notices.append(_unusual(document, place, written, value, si, usual, NO_HAND_TEST.get(key, "")))
        if place[-1] == "above_ground" and value < 0.0:
            notices.append(Notice(place, head_of(document, place), _in_the_ground(written, value)))
        if has_thousands(written) or (si == "N/m" and has_kilograms_as_force(written)):
            notices.append(_read_as(document, place, written, value, si))
    if isinstance(part, Weighed) and not notices:  # of a load that is hardly meant by itself no share follows
        notices += _front_share(part, document, prefix)
    if isinstance(part, Weighed):
        notices += _people(part, document, prefix)
    if isinstance(part, TyreAsMeasured):
        notices += _odd_size(part, document, prefix)
    if isinstance(part, Vehicle):
        notices += _pitch_inertia(part, document)
        notices += _odd_dampers(part, document, prefix)
    return tuple(notices)


def _numbers(part: Any, place: Place, above: str) -> Iterator[tuple[str, Place, float, str]]:
    """Yield every number with its key in the table of usual ranges, its place, its value and its SI unit."""
    if isinstance(part, BaseModel):
        owner = type(part).__name__
        for name, field in type(part).model_fields.items():
            value = getattr(part, name)
            if isinstance(value, float) or (f"{owner}.{name}" in COUNTED_KEYS and value is not None):
                # A point says nothing of what it is a point of: its key is that of the part around it.
                own, around = f"{owner}.{name}", f"{above}.{name}"
                yield around if around in USUAL_RANGES else own, (*place, name), value, si_of(field)
            else:
                yield from _numbers(value, (*place, name), f"{owner}.{name}")
    elif isinstance(part, Mapping):
        for name, inner in part.items():
            yield from _numbers(inner, (*place, name), above)
    elif isinstance(part, tuple | list):
        for number, inner in enumerate(part):
            yield from _numbers(inner, (*place, number), above)


def written_at(document: Document, place: Place) -> str | None:
    """Return the text at a place of the document; None if there is no text."""
    data: Any = document.data
    for step in place:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return None
    return data if isinstance(data, str) else None


COUNTED_KEYS = ("Coil.active_coils", "LeafPack.leaves", "DamperSet.count")
"""Numbers without a unit whose slip is a decimal point that was left out, or a digit typed twice."""


def _count_at(document: Document, place: Place) -> str | None:
    """Return a count as it is written, which a file's reader has as a number; None if the file has none."""
    data: Any = document.data
    for step in place:
        data = data.get(step) if isinstance(data, Mapping) else None
    return None if data is None or place in document.estimates else str(data)


def head_of(document: Document, place: Place) -> str:
    """Return file, line and path of a place."""
    mark = document.mark(place)
    return f"{mark.file}:{mark.line}:{mark.column}: {'.'.join(map(str, place))}"


def _unusual(
    document: Document, place: Place, written: str, value: float, si: str, usual: Usual, instead: str
) -> Notice:  # fmt: skip
    return Notice(place, head_of(document, place), unusual_lines(written, value, si, usual, instead))


def unusual_lines(written: str, value: float, si: str, usual: Usual, instead: str = "") -> tuple[str, ...]:
    """Return what is said of a number out of its usual range: what was given, what is usual, and the slip that explains it, if one does.

    Parameters
    ----------
    written : str
        As a person has it.
    value : float
        What it is [SI].
    si : str
        Its SI unit.
    usual : Usual
    instead : str
        What is said in place of "possible, but hardly meant".
    """
    lines = [
        instead or HARDLY,
        f"given: {written}",
        f"usual: {_range(written, usual.low, usual.high)} for {usual.of} ({usual.source})",
    ]
    said_of_slip = slip(written, value, si, usual, digits=not instead)
    if said_of_slip:
        lines.append(f"try: {said_of_slip}")
    return tuple(lines)


def _in_the_ground(written: str, value: float) -> tuple[str, ...]:
    """Return what is said of a place that lies under the ground on which the truck was measured."""
    return (
        HARDLY,
        f"given: {written}",
        "usual: more than 0, as it is a height above the ground",
        f"try: {in_the_unit_of(written, -value)}?",
    )


def _range(written: str, low: float, high: float) -> str:
    """Return a range in the unit that was written."""
    ends = [in_the_unit_of(written, end) for end in (low, high)]
    numbers = [NUMBER.match(end) for end in ends]
    if not all(numbers):
        return " to ".join(ends)
    rounded = [
        f"{float(match[1]):.3g}" if abs(float(match[1])) < 1000 else f"{float(match[1]):.0f}"
        for match in numbers
        if match
    ]
    unit = numbers[1][2] if numbers[1] else ""
    return f"{rounded[0]} to {rounded[1]} {unit}".strip()


def _read_as(document: Document, place: Place, written: str, value: float, si: str) -> Notice:
    """Say how a notation was read that means something else elsewhere."""
    plain = one_number(written, length=si == "m")
    said = (
        f"'{written}' is read as {plain}: the comma as a thousands mark. If it is a decimal comma, write a point"
        if has_thousands(written)
        else f"'{written}' is read with kg as a force (kgf): {show(value, 'stiffness')}"
    )
    return Notice(place, head_of(document, place), (said,))


def _pitch_inertia(vehicle: Vehicle, document: Document) -> list[Notice]:
    """Return a notice if the body's pitch inertia is far from what its mass and wheelbase let one expect."""
    body, place = vehicle.body, ("body", "pitch_inertia")
    written = written_at(document, place)
    behind = body.centre_of_gravity.behind_front_axle
    product = body.mass * behind * (vehicle.wheelbase - behind)
    low, high = (share * product for share in PITCH_INERTIA)
    mass = USUAL_RANGES["Body.mass"]
    # Of a mass that is hardly meant nothing follows.
    if (
        written is None
        or place in document.estimates
        or not mass.low <= body.mass <= mass.high
        or product <= 0.0
        or low <= body.pitch_inertia <= high
    ):
        return []
    usual = Usual(
        low, high, "its mass and wheelbase: mass x distances of its centre of gravity from both axles x "
        f"{PITCH_INERTIA[0]:g} to {PITCH_INERTIA[1]:g}", f"from memory, {NO_SOURCE.split(', ')[1]}",
    )  # fmt: skip
    return [_unusual(document, place, written, body.pitch_inertia, "kg*m^2", usual, "")]


def _odd_dampers(vehicle: Vehicle, document: Document, prefix: Place) -> list[Notice]:
    """Return a notice if an axle has an odd number of dampers past one: then one side has more than the other, and the model knows no sides."""
    notices = []
    for name, axle in vehicle.axles:
        whole = sum(damper.count for damper in axle.dampers.values())
        # One alone may be meant: against wind-up, say.
        odd = [key for key, damper in axle.dampers.items() if damper.count % 2]
        if whole < 3 or whole % 2 == 0:
            continue
        place = (*prefix, name, "dampers", odd[0], "count")
        lines = (
            "possible, but hardly meant: both sides of an axle are taken as alike, and all dampers of a set as one in the middle",
            f"given: {whole} dampers on the {name} axle",
            f"usual: an even number, as many on the left as on the right ({NO_SOURCE})",
            "try: count is of the whole axle: 2 for one a side, 4 for two a side",
        )
        notices.append(Notice(place, head_of(document, place), lines))
    return notices


def _odd_size(tyre: TyreAsMeasured, document: Document, prefix: Place) -> list[Notice]:
    """Return a notice of a size whose rim or whole diameter no tyre of such a truck has: mostly two digits of it are crossed."""
    place = (*prefix, "size")
    size, written = tyre_size(tyre.size or ""), written_at(document, place)
    if size is None or written is None or place in document.estimates:
        return []
    for usual, value, what in (
        (RIM, size.rim, "a rim"),
        (USUAL_RANGES["TyreAsMeasured.outside_diameter"], size.diameter, "a tyre"),
    ):
        if not usual.low <= value <= usual.high:
            lines = (
                HARDLY,
                f"given: {written}, {what} of {show(value, 'length')}",
                f"usual: {show(usual.low, 'length')} to {show(usual.high, 'length')} for {usual.of} ({usual.source})",
                "try: write it as it stands on the wall: 285/75R16 has the rim's inches last",
            )
            return [Notice(place, head_of(document, place), lines)]
    return []


_A_LOAD = re.compile(
    r"\d\s*(?:kg|lbs?|pounds?)\b|\b(?:me|i|men|man|women|woman|people|persons?|drivers?|passengers?)\b", re.IGNORECASE
)
"""Words of what was aboard that speak of people or of a mass."""


def _slip_aboard(word: str) -> str:
    """Return what was meant by a word of what was aboard that is a slip of typing, or the answer to another question; empty if it is neither."""
    close = get_close_matches(word.lower(), LOADS_OF_PEOPLE, n=1, cutoff=0.75)
    if close:
        return close[0]
    return "who and what was aboard: that is a length" if read_si(word, "length") is not None else ""


def _people(weighed: Weighed, document: Document, prefix: Place) -> list[Notice]:
    """Return a notice for every word of what was aboard that names people or a mass, and yet is no load that can be taken out."""
    notices = []
    for number, word in enumerate(weighed.aboard):
        place = (*prefix, "aboard", number)
        if person_of(word) is not None:
            continue
        if meant := _slip_aboard(word):
            lines = (HARDLY, f"given: {word}", f"try: {meant}")
            notices.append(Notice(place, head_of(document, place), lines))
            continue
        if not _A_LOAD.search(word):
            continue
        lines = (
            "taken as a part of the body as it was weighed, which no set-up can take out",
            f"given: {word}",
            f"try: {' and '.join(LOADS_OF_PEOPLE)} for people, each a load of its own, 'driver 95 kg' with his own weight; what else was aboard under loads, with mass and place",
        )
        notices.append(Notice(place, head_of(document, place), lines))
    return notices


def _front_share(weighed: Weighed, document: Document, prefix: Place) -> list[Notice]:
    """Return a notice if the front axle's share of both loads is hardly a truck's: mostly one of them has the other's unit."""
    texts = {axle: written_at(document, (*prefix, axle)) or "" for axle in AXLES}
    loads = {axle: read_si(text, "mass") or 0.0 for axle, text in texts.items()}
    if not all(loads.values()) or _is_usual_share(loads):
        return []
    both = {axle: text for axle in AXLES if (text := _less_the_other(axle, texts, loads))}
    slips = [(axle, slip) for axle in AXLES for slip in _of_another_unit(axle, texts, loads)]
    low, high = FRONT_SHARE
    lines = [
        f"possible, but hardly meant: the front axle carries {100 * loads['front'] / sum(loads.values()):.0f} % of both loads",
        f"given: front {texts['front']}, rear {texts['rear']}",
        f"usual: {100 * low:.0f} to {100 * high:.0f} % for such a truck ({NO_SOURCE}); less with a loaded bed",
    ]
    # Of two loads in one unit their order is the likelier slip, of two units the unit.
    units = {
        match[2] for text in texts.values() if (match := NUMBER.match(without_doubt(one_number(text, length=False))))
    }
    crossed = len(units) == 1 and _is_usual_share({"front": loads["rear"], "rear": loads["front"]})
    if crossed:
        lines.append(f"try: front {texts['rear']}, rear {texts['front']}, if they are crossed")
    lines += [f"try: {axle} {text}, if {texts[axle]} is both axles together" for axle, text in both.items()]
    if slips:
        lines.append(
            f"try: {' or '.join(slip for _, slip in slips)} would be usual{' too' if crossed else ''}: look at the unit"
        )
    # At the load that is hardly meant, where one of both explains it.
    at_fault = next(iter((*both, *(axle for axle, _ in slips))), "front")
    return [Notice((*prefix, at_fault), head_of(document, (*prefix, at_fault)), tuple(lines))]


def _less_the_other(axle: str, texts: Mapping[str, str], loads: Mapping[str, float]) -> str:
    """Return an axle's load as it would be if that of the whole truck was written in its place; empty if that is no usual truck."""
    other = next(one for one in AXLES if one != axle)
    load, usual = loads[axle] - loads[other], USUAL_RANGES[f"Weighed.{axle}"]
    is_usual = usual.low <= load <= usual.high and _is_usual_share({**loads, axle: load})
    return in_the_unit_of(texts[axle], round(load, 1)) if is_usual else ""


def _is_usual_share(loads: Mapping[str, float]) -> bool:
    low, high = FRONT_SHARE
    return low <= loads["front"] / sum(loads.values()) <= high


def _of_another_unit(axle: str, texts: Mapping[str, str], loads: Mapping[str, float]) -> Iterator[str]:
    """Yield an axle's load in another unit, if that makes a usual truck of both."""
    match = NUMBER.match(without_doubt(one_number(texts[axle], length=False)))
    usual = USUAL_RANGES[f"Weighed.{axle}"]
    for unit, factor in OTHER_UNITS["kg"] if match else ():
        load = abs(float(match[1])) * factor if match else 0.0
        if match and unit != match[2] and usual.low <= load <= usual.high and _is_usual_share({**loads, axle: load}):
            yield f"{axle} {match[1]} {unit}"


LEAST_OF_RADIUS = 0.8
"""Height of a standing axle's centre as a share of its tyre's radius: less is a flat tyre; common practice, no source."""


def off_their_tyres(vehicle: Vehicle, document: Document) -> tuple[Notice, ...]:
    """Return a notice for every taped height of an axle that its tyre does not let it have."""
    notices = []
    for name, axle in vehicle.axles:
        place = (name, "axle_height")
        written = written_at(document, place)
        height = read_si(written, "length")
        radius = axle.tyre.radius
        if written is None or height is None or LEAST_OF_RADIUS * radius <= height <= radius:
            continue
        low, high = (in_the_unit_of(written, share * radius) for share in (LEAST_OF_RADIUS, 1.0))
        usual = f"usual: {low} to {high}, as its tyre has a radius of {show(radius, 'length')} off the ground"
        notices.append(Notice(place, head_of(document, place), (HARDLY, f"given: {written}", usual)))
    return tuple(notices)
