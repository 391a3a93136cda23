"""Shear stress of a round wire that is coiled, and what its steel bears: Shigley, Mechanical Engineering Design, ch. 10, from memory."""

from math import pi

OIL_TEMPERED, CHROME_SILICON = (1855e6, 0.187), (1974e6, 0.108)
"""Tensile strength [Pa] of two steels: the first number over d to the power of the second, d in mm (Shigley, table 10-4, from memory)."""

THICKEST = 12.7e-3
"""Thickest wire [m] of that table (oil-tempered; chrome-silicon 9.5 mm); thicker ones are continued by the same law."""

AS_WOUND, PRESET = 0.50, 0.65
"""Share of the tensile strength that a hardened and tempered wire bears in shear, as wound and after it was pressed solid to set it
(Shigley, table 10-6, from memory)."""


DEAD_TURNS = 2.0
"""Turns at both ends that carry nothing, squared and ground or tapered (Shigley, table 10-1, from memory)."""


def solid_length(wire_diameter: float, active_turns: float) -> float:
    """Return the length [m] at which turns touch, squared and ground ends: (n + 2) d (Shigley, table 10-1, from memory)."""
    return (active_turns + DEAD_TURNS) * wire_diameter


def wahl_factor(index: float) -> float:
    """Return by how much the inside of a coil is stressed more than straight wire: (4C - 1)/(4C - 4) + 0.615/C, C = D/d.

    A. M. Wahl, Mechanical Springs, from memory.
    """
    return (4.0 * index - 1.0) / (4.0 * index - 4.0) + 0.615 / index


def shear_stress(force: float, wire_diameter: float, coil_diameter: float) -> float:
    """Return the greatest shear stress [Pa] under a force [N]: K 8 F D / (pi d³), mean diameter D and wire d [m]."""
    factor = wahl_factor(coil_diameter / wire_diameter)
    return factor * 8.0 * force * coil_diameter / (pi * wire_diameter**3)


def bears(wire_diameter: float, share: float, steel: tuple[float, float] = OIL_TEMPERED) -> float:
    """Return the shear stress [Pa] that a wire [m] of a steel bears, as a share of its tensile strength."""
    strength, power = steel
    return share * strength / float((wire_diameter * 1e3) ** power)
