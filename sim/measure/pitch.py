"""Measures: how far the body pitches."""

from sim.integrate.result import Run
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.signals import least, most, positive


def nose_up(run: Run) -> float:
    """Return the largest nose-up pitch from rest [rad], 0 if it never rises."""
    return positive(most(run.pitch_nose_up_rad))


def nose_down(run: Run) -> float:
    """Return the largest nose-down pitch from rest [rad], as a positive angle."""
    return positive(-least(run.pitch_nose_up_rad))  # nose-up is positive, so the deepest dive is the least


MEASURES: tuple[Measure, ...] = (
    Measure(
        "pitch_nose_up", "Pitch: most nose-up", "angle", "less", nose_up,
        "From where the set-up stands.", "lanes",
    ),
    Measure(
        "pitch_nose_down", "Pitch: most nose-down", "angle", "less", nose_down,
        "From where the set-up stands.", "lanes",
    ),
)  # fmt: skip


SHOWN = {
    "pitch_nose_up": Shown(key=140, key_driven=90, table=80, table_driven=210),
    "pitch_nose_down": Shown(key=150, key_driven=100, table=70, table_driven=200),
}


CARRIED = {
    # How far the nose dives is what a driver sees of a stop.
    "pitch_nose_down": Carries(
        "travel", 30, ("stop",), "dives {share} less", "dives {share} more", called="dive", alone="dives {of}"
    ),
}


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return placed(MEASURES, SHOWN, CARRIED)
