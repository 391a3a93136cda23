"""Whether a damper is as long as its place asks: eye to eye over the axle's whole travel, against its own ends."""

from collections.abc import Callable
from dataclasses import dataclass
from math import degrees, isfinite, nan

from sim.describe.lowered import Lowered, NamedLine
from sim.describe.parts.dampers.damper_set import FREE_OIL_LEAN, DamperSet
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.to_measure import MOUNTS, STOP_HEIGHT, STOP_SQUEEZE, listed, of_end, unmeasured
from sim.integrate.damper_room import LEAST_MARGIN, WITH_WIND_UP
from sim.linear.damper_cure import bump_cure, droop_cure, lowered_first, strap_for
from sim.linear.doubt_of_room import RoomInDoubt, doubt_of_room
from sim.linear.droop import FREE_COIL, HANGING, STRAP, Droop
from sim.lower.lowering import lower
from sim.lower.rest import Rest, rest
from sim.study.damper_travel import SQUEEZED, Placed, Travel, travels_of

WITH_STRAP = "with a limit strap"
"""What is said of a damper that lacks nothing but that."""

NUDGE = 1e-5  # [m], half the span of the central difference that gives the motion ratio


@dataclass(frozen=True)
class Fit:
    """One damper set of one set-up.

    Attributes
    ----------
    axle, name : str
    count : int
    places : dict of str to Placed
        By place: where droop ends (`Droop`), "ride", "bump stop touched", "bump stop squeezed"; only those the axle has.
    droop : Droop
        Where droop ends.
    least, most : float
        Least and greatest length [m] between squeezed stop and the end of droop, however far the housing is wound up.
    margin_in, margin_out : float
        Room [m] that is left to collapsed and to extended of these two; inf if not known.
    collapsed, extended : float
        Its own ends [m]; nan if not given.
    problems, notes : tuple of str
        What will break, with the cure; what is less than the trade leaves, or what limits travel instead.
    asks : tuple of str
        What must be given before anybody may say that it fits.
    unmeasured : tuple of str
        What nobody measured, so that it is estimated, and must be measured before anybody may say so.
    winds_up : bool
        Whether the lengths and the room count on a housing that winds up.
    strap : str
        The limit strap that is missing and without which no damper fits, in words; empty where there is one or none is needed.
    in_doubt : tuple of str
        Ends, "collapsed" or "extended", that it meets by middle values of estimates whose doubt leaves open that it fits.
    spared : str
        Of one that is fully out before its axle hangs on its springs: the limit strap that spares it, in words; empty if none would.
    only : bool
        Whether its axle has no other set: then "the front dampers" says which.
    """

    axle: str
    name: str
    count: int
    places: dict[str, Placed]
    droop: Droop
    least: float
    most: float
    margin_in: float
    margin_out: float
    collapsed: float
    extended: float
    problems: tuple[str, ...]
    notes: tuple[str, ...]
    asks: tuple[str, ...]
    unmeasured: tuple[str, ...] = ()
    winds_up: bool = False
    strap: str = ""
    in_doubt: tuple[str, ...] = ()
    spared: str = ""
    only: bool = False

    @property
    def called(self) -> str:
        """What it is called in a sentence, after "the": "front dampers", or "front 'main' dampers" where the axle has another set."""
        name = "" if self.only else f"'{self.name}' "
        return f"{self.axle} {name}damper{'s' if self.count != 1 else ''}"

    @property
    def wrong(self) -> tuple[str, ...]:
        """What will break as it is described: its own faults, and a limit strap that is missing."""
        missing = f"{self.axle} damper '{self.name}' needs a limit strap that is not there: {self.strap}."
        return (*self.problems, *([missing] if self.strap else []))

    def measure(self, end: str) -> tuple[str, ...]:
        """Return what nobody measured of that which moves the room at an end, "collapsed" or "extended"."""
        own = of_end(self.unmeasured, end)
        # Mounts move both ends; they are to be measured for the one that they leave open.
        return tuple(one for one in own if one != MOUNTS or end in self.in_doubt)

    @property
    def measured_first(self) -> tuple[str, ...]:
        """What nobody measured that bears on whether it fits: of one that meets an end for certain, what moves that end."""
        met = [end for end, room in (("collapsed", self.margin_in), ("extended", self.margin_out)) if room < 0.0]
        if not self.problems or not met:
            return self.unmeasured
        return tuple(one for one in self.unmeasured if any(of_end((one,), end) for end in met))

    @property
    def faults(self) -> tuple[str, ...]:
        """What will break, without cures: these go by the load that is aboard too."""
        return tuple(text.partition(" tears its mount")[0] for text in self.problems)

    @property
    def verdict(self) -> str:
        """Whether it fits: said only where both ends of its travel, both of its own and its length at ride are known."""
        first = self.measured_first
        measure = f"measure {listed(first)}" if first else ""
        if self.problems:
            if self.in_doubt and len(self.in_doubt) == len(self.problems):
                return f"may not fit, as far as it is estimated: {measure}"
            return f"does not fit, as far as it is estimated: {measure}" if measure else "does not fit"
        give = f"give {' and '.join(self.asks)}" if self.asks else ""
        missing = ", ".join(text for text in (measure, give) if text)
        strap = f"{WITH_STRAP} {self.strap}" if self.strap else ""
        if missing:
            return f"not known: {missing}{f'; it needs a limit strap, {self.strap}' if strap else ''}"
        return f"fits, {strap}" if strap else "fits"

    @property
    def fits(self) -> bool:
        """Whether it fits as it is described, or with a limit strap that is ordered with it."""
        return self.verdict.startswith("fits")

    @property
    def left_in(self) -> float:
        """Stroke left inwards at ride [m]."""
        return self.places["ride"].length - self.collapsed

    @property
    def left_out(self) -> float:
        """Stroke left outwards at ride [m]."""
        return self.extended - self.places["ride"].length


def fits(vehicle: Vehicle, file: Vehicle | None = None) -> tuple[Fit, ...]:
    """Return the fit of every damper set of a set-up.

    Parameters
    ----------
    vehicle : Vehicle
    file : Vehicle, optional
        The set-up as its file has it, of one whose mounts a study moved: which numbers nobody measured stands there.

    Raises
    ------
    RunError
        If it cannot stand.
    """
    setup = lower(vehicle)
    standing = rest(setup)
    return tuple(_fit(setup, standing, travel, file or vehicle) for travel in travels_of(setup, standing))


def _fit(setup: Lowered, standing: Rest, travel: Travel, file: Vehicle) -> Fit:
    line, places, end = travel.line, travel.places, travel.droop
    part = dict(setup.vehicle.axles)[line.axle].dampers[line.name]
    free = bool(setup.axles[line.axle].wind_up_free)
    ride = places["ride"].jounce
    who = f"{line.axle} damper '{line.name}'"
    problems: list[str] = []
    notes: list[str] = []
    asks: list[str] = []
    guessed: list[str] = []
    in_doubt: list[str] = []
    strap = ""

    def judged(room: float, own: str, jounce: float, words: tuple[str, str, str, str], cure: Callable[[], str]) -> None:
        """Add what the room [m] to one end calls for, if anything."""
        doubt = doubt_of_room(setup, line, own, ride, jounce, file.estimates)
        may = room < 0.0 < room + doubt.half
        # What an estimate may turn round is measured first; of one that fits by its middle value the squeeze alone, which no tape has seen.
        if may:
            guessed.extend(doubt.measure)
            in_doubt.append(own)
        elif abs(room) < doubt.squeeze:
            guessed.extend(one for one in doubt.measure if one in (STOP_HEIGHT, STOP_SQUEEZE))
        _judge_room(room, words, who, free, doubt if may else None, cure, problems, notes)

    if isfinite(travel.inside):
        judged(travel.inside, "collapsed", places[SQUEEZED].jounce, _BUMP, lambda: bump_cure(setup, standing, line))
    if end.place == FREE_COIL and (taut := strap_for(setup, standing, line, end)):
        # A loose coil carries nothing of the axle, so with any damper a strap must: with it this one may be as good as another.
        strap = taut.words
    elif isfinite(travel.outside):
        judged(
            travel.outside, "extended", end.jounce, _DROOP[end.place], lambda: droop_cure(setup, standing, line, end)
        )
    taut = strap_for(setup, standing, line, end) if travel.outside < 0.0 and end.place == HANGING else None
    spared = "" if taut is None else taut.words
    if end.place != STRAP:
        _judge_droop(setup, standing, line, end, travel.outside, bool(strap), who, problems, notes, asks)
    if SQUEEZED not in places:
        notes.append(f"{who}: no bump stop limits bump, so the damper may have to")
        asks.append("a bump stop")
    missing = [name for name in ("length_collapsed", "length_extended") if getattr(part, name) is None]
    asks += missing
    if missing:
        notes.append(f"{who}: its own length, collapsed or extended, is not given, so what is left there is not known")
    _judge_lean(part, max(place.lean for place in places.values()), who, problems, notes)
    return Fit(
        line.axle, line.name, part.count, places, end, travel.least, travel.most, travel.inside, travel.outside, part.length_collapsed or nan,
        part.length_extended or nan, tuple(problems), tuple(notes), tuple(asks),
        tuple(dict.fromkeys((*unmeasured(file, line.axle, line.name), *guessed))),
        free, strap, tuple(in_doubt), spared, len(dict(setup.vehicle.axles)[line.axle].dampers) == 1,
    )  # fmt: skip


def _judge_droop(
    setup: Lowered, standing: Rest, line: NamedLine, end: Droop, outside: float, strapped: bool, who: str, problems: list[str],
    notes: list[str], asks: list[str],
) -> None:  # fmt: skip
    """Add what droop without a limit strap means for a damper; `strapped` where one is asked for already."""
    if not end.place:
        notes.append(
            f"{who}: there is no strap, and its springs still push at the end of the travel that is computed: give a limit strap "
            "or measure the damper's length with the axle hanging"
        )
        asks.append("a limit strap")
        return
    if end.held:
        notes.append(
            f"{who}: there is no strap; the axle hangs on its springs {show(-end.jounce, 'length')} below the "
            "measured height, and swings past that on a crest. Check it with the axle hanging, or fit a limit strap"
        )
        return
    weight = setup.axles[line.axle].mass * setup.body.gravity
    first = (
        f"its coil is loose {show(-end.jounce, 'length')} below the measured height"
        if not outside < 0.0
        else f"it is fully out {show(-outside, 'length')} before its coil is loose"
        + (WITH_WIND_UP if setup.axles[line.axle].wind_up_free else "")
    )
    if strapped:
        notes.append(
            f"{who}: there is no strap, {first}, and from there the damper alone holds the axle ({show(weight, 'force')}), which tears "
            f"its mounts. {droop_cure(setup, standing, line, end)}"
        )
    # A damper that ends while the coil still pushes is said already, with that as its cause.
    elif not isfinite(outside) or outside >= 0.0:
        problems.append(
            f"{who} becomes the limit strap: there is none, {first}, and from there the damper alone holds the axle "
            f"({show(weight, 'force')}). {droop_cure(setup, standing, line, end)}"
        )


# In words for an end of a damper: what it is too soon, before what, what it then becomes, and the room between.
_BUMP = "solid", "its bump stop is fully squeezed", "bump stop", "squeezed bump stop to collapsed"
_DROOP = {
    STRAP: ("fully out", "its limit strap is taut", "limit strap", "taut limit strap to extended"),
    HANGING: ("fully out", "the axle hangs on its springs", "limit strap", "hanging axle to extended"),
    FREE_COIL: ("fully out", "the coil is at its free length", "limit strap", "free coil to extended"),
}


TEARS = " and tears its mount"


def without_cure(problem: str) -> str:
    """Return a problem of a length without what to order for it: for a place in which no such damper can be."""
    what, tears, _ = problem.partition(TEARS)
    return what + tears


def _judge_room(
    room: float, words: tuple[str, str, str, str], who: str, free: bool, doubt: RoomInDoubt | None, cure: Callable[[], str],
    problems: list[str], notes: list[str],
) -> None:  # fmt: skip
    """Add what the room [m] to one end of a damper calls for, if anything; of an axle whose housing is free to wind up with that.

    doubt : of a room below nothing whose doubt includes that it fits, else None.
    """
    ended, before, becomes, between = words
    wound = WITH_WIND_UP if free else ""
    if room < 0.0 and doubt is not None:
        problems.append(
            f"{who} may be {ended} before {before}{wound}: as far as estimates say by {show(-room, 'length')}, {show(doubt.half, 'length')} "
            f"more or less. If it is, it becomes the {becomes} and tears its mount. Measure {listed(doubt.measure)} first. If it stays so: {lowered_first(cure())}"
        )
    elif room < 0.0:
        problems.append(
            f"{who} is {ended} {show(-room, 'length')} before {before}{wound}: it becomes the {becomes} and tears its mount. {cure()}"
        )
    elif room < LEAST_MARGIN:
        notes.append(
            f"{who}: {show(room, 'length')} from the {between}{wound}; {show(LEAST_MARGIN, 'length')} and twice that are usual"
        )


def _judge_lean(part: DamperSet, lean: float, who: str, problems: list[str], notes: list[str]) -> None:
    """Add what a lean from upright [rad] does to a damper of its construction, if anything."""
    if part.built == "twin_tube" and lean > FREE_OIL_LEAN:
        problems.append(
            f"{who} leans up to {degrees(lean):.0f} deg over its travel: a twin-tube with a free oil surface takes in its gas "
            f"past {degrees(FREE_OIL_LEAN):.0f} deg. Stand it up, or fit one with a gas cell or a monotube."
        )
    if part.built is None and (part.tube_end == "up" or lean > FREE_OIL_LEAN):
        notes.append(
            f"{who}: how it is built is not given, and a twin-tube with a free oil surface could not stand so; say its construction"
        )


def lean_words(angle: float) -> str:
    """Return a side-view lean in words: which way its top goes."""
    size = abs(degrees(angle))
    return "upright" if size < 0.05 else f"{size:.1f} deg, top {'forward' if angle > 0 else 'back'}"
