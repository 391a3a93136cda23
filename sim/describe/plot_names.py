"""Plots: the list. A new plot is a file in `sim/show/plots` and its line here; apart, so that checking needs no drawing library."""

from typing import Literal

When = Literal["always", "driven", "moving", "asked"]

PLOTS: dict[str, When] = {
    "verdict": "always",
    "wind_up": "driven",
    "road_and_wheels": "moving",
    "bounce_and_pitch": "always",
    "axle_travel": "always",
    "tyre_load": "always",
    "felt": "moving",
    "damper_force_speed": "always",
    "damper_speeds": "asked",
    "comfort": "asked",
    "ride_height": "asked",
    "obstacles": "asked",
    "matrix": "asked",
    "valving": "asked",
}
"""By the name of the plot and of its file, in the order in which they are drawn: when it is drawn.

always; driven: unasked only of runs that drive or brake by themselves; moving: unasked only of runs that are held at a speed,
where it shows what the road does to the truck; asked: only where a file's `show` names it, since a comparison of the demo is
to take no more than four seconds.
"""

NAMES: tuple[str, ...] = tuple(PLOTS)


def usual(drives: bool, moves: bool) -> list[str]:
    """Return the names of the plots that are drawn unasked of a run that drives or brakes by itself, is held at a speed, or stands."""
    kinds = ("always", "driven" if drives else "moving" if moves else "")
    return [name for name, when in PLOTS.items() if when in kinds]
