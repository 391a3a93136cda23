"""Plots: the list. A new plot is a file in `sim/show/plots` and its line here; apart, so that checking needs no drawing library."""

from typing import Literal

When = Literal["always", "driven", "held", "asked"]

PLOTS: dict[str, When] = {
    "verdict": "always",
    "wind_up": "driven",
    "road_and_wheels": "held",
    "bounce_and_pitch": "always",
    "axle_travel": "always",
    "tyre_load": "always",
    "felt": "held",
    "damper_force_speed": "always",
    "damper_speeds": "asked",
    "comfort": "asked",
    "ride_height": "asked",
    "obstacles": "asked",
    "matrix": "asked",
    "valving": "asked",
}
"""By the name of the plot and of its file, in the order in which they are drawn: when it is drawn.

always; driven: unasked only of runs that drive or brake by themselves; held: unasked only of other runs, where it shows what
the road does to a truck that is held at a speed; asked: only where a file's `show` names it, since a comparison of the demo is
to take no more than four seconds.
"""

NAMES: tuple[str, ...] = tuple(PLOTS)


def usual(drives: bool) -> list[str]:
    """Return the names of the plots that are drawn unasked of a run that drives or brakes by itself, or of another."""
    return [name for name, when in PLOTS.items() if when in ("always", "driven" if drives else "held")]
