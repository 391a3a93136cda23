"""Bending stress of leaves, what spring leaves bear, and how stiffly a pack holds a housing against turning."""

LEAF_STRESS = 1000e6
"""Stress [Pa] that spring leaves bear at full bump, nipped, shot-peened and set; from memory, no source."""


def leaf_stress(force: float, leaves: float, width: float, thickness: float, length: float) -> float:
    """Return the bending stress [Pa] of leaves that are nipped to share it alike, under a force [N] of one pack.

    6 W l / (n b t²), with W and l for half of the spring (Khurmi, Machine Design; Bhandari, Design of Machine Elements): n leaves of width b and
    thickness t [m], working length 2 l [m].
    """
    return 6.0 * (0.5 * force) * (0.5 * length) / (leaves * width * thickness**2)


def turned(rate: float, ahead: float, behind: float) -> tuple[float, float]:
    """Return what a pack of a rate [N/m] answers to a turn of its seat: moment by turn [N m/rad], and support by turn [N/rad].

    Each half [m] is a cantilever from the seat, its rate as one over the cube of its length: k_a + k_b = k, moment by turn a² k_a + b² k_b,
    support by turn b k_b - a k_a. For even halves that is k L²/4 (SAE leaf spring manual, from memory).
    """
    # Of cantilevers k_a a³ = k_b b³, and k_a + k_b = k.
    share = behind**3 / (ahead**3 + behind**3)
    of_ahead, of_behind = rate * share, rate * (1.0 - share)
    return ahead * ahead * of_ahead + behind * behind * of_behind, behind * of_behind - ahead * of_ahead
