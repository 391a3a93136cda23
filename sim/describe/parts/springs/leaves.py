"""Bending stress of leaves, and what spring leaves bear."""

LEAF_STRESS = 1000e6
"""Stress [Pa] that spring leaves bear at full bump, nipped, shot-peened and set; from memory, no source."""


def leaf_stress(force: float, leaves: float, width: float, thickness: float, length: float) -> float:
    """Return the bending stress [Pa] of leaves that are nipped to share it alike, under a force [N] of one pack.

    6 W l / (n b t²), with W and l for half of the spring (Khurmi, Machine Design; Bhandari, Design of Machine Elements): n leaves of width b and
    thickness t [m], working length 2 l [m].
    """
    return 6.0 * (0.5 * force) * (0.5 * length) / (leaves * width * thickness**2)
