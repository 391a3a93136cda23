"""What is read on the truck after the work, in words: lines of the page, of its CSV and of the screen."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import degrees, isfinite
from pathlib import Path

from sim.describe.doubt import NO_SOURCE
from sim.describe.shown import in_shown_units, show, show_parts, show_short, system
from sim.show.report.naming import listed
from sim.show.report.sheet_rows import BLANK, Rows
from sim.show.report.table_csv import Table
from sim.study.after_fitting import (
    AXLE,
    BOBS,
    DAMPER,
    DROP,
    FRAME,
    FREQUENCY,
    GAP,
    GIVE,
    LOAD,
    MOUNTS,
    TURN,
    AfterFitting,
    Case,
    Reading,
    push,
)  # fmt: skip
from sim.study.parts import PartsList
from sim.study.parts_list import HEIGHT

LEAST_SEEN = {"load": 100.0, "length": 2e-3, "angle": 0.2 / 57.3, "frequency": 0.03, "number": 0.25}
"""Width of a band [SI] that a weighbridge, a tape, an angle gauge and a count do not show."""

CAUSES = {
    LOAD: "parts or loads heavier or lighter than given",
    FRAME: "another spring, or not in its seat; another load; bushes tightened hanging",
    AXLE: "tyre pressure or size; another load",
    DAMPER: "mounts or height other than described",
    GAP: "stop of another height; height off",
    MOUNTS: "height off; brackets elsewhere",
    DROP: "strap of another length; height off",
    TURN: "arms, bushes, wedges or shackles other than ordered; height off",
    GIVE: "another rate; bushes or leaves that bind",
    BOBS: "more: damper weak or softer; fewer: firmer, or something binds",
    FREQUENCY: "another rate or load; leaves that bind",
}
"""What is likely where a reading is outside, in short words; common practice, no source."""

CAUTIONS = (
    "Measure on hard, level ground, wheels chocked. A raised truck stands on stands under its frame, never on a jack, a damper or a hose; "
    "nobody is under it while it is pushed, or its axle lowered to the strap.",
    "Push where the body is strong; hands and feet stay out of wheels and springs, nobody between truck and wall.",
    "At full droop and at steering lock: hoses, brake lines, shafts and steering free. Castor, toe and brakes are set and checked again after a "
    "change of height. Local rules and licensed practice come first.",
    "After the first drive, about 15 km (10 mi), and again after 160 km (100 mi) and 800 km (500 mi): U-bolts, wheel nuts, damper mounts, strap "
    f"and stop brackets are tightened again to their torque, and heights read again; {NO_SOURCE}.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it approves nothing.",
)

HEADS = "should read", "95 times in 100", "read", "if not, likely"
"""Of the columns; the last is common practice, without a source."""


@dataclass(frozen=True)
class Line:
    """One line of the page: what, what it should read and between what, in metric and inch; and what is likely if it does not."""

    axle: str
    what: str
    value: tuple[str, str]
    band: tuple[str, str]
    cause: str


def lines(case: Case) -> list[Line]:
    """Return the lines of one load case."""
    taut = taut_in_some_tries(case)
    return [
        Line(
            one.axle,
            _what(one),
            _value(one),
            _band(one),
            f"strap, taut in some tries; {CAUSES[one.kind]}"
            if one.axle in taut and one.kind == FREQUENCY
            else CAUSES[one.kind],
        )
        for one in case.readings
    ]


def taut_in_some_tries(case: Case) -> list[str]:
    """Return the axles whose strap is taut at rest in some tries of the numbers in doubt, and stiffens how they ride there.

    The band of such a ride frequency reaches to twice its value, and that of a push to as good as nothing: they are two trucks in one.
    """
    by_kind = {(one.axle, one.kind): one for one in case.readings}
    return [
        axle
        for (axle, kind), drop in by_kind.items()
        if kind == DROP and drop.low < TAUT_M
        and (ride := by_kind.get((axle, FREQUENCY))) is not None and ride.high > WIDE * ride.value
    ]  # fmt: skip


TAUT_M = 1e-3
"""Drop to the strap [m] below which it is taut: no tape tells it from nothing."""

WIDE = 1.3
"""From this share of a ride frequency on the upper end of its band is no rate's doubt: a rate would be off by two thirds."""


def _what(one: Reading) -> str:
    heights = isfinite(one.taped)
    turns = "castor" if one.axle == "front" else "pinion up"
    return {
        LOAD: "axle on the scale",
        FRAME: "frame over it, above the ground" if heights else "frame from the ground, against before",
        AXLE: "axle's centre, above the ground" if heights else "axle's centre, against before",
        DAMPER: f"damper '{one.name}', eye to eye",
        GAP: "gap to the bump stop",
        MOUNTS: "limit strap, bolt to bolt",
        DROP: "axle drops to the strap by",
        TURN: f"{turns}, against before",
        GIVE: "pushed, it goes down by",
        BOBS: "let go, it bobs (times)",
        FREQUENCY: "ride frequency",
    }[one.kind]


def _value(one: Reading) -> tuple[str, str]:
    if one.held and one.kind == BOBS:
        return "none to count: leaf friction holds it", ""
    if one.kind == BOBS:
        return f"{one.value:g}" if isfinite(one.value) else BLANK if one.value != one.value else "goes on", ""
    value = one.value + (one.taped if isfinite(one.taped) else 0.0)
    metric, inch = Rows.both(value, one.quantity)
    # A change says its way: heights that were not taped, and turns.
    seen = any(sign in "123456789" for sign in metric)
    if value > 0.0 and seen and (one.kind == TURN or (one.kind in (FRAME, AXLE) and not isfinite(one.taped))):
        return f"+{metric}", f"+{inch}" if inch else ""
    return metric, inch


DECIMALS = {"kg": 0, "lb": 0, "mm": 0, "in": 1, "deg": 1, "Hz": 2}
"""Of the ends of a band, which are not known better."""


def _band(one: Reading) -> tuple[str, str]:
    if not (isfinite(one.low) and isfinite(one.high)) or one.high - one.low < LEAST_SEEN[one.quantity]:
        return "", ""
    more = one.taped if isfinite(one.taped) else 0.0
    ends = zip(show_parts(one.low + more, one.quantity), show_parts(one.high + more, one.quantity), strict=True)
    texts = [f"{_end(low, unit)} to {_end(high, unit)} {unit}".strip() for (low, unit), (high, _) in ends]
    return texts[0], texts[1] if len(texts) > 1 else ""


def _end(number: float, unit: str) -> str:
    if not unit:  # bobs, in halves
        return f"{number:g}"
    text = f"{number:.{DECIMALS[unit]}f}"
    return text.lstrip("-") if float(text) == 0.0 else text


def aboard(after: AfterFitting, case: Case) -> str:
    """Return what is aboard in a case, in words."""
    if not case.as_measured:
        # Commas, as a load may have an `and` in its name.
        said = [
            f"{word} {', '.join(loads)}" for word, loads in (("with", case.loads), ("without", case.without)) if loads
        ]
        return ", ".join(said)
    return "loads as it was measured" + (f" ({listed(list(after.aboard))})" if after.aboard else "")


def heading(after: AfterFitting, case: Case) -> str:
    """Return the heading of a case."""
    first = aboard(after, case)
    return f"{first[:1].upper()}{first[1:]}{' (this set-up)' if case.own and len(after.cases) > 1 else ''}"


def notes(after: AfterFitting) -> list[str]:
    """Return how it is read, and what the band is."""
    one = push("front")
    said = [
        "How to read it: level ground, tyre pressure as it was, brakes off; what was aboard as it was measured is aboard again"
        + (f" ({listed(list(after.aboard))})" if after.aboard else "")
        + f". Bushes of arms and leaves are tightened with the truck on its wheels; drive it some 100 m (300 ft) and rock it "
        f"first ({NO_SOURCE}).",
        "Against before: more or less than was read before the work, so read and write down the same on the truck as it is; castor and pinion by an angle "
        "gauge. A reading outside of the band means that something was fitted, or was measured before, otherwise. Without a band it is known to what tape, "
        f"settling and eye show: {show_short(0.006, 'length', (0, 2))}, half a degree and half a bob either way ({NO_SOURCE}).",
        "The frame's height is that from the ground, as a tape reads it: with what the tyres give under another load, which is the axle's own line. "
        "The sheets of springs, jounce stand and jounce lift count the frame over the axle, without that.",
    ]
    for axle, within in after.rests_within.items():
        said.append(
            f"The friction of its leaves may leave the {axle} {show(within, 'length')} above or below these heights: push it down and let it come up "
            "slowly, lift it and let it down slowly, and take the middle."
        )
    for axle in dict.fromkeys(axle for case in after.cases for axle in taut_in_some_tries(case)):
        said.append(
            f"In some of the tries the {axle} limit strap is taut as the truck stands, so the upper end of the {axle} ride frequency is that of an axle "
            "that hangs in its strap, and not that of its springs: measure the strap first, and its band becomes narrow."
        )
    where = show_short(one.outside_wheels, "length", (0, 0))
    said.append(
        f"The push: {show(one.force, 'force')} on the bumper, {where} outside of the axle, held and let go; a bob is a swing there and back, counted in "
        f"halves until that end rests."
    )
    for reading in after.own.readings:
        if reading.kind == BOBS and reading.held:
            friction, onto = (show(force, "force") for force in reading.held)
            said.append(
                f"Of the push {onto} comes onto the {reading.axle} axle; the friction of its leaves is {friction}, and turns round as it is let go, which "
                "takes twice as much: one man hardly moves that end, and it shakes on its tyres. That it does not bob says nothing of its dampers."
            )
    if after.left_out:
        said.append(f"{after.left_out} more load case{'s' if after.left_out > 1 else ''} of the file: jounce stand.")
    return [in_shown_units(text) for text in said]


def short(after: AfterFitting) -> Iterator[str]:
    """Yield a line an axle for the screen: what it should read with the set-up's own loads."""
    for axle in ("front", "rear"):
        said = []
        for one in after.own.readings:
            if one.axle != axle or one.kind in (AXLE, MOUNTS):
                continue
            said.append(
                f"{SHORT[one.kind].format(name=one.name, turn='castor' if axle == 'front' else 'pinion')} {_shown(one)}"
            )
        yield f"{axle}: {'; '.join(said)}"


SHORT = {
    LOAD: "on the scale",
    FRAME: "frame", DAMPER: "'{name}' eye to eye", GAP: "stop gap", DROP: "strap taut after", TURN: "{turn}", GIVE: "pushed down",
    BOBS: "bobs", FREQUENCY: "rides at",
}  # fmt: skip


def _shown(one: Reading) -> str:
    if one.kind == BOBS and one.held:
        return "not to be counted: leaf friction holds it"
    metric, inch = _value(one)
    text = f"{metric} ({inch})" if inch else metric
    if one.kind == FRAME:
        return f"{text} {'above the ground' if isfinite(one.taped) else 'against before, from the ground'}"
    return text


def turns(after: AfterFitting, parts: PartsList) -> list[str]:
    """Return what the work does to castor and pinion, and what brings the measured ones back; nothing where no part of it turns an axle.

    Of a set-up with loads of its own both with them and with those with which it was measured. Castor is against the ground; a pinion's turn
    that counts for its shaft is against the frame. Below half a degree nothing is said.
    """
    if not any(part.kind in HEIGHT for part in parts.order):
        return []
    cases = [one for one in after.cases if one.own or (one.as_measured and not one.cannot)]
    said = []
    for axle, part in after.vehicle.axles:
        turned = [degrees(_turn(case, axle)) for case in cases]
        if max(map(abs, turned)) < LEAST_SAID:
            continue
        if max(turned) - min(turned) < degrees(LEAST_SEEN["angle"]):
            turned = turned[:1]
        what, where, gained, lost = (
            ("front castor", "against the measured", "the top of the axle forward", "the top of the axle back")
            if axle == "front"
            else ("rear pinion", "upwards against the frame", "it down", "it up")
        )
        sizes = listed(
            [
                f"{turn:+.1f} deg{f' ({aboard(after, case)})' if len(turned) > 1 else ''}"
                for turn, case in zip(turned, cases, strict=False)
            ]
        )
        way = gained if max(turned, key=abs) > 0.0 else lost
        by = f"{abs(turned[0]):.1f} deg" if len(turned) == 1 else "as much, for the loads with which it is driven"
        joints = "the front shaft's joint, which turns with it" if axle == "front" else "the joints of its shaft"
        how = _corrected_by(part.guide.is_leaves, part.guide.swings_about is not None)
        back = "to have the measured castor back" if axle == "front" else "to have it back"
        said.append(f"{what} {sizes} {where}; {back}, turn {way} by {by}: {how} ({NO_SOURCE}), and mind {joints}")
    return said


def _turn(case: Case, axle: str) -> float:
    """Return how far a housing is turned in a case [rad]: in front against the ground, behind against the frame."""
    value = next(one.value for one in case.readings if (one.axle, one.kind) == (axle, TURN))
    return value if axle == "front" else value - case.nose_up


LEAST_SAID = 0.5
"""Turn of an axle [deg] from which on it is said; what the trade sets castor to (common practice, no source)."""


def _corrected_by(leaves: bool, arms: bool) -> str:
    """Return by what a housing is turned in its guide."""
    if leaves:
        return "wedges between pack and axle"
    return "offset bushes, other arms or brackets" if arms else "the lengths of its links"


def write_csv(after: AfterFitting, warnings: Sequence[str], path: Path) -> None:
    """Write the page as CSV: loads, axle, what, what it should read and between what, a blank, and what is likely if it does not."""
    both = system() == "both"
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        systems = ("metric", "inch") if both else (system(),)
        table.writerow(
            ["aboard", "axle", "what", *(f"{head}, {one}" for head in HEADS[:2] for one in systems), *HEADS[2:]]
        )
        for case in after.cases:
            for line in lines(case):
                texts = [text for pair in (line.value, line.band) for text in pair[: len(systems)]]
                table.writerow([heading(after, case), line.axle, line.what, *texts, "", line.cause])
            if case.cannot:
                table.writerow([heading(after, case), "", case.cannot, *[""] * (2 * len(systems) + 2)])
        width = 2 * len(systems) + 4
        table.writerows(
            ["note", "", text, *[""] * (width - 2)]
            for text in (*warnings, *notes(after), *map(in_shown_units, CAUTIONS))
        )
