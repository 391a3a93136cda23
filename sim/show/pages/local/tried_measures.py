"""The few measures that the page shows of a set-up that is tried, and their words."""

from collections.abc import Iterable
from functools import partial

from sim.integrate.result import Run
from sim.measure import comfort, driving, hits, hop, pitch, travel, tyre_load
from sim.measure.driving import WOUND
from sim.measure.measure import CENTRE, Measure
from sim.measure.signals import AXLES, axle_of

FAMILIES = (
    driving.measures,
    hop.measures,
    comfort.measures,
    pitch.measures,
    travel.measures,
    hits.measures,
    tyre_load.measures,
)
"""Those that have them: all others would only be named, at each move of a slider."""

FRAME_UP = "frame up from as measured (down: minus)"
"""What the page calls a frame that has moved, and which way is plus: on every side of it the same."""


def seat_of(run: Run) -> str:
    """Return the point whose ride is drawn: the driver's where the truck has one."""
    return "driver" if "driver" in run.acceleration_m_per_s2 else CENTRE


def frame_up(run: Run, axle: str) -> float:
    """Return how far the frame stands above its measured height over an axle [m]; less than nothing: below."""
    return -axle_of(run, axle).jounce_rest_m  # jounce up is the frame down


def labels(run: Run) -> dict[str, str]:
    """Return the few measures that the page shows of a run, and of any other one of the same truck, with their words."""
    seat = seat_of(run)
    # The report's number, by the same filter: the plain RMS is another number for the same thing.
    ride = {f"ride_wk_{seat}": f"Ride at the {seat}: upward weighted RMS (ISO 2631-1)"}
    return {
        **(ride if run.drive is None else _pulling(run)),
        "pitch_nose_down": "Nose down, most", "pitch_nose_up": "Nose up, most",
        **{f"{axle}_frame_up": f"{axle.capitalize()} {FRAME_UP}" for axle in AXLES},
        **{f"{axle}_left_to_stop": f"{axle.capitalize()}: left to the bump stop (minus: into it)" for axle in AXLES},
        **dict(_droop_left(run, axle) for axle in AXLES),
        **{f"{axle}_strap_hits": f"{axle.capitalize()}: straps drawn taut, times" for axle in AXLES},
        **{f"{axle}_damper_end_hits": f"{axle.capitalize()}: dampers at their ends, times" for axle in AXLES},
        **{f"{axle}_tyre_off_ground": f"{axle.capitalize()} tyres off the ground" for axle in AXLES},
    }  # fmt: skip


def _pulling(run: Run) -> dict[str, str]:
    """Return what is asked of a truck that pulls away, of the axles that its engine drives."""
    line = run.vehicle.driveline
    driven = [axle for axle in AXLES if line is not None and line.drives(axle)]
    rows = (
        ("hop_swing", "hops: its pinion to and fro; 0: it does not"),
        ("hop_time", "hops for"), ("wind_up_left", "still swings at the end"), ("sliding", "wheels past 25 % slip, of the time"),
        ("joint_angle", "propshaft's joints, most"),
    )  # fmt: skip
    return {
        **{
            f"{axle}_{name}": f"{axle.capitalize()} {'' if words.startswith(('wheels', 'propshaft')) else 'axle '}{words}"
            for axle in driven
            for name, words in (_wound(axle), *rows)
        },
        "final_speed": "Speed at the end", "time_to_speed": "Time to the speed asked for",
    }  # fmt: skip


def _wound(axle: str) -> tuple[str, str]:
    """Return what is measured of how far shafts wind an axle up, and its words; a front pinion points back, and goes down then."""
    way = WOUND["launch"][axle]
    return way, f"winds up, most ({way.replace('_', ' ')})"


def _droop_left(run: Run, axle: str) -> tuple[str, str]:
    """Return what says whether an axle may drop further: its strap, or without one its dampers."""
    label = axle.capitalize()
    if axle_of(run, axle).jounce_at_strap_m is None:
        return f"{axle}_left_to_extended", f"{label}: dampers' stroke left outwards"
    return f"{axle}_left_to_strap", f"{label}: droop left to the strap (minus: stretched)"


def measures_of(run: Run, wanted: Iterable[str]) -> list[Measure]:
    """Return those measures of a run that are wanted, of those that commands know too."""
    names = set(wanted)
    return [measure for family in FAMILIES for measure in family(run) if measure.name in names]


def labelled(run: Run) -> list[tuple[str, Measure]]:
    """Return these measures, of this run and of any other one of the same truck, with their labels; nan of what the truck does not have."""
    wanted = labels(run)
    known = {measure.name: measure for measure in (*measures_of(run, wanted), *map(_frame, AXLES))}
    return [(label, known[name]) for name, label in wanted.items() if name in known]


def _frame(axle: str) -> Measure:
    return Measure(
        f"{axle}_frame_up", f"{axle.capitalize()} frame up", "length", None, partial(frame_up, axle=axle),
        "Where the set-up stands, against the truck as measured.",
    )  # fmt: skip
