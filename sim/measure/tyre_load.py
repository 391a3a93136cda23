"""Measures: what keeps the tyres on the ground."""

from functools import partial

from sim.integrate.result import Run
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.signals import AXLES, axle_of, least, mean_square, most, root, share, time_mean


def off_ground(run: Run, axle: str) -> float:
    """Return the share of time for which an axle's tyres carry nothing."""
    return time_mean(axle_of(run, axle).tyre_load_n <= 0.0, run.time_s)  # tyres cannot pull: zero is off the ground


def lowest(run: Run, axle: str) -> float:
    """Return the lowest load of an axle's tyres [N]."""
    return least(axle_of(run, axle).tyre_load_n)


def lowest_share(run: Run, axle: str) -> float:
    """Return the lowest load of an axle's tyres as a share of the load at rest."""
    # Of this set-up's own rest: a load in the bed would else look like grip.
    return share(lowest(run, axle), axle_of(run, axle).tyre_load_rest_n)


def highest(run: Run, axle: str) -> float:
    """Return the highest load of an axle's tyres [N]."""
    return most(axle_of(run, axle).tyre_load_n)


def variation(run: Run, axle: str) -> float:
    """Return the coefficient of variation of the load: standard deviation over mean."""
    load = axle_of(run, axle).tyre_load_n
    mean = time_mean(load, run.time_s)
    # A steady shift of load is no loss of grip; only what swings about the mean counts.
    return share(root(mean_square(load, run.time_s, mean)), mean)


SHOWN = {
    "front_tyre_off_ground": Shown(key=10, table=10, table_driven=180, sweep=20),
    "front_tyre_load_variation": Shown(table=30, beside=True),
    "rear_tyre_off_ground": Shown(key=20, key_driven=70, table=20, table_driven=190, sweep=30),
    "rear_tyre_load_variation": Shown(table=40, beside=True),
}


def _grip(axle: str, place: int) -> dict[str, Carries]:
    off = f"has the {axle} tyres off the ground {{to}} of the time, not {{of}}"
    swings = f"swings the load of the {axle} tyres {{share}}"
    # How evenly a tyre is loaded is what it can hold on the ground with; off the ground it holds nothing.
    return {
        f"{axle}_tyre_load_variation": Carries(
            "grip", 10 + place, ("course",), f"{swings} less", f"{swings} more", called=f"{axle} tyre load"
        ),
        f"{axle}_tyre_off_ground": Carries(
            "grip",
            20 + place,
            ("course", "launch", "stop"),
            off,
            off,
            called=f"{axle} time off the ground",
            alone=f"has the {axle} tyres off the ground {{of}} of the time",
            alone_on=("course",),
        ),
    }


CARRIED = _grip("front", 0) | _grip("rear", 1)


def _of(axle: str) -> tuple[Measure, ...]:
    label = f"{axle.capitalize()} tyre load"
    return (
        Measure(
            f"{axle}_tyre_off_ground", f"{axle.capitalize()} tyres: time off the ground", "percent",
            "less", partial(off_ground, axle=axle),
            "Share of the run's time, to within a sample at each lift-off and touch-down.", "lanes",
        ),
        Measure(
            f"{axle}_tyre_load_lowest", f"{label}: lowest", "force", "more",
            partial(lowest, axle=axle), "Of all tyres of the axle.", "lanes",
        ),
        Measure(
            f"{axle}_tyre_load_lowest_share", f"{label}: lowest, share of rest", "percent", "more",
            partial(lowest_share, axle=axle),
            "Of the load where this set-up stands.", "lanes",
        ),
        Measure(
            f"{axle}_tyre_load_highest", f"{label}: highest", "force", "less",
            partial(highest, axle=axle), "Of all tyres of the axle.", "lanes",
        ),
        Measure(
            f"{axle}_tyre_load_variation", f"{label}: variation", "percent", "less",
            partial(variation, axle=axle),
            "Coefficient of variation over the whole run: standard deviation over mean.", "lanes",
        ),
    )  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return placed((measure for axle in AXLES for measure in _of(axle)), SHOWN, CARRIED)
