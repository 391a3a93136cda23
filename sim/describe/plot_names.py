"""Names of the plots, for files that ask for some of them; apart, so that checking needs no drawing library."""

NAMES: tuple[str, ...] = (
    "road_and_wheels",
    "bounce_and_pitch",
    "axle_travel",
    "damper_force_speed",
    "damper_speeds",
    "tyre_load",
    "felt",
    "overlay",
    "wind_up",
    "comfort",
    "ride_height",
    "obstacles",
    "matrix",
    "valving",
)

DRIVEN: tuple[str, ...] = ("wind_up",)
"""Drawn only of runs that drive or brake by themselves."""

HELD: tuple[str, ...] = ("road_and_wheels", "felt")
"""Drawn only of other runs, unless asked for: what the road does to a truck that is held at a speed."""

ON_REQUEST: tuple[str, ...] = ("damper_speeds", "comfort", "ride_height", "obstacles", "matrix", "valving")
"""Drawn only where a file's `show` names them: a comparison of the demo is to take no more than four seconds."""
