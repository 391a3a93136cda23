"""How dampers are tested: the speed that a crank gives, the speeds at which forces are asked."""

from math import pi

TEST_SPEEDS = (0.05, 0.10, 0.13, 0.26, 0.52, 1.00)
"""Speeds [m/s] at which forces are asked: 2, 4, 5, 10, 20 and 40 in/s; customary, from memory."""

CRANKS = ((0.100, 50.0), (0.100, 100.0), (0.100, 200.0))
"""Stroke [m] and revolutions a minute of a superseded vehicle maker's procedure, read in a public summary."""

FIVE_SPEEDS = (0.05, 0.13, 0.26, 0.52, 1.00)
"""The five of them [m/s] at which a valving is compared: 2, 5, 10, 20 and 40 in/s."""


def crank_speed(stroke_m: float, rpm: float) -> float:
    """Return the greatest speed [m/s] of a crank's slide: pi x stroke x revolutions a second (long connecting rod)."""
    return pi * stroke_m * rpm / 60.0
