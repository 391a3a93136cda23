"""Measures: wind-up, joints, slip, load shift and way of a run that drives or brakes."""

from dataclasses import dataclass
from functools import partial
from math import inf, isnan, log, nan

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import Array, DriveTrace, WheelTrace
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.signals import AXLES, axle_of, mean_square, root, share, time_mean

TREND_S = 0.35
"""Swings are what is left of wind-up after its mean over so long [s]: three periods of an 8 Hz tramp."""

LEAST_SWING = 0.0017
"""Swings below this [rad], a tenth of a degree, are not counted."""

STILL = 0.05
"""Road speed [m/s] below which the truck counts as stopped."""

LAST_S = 1.0
"""How a run ends is measured over its last second [s]."""


@dataclass(frozen=True)
class Swings:
    """Swings of an axle's wind-up about its trend.

    Attributes
    ----------
    time_s, size_rad : (n,) arrays
        When each turned, and how far from the trend.
    """

    time_s: Array
    size_rad: Array


def trend(time_s: Array, values: Array) -> Array:
    """Return the running mean of values (n,) over some swings."""
    from scipy.ndimage import uniform_filter1d  # loaded for driven runs only

    # In samples: runs differ in step.
    width = max(round(TREND_S / (time_s[1] - time_s[0])), 1)
    # The ends are carried on level, where a mean padded with zeros would show a swing that is none.
    mean: Array = uniform_filter1d(values, width, mode="nearest")
    return mean


def swings_of(time_s: Array, wind_up_rad: Array) -> Swings:
    """Return the turning points of wind-up about its running mean."""
    from scipy.signal import find_peaks  # loaded for driven runs only

    if time_s.size < 10:
        return Swings(np.empty(0), np.empty(0))
    swing = wind_up_rad - trend(time_s, wind_up_rad)
    # Crests and troughs by prominence: ripple on a slow swing is no turn.
    turns = np.sort(np.r_[find_peaks(swing, prominence=LEAST_SWING)[0], find_peaks(-swing, prominence=LEAST_SWING)[0]])
    return Swings(time_s[turns], np.abs(swing[turns]))


def _drive(run: Run) -> DriveTrace:
    assert run.drive is not None  # `measures` gives none of these to a run that is held at a speed
    return run.drive


def _wheel(run: Run, axle: str) -> WheelTrace:
    return _drive(run).front if axle == "front" else _drive(run).rear


def _last(run: Run) -> slice:
    return slice(int(np.searchsorted(run.time_s, run.time_s[-1] - LAST_S)), None)


def pinion_up(run: Run, axle: str) -> float:
    """Return the greatest wind-up, pinion upwards [rad]."""
    # pinion up is positive for both axles (docs/equations.md)
    return max(float(axle_of(run, axle).wind_up_rad.max()), 0.0)


def pinion_down(run: Run, axle: str) -> float:
    """Return the greatest wind-up, pinion downwards [rad]."""
    return max(-float(axle_of(run, axle).wind_up_rad.min()), 0.0)


WOUND: dict[str, dict[str, str]] = {
    "launch": {"front": "pinion_down", "rear": "pinion_up"},
    "stop": {"front": "pinion_up", "rear": "pinion_down"},
}
"""Which way shafts or brakes wind an axle, by kind of run. Brakes turn both housings with the wheels: a rear pinion, which points forward,
goes down, and a front one, which points back, up; under power it is the other way about (docs/equations.md)."""


def wound_up(run: Run, axle: str) -> float:
    """Return how far an axle winds up at most, the way that shafts or brakes wind it [rad]."""
    way = WOUND["launch" if _drive(run).in_gear else "stop"][axle]
    return pinion_up(run, axle) if way == "pinion_up" else pinion_down(run, axle)


def swing_count(run: Run, axle: str) -> float:
    """Return how many swings of wind-up there were, a turn each way being one."""
    return float(swings_of(run.time_s, axle_of(run, axle).wind_up_rad).size_rad.size) / 2.0  # turns are half swings


def swing_decay(run: Run, axle: str) -> float:
    """Return by what rate the swings die away after the largest one [1/s]; negative if they grow.

    Slope of the logarithm of their sizes down to a twentieth of the largest, by least squares. nan with fewer than four.
    """
    swings = swings_of(run.time_s, axle_of(run, axle).wind_up_rad)
    if swings.size_rad.size < 4:
        # Fewer than four sizes make no slope worth a number.
        return nan
    # From the largest on: before it the engine is still winding the axle up.
    first = int(np.argmax(swings.size_rad))
    if swings.size_rad.size - first < 4:  # the largest are the last: they grow, or stay
        first = 0
    sizes, times = swings.size_rad[first:], swings.time_s[first:]
    # argmax is 0 where none is below, and the first is never a twentieth of itself.
    end = int(np.argmax(sizes < 0.05 * sizes[0])) or sizes.size
    if end < 4:
        return nan
    # Sizes of an exponential decay lie on a straight line by their logarithm.
    return -float(np.polyfit(times[:end], np.log(sizes[:end]), 1)[0])


def time_to_halve(run: Run, axle: str) -> float:
    """Return in what time wind-up swings half as far [s], by `swing_decay`; inf if the swings do not shrink."""
    decay = swing_decay(run, axle)
    return nan if isnan(decay) else log(2.0) / decay if decay > 0.0 else inf


def swing_left(run: Run, axle: str) -> float:
    """Return from crest to trough how far wind-up still swings in the last second [rad]: a limit cycle if much."""
    swings = swings_of(run.time_s, axle_of(run, axle).wind_up_rad)
    late = swings.size_rad[swings.time_s >= run.time_s[-1] - LAST_S]
    return 2.0 * float(late.mean()) if late.size >= 2 else 0.0  # from the trend to crest and to trough, so twice


def joint_most(run: Run, axle: str) -> float:
    """Return the greatest angle of either joint of the propshaft [rad]; nan if the file does not say where they are."""
    wheel = _wheel(run, axle)
    if wheel.joint_at_gearbox_rad is None or wheel.joint_at_pinion_rad is None:
        return nan
    return float(max(wheel.joint_at_gearbox_rad.max(), wheel.joint_at_pinion_rad.max()))


def slip_most(run: Run, axle: str) -> float:
    """Return the greatest slip either way as a share."""
    # Slip is negative under brakes.
    return float(np.abs(_wheel(run, axle).slip).max())


def sliding_share(run: Run, axle: str) -> float:
    """Return the share of time in which the wheels slip by more than a quarter, on the mean of a swing, while the truck or they move.

    At each moment for itself an axle that tramps would slip less than one that spins steadily: it grips and spins in turn, and is not the
    better for it.
    """
    drive, wheel = _drive(run), _wheel(run, axle)
    # At rest, slip is the ratio of two speeds that are next to nothing.
    moving = (np.abs(drive.speed_m_per_s) > STILL) | (np.abs(wheel.spin_rad_per_s) > STILL)
    slip = trend(run.time_s, np.where(moving, np.abs(wheel.slip), 0.0))
    return time_mean((slip > 0.25) & moving, run.time_s)


def traction_swing(run: Run, axle: str) -> float:
    """Return how far the force of the tyres along the road swings about its trend, standard deviation, as a share of their mean load.

    Nothing where the wheels spin steadily, however much: what swings is what an axle does that winds up and hops in turn (tramp).
    """
    force = _wheel(run, axle).traction_n
    swing = force - trend(run.time_s, force)
    return share(root(mean_square(swing, run.time_s)), time_mean(axle_of(run, axle).tyre_load_n, run.time_s))


def traction_most(run: Run, axle: str) -> float:
    """Return the greatest force of the tyres along the road, either way [N]."""
    return float(np.abs(_wheel(run, axle).traction_n).max())


def housing_torque_most(run: Run, axle: str) -> float:
    """Return the greatest moment of shafts and brakes on the housing, either way [N m]."""
    return float(np.abs(_wheel(run, axle).housing_torque_n_m).max())


def link_force_most(run: Run, axle: str) -> float:
    """Return the greatest force in the wind-up link, either way [N]; nan without one."""
    link = axle_of(run, axle).link_force_n
    # A trace may be there though this set-up has no link.
    if link is None or getattr(run.vehicle, axle).wind_up_link is None:
        return nan
    return float(np.abs(link).max())


def load_transfer(run: Run) -> float:
    """Return the greatest load that moved to the rear axle under power, or away from it under brakes [N].

    As its mean over a quarter of a second; negative where braking moves it forward.
    """
    from scipy.ndimage import uniform_filter1d

    # A quarter of a second is two or three periods of wheel hop: their mean leaves the shift that lasts.
    width = max(round(0.25 / (run.time_s[1] - run.time_s[0])), 1)
    change = uniform_filter1d(run.rear.tyre_load_n - run.rear.tyre_load_n[0], width, mode="nearest")
    return float(change.max() if _drive(run).in_gear else change.min())  # brakes take load off the rear axle


def distance(run: Run) -> float:
    """Return how far it came [m]."""
    return float(_drive(run).distance_m.max())  # not the last: a truck may roll back on a grade


def final_speed(run: Run) -> float:
    """Return the mean speed of the last second [m/s]."""
    return time_mean(_drive(run).speed_m_per_s[_last(run)], run.time_s[_last(run)])


def _goal(run: Run) -> int | None:
    drive = _drive(run)
    if drive.goal_m_per_s is None:
        return None
    reached = drive.speed_m_per_s >= drive.goal_m_per_s
    # The first sample that has it; -1 keeps "not reached" apart from "not asked for".
    return int(np.argmax(reached)) if reached.any() else -1


def time_to_speed(run: Run) -> float:
    """Return the time to the speed asked for [s]; inf if it is not reached, nan if none is asked for."""
    goal = _goal(run)
    return nan if goal is None else inf if goal < 0 else float(run.time_s[goal] - _drive(run).pedal_s)


def distance_to_speed(run: Run) -> float:
    """Return the way to the speed asked for [m]; inf if it is not reached, nan if none is asked for."""
    goal = _goal(run)
    return nan if goal is None else inf if goal < 0 else float(_drive(run).distance_m[goal])


def _stop(run: Run) -> int | None:
    drive = _drive(run)
    # After the pedal: a truck that is at rest before it has not been stopped by its brakes.
    still = (drive.speed_m_per_s <= STILL) & (run.time_s > drive.pedal_s)
    return int(np.argmax(still)) if still.any() else None


def stopping_time(run: Run) -> float:
    """Return the time from the pedal to a stop [s]; inf if it does not stop."""
    stop = _stop(run)
    return inf if stop is None else float(run.time_s[stop] - _drive(run).pedal_s)


def stopping_distance(run: Run) -> float:
    """Return the way from the pedal to a stop [m]; inf if it does not stop."""
    stop, drive = _stop(run), _drive(run)
    if stop is None:
        return inf
    # The way before the pedal is the run's, not the brakes'.
    begin = int(np.searchsorted(run.time_s, drive.pedal_s))
    return float(drive.distance_m[stop] - drive.distance_m[begin])


WAY = "driven"
"""How a run must be run to have these measures."""

WANTED = "wind-up, slip and ways need a case whose run is a launch or a brake"
"""What is said where one of them is asked of another run."""

# So that another kind of run is answered by what is needed, and not by "unknown measure".
NAMED = (
    "_pinion_up", "_pinion_down", "_wind_up_swings", "_time_to_halve", "_wind_up_left", "_joint_angle", "_slip", "_sliding",
    "_traction", "_traction_swing", "_housing_torque", "_link_force", "load_transfer", "distance", "final_speed", "time_to_speed", "stopping_",
)  # fmt: skip
"""How their names begin or end."""

SHOWN = {
    "front_pinion_up": Shown(table_driven=10),
    "front_pinion_down": Shown(table_driven=20),
    "rear_pinion_up": Shown(key_driven=10, table_driven=30),
    "rear_pinion_down": Shown(key_driven=20, table_driven=40),
    "rear_wind_up_swings": Shown(key_driven=30, table_driven=50),
    "rear_wind_up_time_to_halve": Shown(key_driven=40, table_driven=60),
    "rear_wind_up_left": Shown(table_driven=70),
    "rear_joint_angle": Shown(key_driven=50, table_driven=80),
    "rear_sliding": Shown(key_driven=60, table_driven=90),
    "rear_traction_swing": Shown(table_driven=95),
    "rear_housing_torque": Shown(table_driven=100),
    "rear_link_force": Shown(table_driven=110),
    "load_transfer": Shown(table_driven=120),
    "final_speed": Shown(table_driven=130),
    "time_to_speed": Shown(key_driven=110, table_driven=140),
    "distance_to_speed": Shown(table_driven=150),
    "stopping_time": Shown(table_driven=160),
    "stopping_distance": Shown(key_driven=120, table_driven=170),
}


def _carried(axle: str, place: int) -> dict[str, Carries]:
    sliding = f"slips its {axle} wheels {{to}} of the time, not {{of}}"
    wound = f"winds its {axle} axle up {{share}}"
    swung = f"swings the force of its {axle} tyres along the road {{share}}"
    left = f"swings its {axle} axle by {{to}} at the end, not {{of}}"
    return {
        f"{axle}_sliding": Carries("grip", 10 + place, ("launch", "stop"), sliding, sliding, called=f"{axle} slip"),
        f"{axle}_traction_swing": Carries(
            "grip", 15 + place, ("launch", "stop"), f"{swung} less", f"{swung} more", called=f"{axle} tyre force"
        ),
        f"{axle}_{WOUND['launch'][axle]}": Carries(
            "wind-up",
            1 + place,
            ("launch",),
            f"{wound} less",
            f"{wound} more",
            called=f"{axle} wind-up",
            alone=f"winds its {axle} axle up by {{of}}",
        ),
        f"{axle}_{WOUND['stop'][axle]}": Carries(
            "wind-up", 1 + place, ("stop",), f"{wound} less", f"{wound} more", called=f"{axle} wind-up"
        ),
        f"{axle}_wind_up_left": Carries(
            "wind-up",
            50 + place,
            ("launch", "stop"),
            left,
            left,
            called=f"{axle} axle at the end",
            alone=f"still swings its {axle} axle by {{of}} at the end",
        ),
    }


CARRIED = {
    "stopping_distance": Carries(
        "grip",
        5,
        ("stop",),
        "stops in {change} less",
        "needs {change} more to stop",
        never="stop stops",
        called="stopping distance",
        alone="stops in {of}",
    ),
    **_carried("front", 0),
    **_carried("rear", 1),
}
"""What a launch or a stop is judged by, beside ride and the travel to the stops: slip, hop, wind-up and how it dies away."""


def _of(axle: str) -> tuple[Measure, ...]:
    label = axle.capitalize()
    return (
        Measure(f"{axle}_pinion_up", f"{label} wind-up, pinion up", "angle", "less", partial(pinion_up, axle=axle),
                "Elastic turn of the axle beyond what its guide gives it."),
        Measure(f"{axle}_pinion_down", f"{label} wind-up, pinion down", "angle", "less",
                partial(pinion_down, axle=axle), {"front": "Under power, or when it swings back.", "rear": "Under brakes, or when it swings back."}[axle]),
        Measure(f"{axle}_wind_up_swings", f"{label} wind-up: how often it swings to and fro", "number", "less", partial(swing_count, axle=axle),
                "To and fro is one; swings about the mean of a third of a second, from a tenth of a degree on."),
        Measure(f"{axle}_wind_up_time_to_halve", f"{label} wind-up: time to halve", "time", "less",
                partial(time_to_halve, axle=axle), "From the largest swing on. inf: they do not shrink."),
        Measure(f"{axle}_wind_up_left", f"{label} wind-up: still swinging at the end", "angle", "less",
                partial(swing_left, axle=axle), "Crest to trough in the last second: tramp that grows by itself, if much."),
        Measure(f"{axle}_joint_angle", f"{label} propshaft: greatest joint angle", "angle", "less",
                partial(joint_most, axle=axle), "Of either joint, whatever the shaft's speed."),
        Measure(f"{axle}_slip", f"{label} wheels: most slip", "percent", "less", partial(slip_most, axle=axle),
                "100 %: spinning on the spot, or locked and sliding."),
        Measure(f"{axle}_sliding", f"{label} wheels: time past 25 % slip", "percent", "less",
                partial(sliding_share, axle=axle),
                "Share of the whole run; slip as its mean over a third of a second, so that tramp counts as much as steady spin."),
        Measure(f"{axle}_traction_swing", f"{label} tyres: unsteady push", "percent", "less",
                partial(traction_swing, axle=axle),
                "Of the force along the road, standard deviation about its mean of a third of a second, as a share of the mean load: much in "
                "tramp, nothing in steady spin."),
        Measure(f"{axle}_traction", f"{label} tyres: most force along the road", "force", None,
                partial(traction_most, axle=axle), "All tyres of the axle."),
        Measure(f"{axle}_housing_torque", f"{label} axle: most torque that winds it", "torque", None,
                partial(housing_torque_most, axle=axle), "Of shafts and brakes, what winds it up."),
        Measure(f"{axle}_link_force", f"{label} wind-up link: most force", "force", "less",
                partial(link_force_most, axle=axle), "What its brackets and bushes must carry."),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    # Held at a speed, the wheels neither pull nor brake, and all of this would be nought.
    """Return the measures of this family for a run; none where it is held at a speed."""
    if run.drive is None:
        return ()
    whole = [
        Measure("load_transfer", "Load transfer to the rear", "force", None, load_transfer,
                "Greatest mean of a quarter of a second; negative: to the front."),
        Measure("distance", "Distance", "distance", None, distance, "Farthest from where it began."),
    ]  # fmt: skip
    # In gear it is a launch: speed is what is wanted; else it is a stop.
    if run.drive.in_gear:
        whole += [
            Measure("final_speed", "Speed at the end", "road_speed", "more", final_speed, "Mean of the last second."),
            Measure(
                "time_to_speed", "Time to the speed asked for", "time", "less", time_to_speed, "From the throttle."
            ),
            Measure("distance_to_speed", "Distance to the speed asked for", "distance", "less", distance_to_speed, ""),
        ]
    else:
        whole += [
            Measure("stopping_time", "Stopping time", "time", "less", stopping_time, "From the pedal."),
            Measure("stopping_distance", "Stopping distance", "distance", "less", stopping_distance, "From the pedal."),
        ]
    return placed((*(measure for axle in AXLES for measure in _of(axle)), *whole), SHOWN, CARRIED)
