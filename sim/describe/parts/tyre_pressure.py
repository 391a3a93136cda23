"""What a tyre's pressure does to it: rate, length on the ground and damping."""

from math import sqrt

KGF_PER_MM = 9806.65  # N/m, by standard gravity

WIDTH, RIM = 0.32, 0.47
"""Width and rim of a tyre as shares of its diameter, where nothing but that is known; common practice, no source."""


def radial_rate(pressure: float, width: float, aspect: float, rim: float) -> float:
    """Return the vertical rate [N/m] of a belted radial of a width and rim [m] and an aspect ratio at a pressure [Pa].

    0.00028 P sqrt((1.03 - 0.004 AR) SN (SN AR / 50 + DR)) + 3.45 kgf/mm, pressure P in kPa, section width SN and rim diameter DR
    in mm, aspect ratio AR in per cent: T. B. Rhyne, Development of a vertical stiffness relationship for belted radial tires,
    Tire Science and Technology 33 (3), 2005, from memory.
    """
    per_cent, wide, inner = 100.0 * aspect, 1e3 * width, 1e3 * rim
    root = sqrt(max(1.03 - 0.004 * per_cent, 0.1) * wide * (wide * per_cent / 50.0 + inner))
    return (0.00028 * pressure / 1e3 * root + 3.45) * KGF_PER_MM


def rate_share(pressure: float, measured_at: float, radius: float) -> float:
    """Return the vertical rate at a pressure over that at another one [Pa], of a tyre of an outer radius [m].

    The relation's two parts, air and carcass, in the ratio that a tyre of this diameter usually has; a measured rate sets the size.
    """
    width, rim = WIDTH * 2.0 * radius, RIM * 2.0 * radius
    aspect = 0.5 * (2.0 * radius - rim) / width
    return radial_rate(pressure, width, aspect, rim) / radial_rate(measured_at, width, aspect, rim)


def contact_share(rate: float) -> float:
    """Return the length on the ground over that at another pressure, from the share of the rate.

    Under one load a tyre gives 1 / rate, and its patch is a chord, as the root of that while it is small beside the radius.
    """
    return 1.0 / sqrt(rate)
