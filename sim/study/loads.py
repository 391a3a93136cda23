"""What loads do to a standing set-up: height, frequency, travel, stroke and damping ratio of each axle, and what to make of it."""

import re
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

from sim.describe.good import AS_USUAL, GOOD, GOOD_LOADED, LOADED, Placed, between
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import RunError
from sim.integrate.status import Flag, in_words
from sim.linear.placing import placings
from sim.linear.standing import AxleStanding, Standing, stand
from sim.study.wound_up import met_when_wound_up

DECIDED = {
    "body_frequency": "Hz",
    "body_damping": "damping ratio",
    "bump_left": "bump left",
    "droop_left": "droop left",
}
"""Of the usual ranges those that a load decides first, by the columns of the table."""


ALL = "all of it"
"""The case of all loads together."""


@dataclass(frozen=True)
class Load:
    """A load as a set-up has it: mass [kg], place behind the front axle and above the ground [m]."""

    name: str
    mass: float
    behind: float
    above: float


@dataclass(frozen=True)
class Loaded:
    """One axle with a load aboard.

    Attributes
    ----------
    height : float
        Of the frame over the axle, against the truck without the load, or before a lift (`cases`) [m].
    load : float
        Of the axle on the ground [N].
    frequency, ratio : float
        Ride frequency [Hz] and damping ratio of that end.
    up, down : float
        Travel left to the stop, and to where droop ends: at the strap, or without one hanging on its springs [m]; nan if not known.
    stroke_in, stroke_out : float
        Least stroke left of its dampers [m]; nan if not known.
    verdict : str
        What to make of it.
    flags : tuple of Flag
        What is wrong with it as it stands.
    placed : tuple of Placed
        Its figures among what is usual.
    """

    height: float
    load: float
    frequency: float
    ratio: float
    up: float
    down: float
    stroke_in: float
    stroke_out: float
    verdict: str
    flags: tuple[Flag, ...] = ()
    placed: tuple[Placed, ...] = ()


@dataclass(frozen=True)
class Case:
    """A set-up with loads aboard: its axles by name, or why it cannot stand so."""

    name: str
    axles: Mapping[str, Loaded]
    cannot: str = ""
    mass: float = 0.0  # [kg] of its loads


FULL_TANKS = "full tanks"
_FULL = re.compile(r"\bfull\b.*\b(?:tanks?|fuel)\b|\b(?:tanks?|fuel)\b.*\bfull\b", re.IGNORECASE)
_IN_PART = re.compile(r"\b(?:half|quarters?|thirds?|not|nearly|almost)\b|\d\s*/\s*\d|%", re.IGNORECASE)


def _weighed_with_full_tanks(vehicle: Vehicle) -> bool:
    """Return whether the tanks were full on the scale, as far as the words of what was aboard say it."""
    return any(_FULL.search(word) and not _IN_PART.search(word) for word in vehicle.was_aboard)


def usual_loads(vehicle: Vehicle) -> tuple[Load, ...]:
    """Return what is put on such trucks, where it usually goes; masses and places: common practice, no source.

    Tanks that were full on the scale are a part of the truck already, and no load more.
    """
    standing = stand(vehicle)
    base = vehicle.wheelbase
    up = {name: axle.centre_height for name, axle in standing.axles.items()}
    usual = (
        Load("heavier engine", 80.0, 0.10, up["front"] + 0.35),
        Load("bumper and winch", 75.0, -0.75, up["front"] + 0.25),
        Load("three more people", 225.0, 0.62 * base, up["front"] + 0.70),
        Load(FULL_TANKS, 80.0, 0.75 * base, up["rear"] + 0.10),
        Load("cargo", 300.0, base, up["rear"] + 0.60),
        Load("trailer on its hitch", 75.0, base + 1.1, up["rear"] + 0.15),
    )  # fmt: skip
    full = _weighed_with_full_tanks(vehicle)
    return tuple(load for load in usual if not (full and load.name == FULL_TANKS))


def cases(vehicle: Vehicle, loads: Sequence[Load], against: Vehicle | None = None) -> tuple[Case, ...]:
    """Return a set-up as it is, with each load by itself, and with all of them.

    Heights are against `against`, such as the truck before a lift; left out: against the set-up itself without a load.

    Raises
    ------
    RunError
        If it cannot stand as it is.
    """
    empty = stand(vehicle)
    before = empty if against is None else stand(against)
    heights = {name: axle.jounce for name, axle in before.axles.items()}
    rows = [Case("as it is", _of_axles(empty, heights))]
    wanted = [[load] for load in loads] + ([list(loads)] if len(loads) > 1 else [])
    for group in wanted:
        name = group[0].name if len(group) == 1 else ALL
        mass = sum(one.mass for one in group)
        try:
            standing = stand(vehicle.changed({f"loads.{_key(one.name)}": _written(one) for one in group}))
        except RunError as error:
            rows.append(Case(name, {}, str(error), mass))
            continue
        rows.append(Case(name, _of_axles(standing, heights), mass=mass))
    return tuple(rows)


def _key(name: str) -> str:
    return name.replace(".", " ").strip()


def _written(load: Load) -> dict[str, object]:
    place = {"behind_front_axle": f"{load.behind!r} m", "above_ground": f"{load.above!r} m"}
    return {"mass": f"{load.mass!r} kg", "place": place}


def _of_axles(standing: Standing, before: Mapping[str, float]) -> dict[str, Loaded]:
    """Return the axles of a set-up that stands, against their places without loads [m]."""
    usual = placings(standing)
    wound = list(met_when_wound_up(standing.vehicle))
    return {
        name: _loaded(
            axle,
            before[name],
            [flag for flag in standing.flags if flag.part.startswith(name)],
            [one for one in usual if one.axle == name],
            [one.words for one in wound if one.axle == name],
        )
        for name, axle in standing.axles.items()
    }


def _loaded(
    axle: AxleStanding, before: float, flags: Sequence[Flag], usual: Sequence[Placed], wound: Sequence[str]
) -> Loaded:
    strokes_in = [one.stroke_left_in for one in axle.dampers if isfinite(one.stroke_left_in)]
    strokes_out = [one.stroke_left_out for one in axle.dampers if isfinite(one.stroke_left_out)]
    # The axle comes up against the frame by as much as the frame goes down.
    return Loaded(
        before - axle.jounce, axle.load, axle.ride_frequency, axle.damping_ratio, axle.travel_left_up, axle.droop_left,
        min(strokes_in, default=nan), min(strokes_out, default=nan), _verdict(flags, usual, wound), tuple(flags), tuple(usual),
    )  # fmt: skip


def _verdict(flags: Sequence[Flag], usual: Sequence[Placed], wound: Sequence[str]) -> str:
    """Return what to make of an axle that stands so, in the words and by the ranges of `stand` and a comparison; the worst first."""
    said = ([in_words(flags)] if flags else []) + list(wound)
    for figure in usual:
        # An end that is met is said already.
        met = bool(flags) and figure.kind in ("bump_left", "stroke_left") and figure.value <= 0.0
        if not figure.is_usual and not met:
            said.append(figure.sentence)
    return "; ".join(said) or AS_USUAL


def parted(verdict: str) -> list[str]:
    """Return the sentences of a verdict: between two of them is a semicolon, and one within brackets is part of its sentence."""
    return re.split(r"; (?![^()]*\))", verdict)


def beyond(case: Case, bare: Case, axle: str, often: Collection[str] = ()) -> str:
    """Return what to make of an axle under a load beside what holds without it: only that is the load's.

    often : judgements (`in_most`) that are said once of all rows, and so not in each.
    """
    whole = case.axles[axle].verdict
    parts = [part for part in parted(whole) if judgement(part) not in often]
    if not parts:
        return AS_BELOW
    if case is bare:
        return "; ".join(parts)
    known = parted(bare.axles[axle].verdict)
    return "; ".join(part for part in parts if part not in known) or (AS_USUAL if whole == AS_USUAL else AS_WITHOUT)


STILL_M = 5e-4
"""Movement [m] below what a tape can tell."""

AS_WITHOUT = "nothing more to mind than without it"
"""Verdict of a row whose load adds nothing to what is said of the truck without it."""

AS_BELOW = "as said below"
"""Verdict of a row of which nothing is to be said but what is said of most rows."""

FEWEST_ROWS = 3
"""Rows that must say the same of an axle before it is said once of all of them."""


def judgement(sentence: str) -> str:
    """Return what a sentence of a verdict judges, without its figures: two rows that differ in them alone say the same."""
    return re.sub(r"-?\d+(?:\.\d+)?", "#", re.sub(r" \((?:part )?loaded\)", "", sentence))


def in_most(rows: Sequence[Case], axle: str) -> dict[str, str]:
    """Return what more than half of the rows judge alike, by its judgement: a sentence that says it of all of them.

    What is past a limit is no such thing: that is said in its row.
    """
    own = [case for case in rows if case.axles]
    said: dict[str, dict[str, str]] = {}
    for case in own:
        usual = {figure.sentence for figure in case.axles[axle].placed}
        for part in parted(case.axles[axle].verdict):
            if part in usual:
                said.setdefault(judgement(part), {})[case.name] = part
    sentences = {}
    for one, by_row in said.items():
        if len(by_row) >= FEWEST_ROWS and 2 * len(by_row) > len(own):
            others = [case.name for case in own if case.name not in by_row]
            first, text = next(iter(by_row.items()))
            but = f" but {', '.join(f'“{name}”' for name in others)}" if others else ""
            sentences[one] = f"In every row{but}, here of “{first}”: {text}."
    return sentences


def finding(rows: Sequence[Case]) -> str:
    """Return in one sentence which load is past a limit and by what, or which comes nearest to the bump stops."""
    bare, loaded = rows[0], rows[1:]
    known = {flag.fault for axle in bare.axles.values() for flag in axle.flags}
    before = in_words(flag for axle in bare.axles.values() for flag in axle.flags)
    first = f"Without any load it is past a limit: {before}. " if before else ""
    return f"{first}{_of_loads(bare, loaded, known)}" if loaded else first.rstrip() or AS_USUAL


def _of_loads(bare: Case, loaded: Sequence[Case], known: Collection[tuple[str, str, str]]) -> str:
    """Return which load is past a limit and by what, or comes nearest, apart from what the truck does without any (`known`, its faults)."""
    cannot = [case for case in loaded if case.cannot]
    if cannot:
        return f"{_load_words(cannot[0])} is past the limit: {cannot[0].cannot.splitlines()[0].rstrip('.')}."
    # The lightest that does it says where the limit lies.
    for case in sorted(loaded, key=lambda one: one.mass):
        flags = {name: [one for one in axle.flags if one.fault not in known] for name, axle in case.axles.items()}
        words = in_words(flag for each in flags.values() for flag in each)
        if words:
            gaps = [
                _gap(case.axles[name], name)
                for name, each in flags.items()
                if any("stop" in flag.words for flag in each)
            ]
            return f"{_load_words(case)} is past the limit: {words}{''.join(gaps)}."
    every = [(axle.up, name, case) for case in loaded for name, axle in case.axles.items() if isfinite(axle.up)]
    # What a load raises it takes nothing of: cargo behind the rear axle lifts the nose.
    left = [one for one in every if not one[0] > bare.axles[one[1]].up - STILL_M]
    if every and not left:
        return "No load takes any of the travel to the bump stops."
    if not left:
        down = min((axle.height, name, case) for case in loaded for name, axle in case.axles.items())
        return (
            f"Which load comes nearest to a bump stop is not known without a bump stop's gap: {_load_words(down[2])} lowers the frame most, by "
            f"{show(-down[0], 'length')} over the {down[1]} axle."
        )
    up, axle, case = min(left, key=lambda one: one[0])
    figure = next(one for one in case.axles[axle].placed if one.kind == "bump_left")
    single = min((one for one in left if one[2].name != ALL), key=lambda one: one[0], default=None)
    alone = (
        f" By itself {_load_words(single[2])} takes most: {show(single[0], 'length')} left at the {single[1]}."
        if case.name == ALL and single is not None
        else ""
    )
    # Nor does more than is usual limit anything.
    if figure.judged >= figure.good.usual[0]:
        return (
            f"No load comes near the bump stops: {_load_words(case)} leaves least, {show(up, 'length')} of {show(bare.axles[axle].up, 'length')} at the {axle}, "
            f"{figure.usual}{_gap(case.axles[axle], axle)}.{alone}"
        )
    # Little travel is no load that the truck may carry: the word limit is kept for what is past one.
    return (
        f"{_load_words(case)} leaves least to the bump stops, {show(up, 'length')} at the {axle}, which is less than usual "
        f"({figure.usual.removeprefix('usual ')}){_gap(case.axles[axle], axle)}.{alone}"
    )


def _gap(loaded: Loaded, axle: str) -> str:
    """Return what a first sentence adds where nobody measured the gap that it rests on."""
    noted = any(one.kind == "bump_left" and one.note for one in loaded.placed)
    return f"; the gap to the {axle} bump stops is estimated: measure it" if noted else ""


def _load_words(case: Case) -> str:
    return f"“{case.name}” ({show(case.mass, 'mass')})"


def sag_by_hand(mass: float, share: float, rate: float) -> float:
    """Return how far an axle's springs give [m] under its share of a mass [kg], by their rate at the axle [N/m]: m g / k."""
    return share * mass * 9.80665 / rate


def words(loaded: Loaded) -> tuple[str, ...]:
    """Return the cells of one axle's row, in both systems."""
    lengths = (loaded.height, loaded.up, loaded.down, loaded.stroke_in, loaded.stroke_out)
    height, up, down, inside, outside = (show(one, "length") if isfinite(one) else "-" for one in lengths)
    return (
        height,
        show(loaded.load, "load"),
        f"{loaded.frequency:.2f}",
        f"{loaded.ratio:.2f}",
        up,
        down,
        inside,
        outside,
    )


def usual_ranges() -> str:
    """Return in words what ride, damping, bump and droop usually are, of an axle without a load and of one with it."""
    said = []
    for kind, head in DECIDED.items():
        words = between(GOOD[kind])
        loaded = f", {between(GOOD_LOADED[kind])} loaded" if kind in GOOD_LOADED else ""
        said.append(f"{head} {words.removesuffix(' Hz')}{loaded.replace(' Hz', '')}")
    return (
        f"{'; '.join(said)}. Loaded: {100.0 * LOADED:.0f} % more on that axle; of travel as much less is usual as the load takes, down to the "
        "loaded range"
    )
