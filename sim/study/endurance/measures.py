"""Figures of a set-up that went through a track."""

from collections.abc import Callable
from dataclasses import dataclass
from math import isinf, nan

from sim.describe.shown import show_short
from sim.integrate.given import STEP_S
from sim.measure.measure import Better
from sim.measure.tally import CLASS_M
from sim.study.endurance.history import Endured, Key, SetHistory

LARGE_M = 0.02
"""Travel from trough to crest that counts as a large movement [m]."""

HEAT = (
    "_power",
    "_oil_hottest",
    "_metal_hottest",
    "_oil_settles",
    "_below_limit",
    "_above_limit",
    "_force_left",
    "_force_cold",
)
"""Ends of the names of what a lap tells of hours of track; hits and hours of ride need the whole drive."""


@dataclass(frozen=True)
class Figure:
    """One figure: its name in files, its label, what it is measured in, and which way is better."""

    name: str
    label: str
    quantity: str
    better: Better
    of: Callable[[Endured], float]


def figures(*runs: Endured) -> tuple[Figure, ...]:
    """Return the figures that any of the runs has, each once, in the order in which they are shown."""
    # A dict, not a set: the table keeps the order in which the runs name their dampers.
    keys = list(dict.fromkeys(key for run in runs for key in run.sets))
    points = list(dict.fromkeys(name for run in runs for name in run.tally.points))
    return (
        # Neither good nor bad: it says what the other figures are of.
        Figure("distance_driven", "Distance driven", "travelled", None, lambda e: e.distance_m),
        *(figure for key in keys for figure in _of_set(key)),
        *(figure for axle in ("front", "rear") for figure in _of_axle(axle)),
        # Nobody sits at the centre of gravity.
        *(figure for name in points if name != "centre of gravity" for figure in _of_point(name)),
        Figure("energy_residual", "Energy left open", "percent", "less", lambda e: e.energy_open_share),
    )


def _of_set(key: Key) -> tuple[Figure, ...]:
    axle, name = key
    label = f"{axle.capitalize()} '{name}':"

    def of(value: Callable[[SetHistory], float]) -> Callable[[Endured], float]:
        # Set-ups may have other sets: one without this damper has an empty place in the table.
        return lambda run: value(run.sets[key]) if key in run.sets else nan

    stem = f"{axle}_{name}"
    return (
        Figure(f"{stem}_power", f"{label} work of one while driving", "power", "less", of(lambda s: s.power)),
        Figure(f"{stem}_oil_hottest", f"{label} hottest oil", "temperature", "less", of(lambda s: s.hottest)),
        Figure(f"{stem}_metal_hottest", f"{label} hottest metal", "temperature", "less", of(lambda s: s.hottest_metal)),
        Figure(f"{stem}_oil_settles", f"{label} oil would settle at", "temperature", "less", of(lambda s: s.settled)),
        Figure(f"{stem}_below_limit", f"{label} oil below its limit by", "warmth", "more", of(lambda s: s.margin)),
        Figure(f"{stem}_above_limit", f"{label} time above its limit", "minutes", "less", of(_hot)),
        Figure(f"{stem}_force_left", f"{label} force left when hottest", "percent", "more", of(lambda s: s.least_force)),
        # Neither is good nor bad by itself: they say why one tube warms more slowly than another.
        Figure(f"{stem}_oil_mass", f"{label} oil in one", "oil_mass", None, of(lambda s: _of_tube(s, "oil_mass"))),
        Figure(
            f"{stem}_heat_capacity", f"{label} heat that warms one, oil and metal", "heat_capacity", None,
            of(lambda s: _of_tube(s, "heat_capacity")),
        ),
        # No better way: it says what the first minutes are like, and is no aim.
        Figure(f"{stem}_force_cold", f"{label} force when coldest", "percent", None, of(lambda s: s.most_force)),
        Figure(
            f"{stem}_compression_speed", f"{label} fastest compression", "speed", None,
            lambda run: run.tally.dampers[key].compression_speed if key in run.tally.dampers else nan,
        ),
        Figure(
            f"{stem}_rebound_speed", f"{label} fastest rebound", "speed", None,
            lambda run: run.tally.dampers[key].rebound_speed if key in run.tally.dampers else nan,
        ),
    )  # fmt: skip


def _hot(history: SetHistory) -> float:
    # Without a tube nothing can be passed: nan, not 0 s.
    return history.hot_s if history.damper.tube is not None else nan


def _of_tube(history: SetHistory, name: str) -> float:
    # Without a tube nothing is known of it.
    return nan if history.damper.tube is None else float(getattr(history.damper.tube, name))


def _of_axle(axle: str) -> tuple[Figure, ...]:
    label = axle.capitalize()

    def airborne(run: Endured) -> float:
        tally = run.tally.axles[axle]
        return tally.airborne / tally.samples if tally.samples else nan

    def large(run: Endured) -> float:
        # Classes are whole numbers of CLASS_M; less 1e-9 so that the class at the limit itself counts.
        return sum(count for number, count in run.counts.get(axle, {}).items() if number * CLASS_M >= LARGE_M - 1e-9)

    def most(run: Endured) -> float:
        value = run.tally.axles[axle].jounce_most
        # Extremes begin at infinity and stay there on a track without a drive.
        return nan if isinf(value) else value

    def least(run: Endured) -> float:
        value = run.tally.axles[axle].jounce_least
        return nan if isinf(value) else -value  # droop is shown as positive

    return (
        Figure(f"{axle}_tyre_off_ground", f"{label} tyres off the ground", "percent", "less", airborne),
        # Travel used is neither good nor bad by itself: unused it is wasted, used up it hits.
        Figure(f"{axle}_bump_most", f"{label} most bump travel", "length", None, most),
        Figure(f"{axle}_droop_most", f"{label} most droop travel", "length", None, least),
        Figure(f"{axle}_left_to_stop", f"{label} bump travel left", "length", "more", lambda e: e.tally.axles[axle].left_to_stop),
        Figure(f"{axle}_stop_hits", f"{label} bump stop hits", "count", "less", lambda e: float(e.tally.axles[axle].stop_hits)),
        Figure(
            f"{axle}_damper_end_hits", f"{label} damper-end hits", "count", "less",
            lambda e: float(e.tally.axles[axle].damper_end_hits),
        ),
        Figure(f"{axle}_large_cycles", f"{label} cycles of {show_short(LARGE_M, 'length', (0, 1))} and more", "count", "less", large),
    )  # fmt: skip


def _of_point(name: str) -> tuple[Figure, ...]:
    return (
        Figure(
            f"ride_wk_{name}", f"Ride at {name}: upward weighted RMS", "acceleration", "less",
            lambda e: e.tally.points[name].weighted_rms if name in e.tally.points else nan,
        ),
        Figure(
            # A dose is a sum over time and needs the time between samples; an RMS does not.
            f"ride_dose_{name}", f"Ride at {name}: dose", "dose", "less",
            lambda e: e.tally.points[name].dose(STEP_S) if name in e.tally.points else nan,
        ),
    )  # fmt: skip
