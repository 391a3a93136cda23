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
    "valving",
)

ON_REQUEST: tuple[str, ...] = ("damper_speeds", "valving")
"""Drawn only where a file's `show` names them: a comparison of the demo is to take no more than four seconds."""
