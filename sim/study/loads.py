"""What loads do to a standing set-up: height, frequency, travel, stroke and damping ratio of each axle, and what to make of it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite, nan

from sim.describe.good import GOOD, GOOD_LOADED, Placed, between
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import RunError
from sim.linear.placing import placings
from sim.linear.standing import AxleStanding, Standing, stand

SHORT = {
    "body_frequency": "rides",
    "body_damping": "damping ratio",
    "bump_left": "bump left",
    "droop_left": "droop left",
    "stroke_left": "stroke left in",
}
"""What of the usual ranges a load decides, in few words."""


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
        Of the frame over the axle, against the truck without the load [m].
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


@dataclass(frozen=True)
class Case:
    """A set-up with loads aboard: its axles by name, or why it cannot stand so."""

    name: str
    axles: Mapping[str, Loaded]
    cannot: str = ""
    mass: float = 0.0  # [kg] of its loads


def usual_loads(vehicle: Vehicle) -> tuple[Load, ...]:
    """Return what is put on such trucks, where it usually goes; masses and places: common practice, no source."""
    standing = stand(vehicle)
    base = vehicle.wheelbase
    up = {name: axle.centre_height for name, axle in standing.axles.items()}
    return (
        Load("heavier engine", 80.0, 0.10, up["front"] + 0.35),
        Load("bumper and winch", 75.0, -0.75, up["front"] + 0.25),
        Load("three more people", 225.0, 0.62 * base, up["front"] + 0.70),
        Load("full tanks", 80.0, 0.75 * base, up["rear"] + 0.10),
        Load("cargo", 300.0, base, up["rear"] + 0.60),
        Load("trailer on its hitch", 75.0, base + 1.1, up["rear"] + 0.15),
    )  # fmt: skip


def cases(vehicle: Vehicle, loads: Sequence[Load]) -> tuple[Case, ...]:
    """Return a set-up as it is, with each load by itself, and with all of them.

    Raises
    ------
    RunError
        If it cannot stand as it is.
    """
    empty = stand(vehicle)
    heights = {name: axle.jounce for name, axle in empty.axles.items()}
    rows = [Case("as it is", _of_axles(empty, heights))]
    wanted = [[load] for load in loads] + ([list(loads)] if len(loads) > 1 else [])
    for group in wanted:
        name = group[0].name if len(group) == 1 else "all of it"
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
    return {
        name: _loaded(axle, before[name], [one for one in usual if one.axle == name])
        for name, axle in standing.axles.items()
    }


def _loaded(axle: AxleStanding, before: float, usual: Sequence[Placed]) -> Loaded:
    strokes_in = [one.stroke_left_in for one in axle.dampers if isfinite(one.stroke_left_in)]
    strokes_out = [one.stroke_left_out for one in axle.dampers if isfinite(one.stroke_left_out)]
    # The axle comes up against the frame by as much as the frame goes down.
    return Loaded(
        before - axle.jounce, axle.load, axle.ride_frequency, axle.damping_ratio, axle.travel_left_up, axle.droop_left,
        min(strokes_in, default=nan), min(strokes_out, default=nan), _verdict(axle, usual),
    )  # fmt: skip


def _verdict(axle: AxleStanding, usual: Sequence[Placed]) -> str:
    """Return what to make of an axle that stands so, by the usual ranges that a comparison has too; the worst first."""
    said = []
    if axle.travel_left_up <= 0.0:
        said.append("stands on its bump stops")
    for one in axle.dampers:
        for left, end in ((one.stroke_left_in, "in"), (one.stroke_left_out, "out")):
            if left <= 0.0:
                said.append(f"damper '{one.name}' stands fully {end}")
    for figure in usual:
        # An end that is met is said already.
        met = figure.kind in ("bump_left", "stroke_left") and figure.value <= 0.0
        if figure.kind in SHORT and not figure.is_usual and not met:
            of = f"damper '{figure.name}' {SHORT[figure.kind]}" if figure.name else SHORT[figure.kind]
            said.append(f"{of} {figure.note}" if figure.note else f"{of}: {figure.word}, {figure.usual}")
    return "; ".join(said) or "fine"


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
    for kind in ("body_frequency", "body_damping", "bump_left", "droop_left"):
        words = between(GOOD[kind])
        loaded = f", {between(GOOD_LOADED[kind])} with a load" if kind in GOOD_LOADED else ""
        said.append(f"{SHORT[kind]} {words}{loaded}")
    return "; ".join(said)
