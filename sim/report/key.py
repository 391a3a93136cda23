"""The measures to look at first, of tables and of the overview plot."""

from sim.compare import Comparison
from sim.measures import Measure

FIRST = (
    "front_tyre_off_ground",
    "rear_tyre_off_ground",
    "front_stop_hits",
    "rear_stop_hits",
    "front_strap_hits",
    "rear_strap_hits",
    "front_damper_end_hits",
    "rear_damper_end_hits",
    "front_left_to_stop",
    "rear_left_to_stop",
    "heave_settling_time",
    "pitch_settling_time",
    "pitch_nose_up",
    "pitch_nose_down",
)
"""Contact with the ground, metal on metal, then how the body behaves."""

POINT = "acceleration_peak_"
"""Start of the names of peak accelerations; the first named point after the centre of gravity."""


def key_measures(comparison: Comparison) -> tuple[Measure, ...]:
    """Return the measures to look at first that say anything for these runs."""
    by_name = {measure.name: measure for measure in comparison.measures}
    points = [name for name in by_name if name.startswith(POINT)]
    named = [*FIRST, *points[1:2]] if len(points) > 1 else [*FIRST, *points]
    return tuple(by_name[name] for name in named if name in by_name and says(comparison, name))


def says(comparison: Comparison, name: str) -> bool:
    """Return whether a measure has a value for any set-up."""
    rows = comparison.values.values()
    return any(name in row and row[name].value == row[name].value for row in rows)

