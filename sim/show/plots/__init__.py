"""Plots: the list. A new one is a file beside these and its line here."""

from collections.abc import Callable

from matplotlib.figure import Figure

from sim.measure.comparison import Comparison
from sim.show.plots import (
    axle_travel,
    bounce_and_pitch,
    comfort,
    damper_force_speed,
    damper_speeds,
    felt,
    matrix,
    obstacles,
    overlay,
    ride_height,
    road_and_wheels,
    tyre_load,
    valving,
    wind_up,
)

PLOTS: dict[str, Callable[[Comparison], Figure]] = {
    overlay.NAME: overlay.figure,
    wind_up.NAME: wind_up.figure,
    road_and_wheels.NAME: road_and_wheels.figure,
    bounce_and_pitch.NAME: bounce_and_pitch.figure,
    axle_travel.NAME: axle_travel.figure,
    tyre_load.NAME: tyre_load.figure,
    felt.NAME: felt.figure,
    damper_force_speed.NAME: damper_force_speed.figure,
    damper_speeds.NAME: damper_speeds.figure,
    comfort.NAME: comfort.figure,
    ride_height.NAME: ride_height.figure,
    obstacles.NAME: obstacles.figure,
    matrix.NAME: matrix.figure,
    valving.NAME: valving.figure,
}
"""By the name that a scenario's `show` asks for, in the order they are drawn."""

__all__ = ["PLOTS"]
