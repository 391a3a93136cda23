"""The measures to look at first, of tables and of the overview plot."""

from math import isnan

from sim.measure import Measure
from sim.measure.comparison import Comparison

CONTACT = (
    "front_tyre_off_ground",
    "rear_tyre_off_ground",
    "front_stop_hits",
    "rear_stop_hits",
    "front_left_to_stop",
    "rear_left_to_stop",
)
BODY = (
    "heave_settling_time",
    "pitch_settling_time",
    "front_strap_hits",
    "rear_strap_hits",
    "front_damper_end_hits",
    "rear_damper_end_hits",
    "pitch_nose_up",
    "pitch_nose_down",
)
DRIVING = (
    "rear_pinion_up",
    "rear_pinion_down",
    "rear_wind_up_swings",
    "rear_wind_up_decay",
    "rear_joint_angle",
    "rear_sliding",
    "rear_tyre_off_ground",
    "rear_left_to_stop",
    "pitch_nose_up",
    "pitch_nose_down",
    "time_to_speed",
    "stopping_distance",
)
"""Of runs that drive or brake."""

PEAK = "acceleration_peak_"
"""Start of the names of peak accelerations, a measure a point of the body."""


def key_measures(comparison: Comparison) -> tuple[Measure, ...]:
    """Return the measures to look at first that say anything for these runs.

    Contact with the ground and metal on metal; what is felt at the first point that the vehicle
    file names (at the centre of gravity if it names none); then how the body behaves.
    """
    by_name = {measure.name: measure for measure in comparison.measures}
    points = [name for name in by_name if name.startswith(PEAK)]
    if any(run.drive is not None for run in comparison.runs.values()):
        return tuple(by_name[name] for name in DRIVING if name in by_name and says(comparison, name))
    wanted = [*CONTACT, *(points[1:2] or points), *BODY]
    return tuple(by_name[name] for name in wanted if name in by_name and says(comparison, name))


def says(comparison: Comparison, name: str) -> bool:
    """Return whether a measure has a value for any set-up."""
    rows = comparison.values.values()
    return any(name in row and not isnan(row[name].value) for row in rows)
