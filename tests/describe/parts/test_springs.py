"""Springs from their dimensions, against handbook examples."""

import pytest
from pydantic import TypeAdapter

from sim.describe.parts.springs import Spring

ADAPTER = TypeAdapter(Spring)
PLACES = {
    "body": {"behind_front_axle": "0 m", "above_ground": "0.9 m"}, "axle": {"ahead": "0 m", "above": "0.1 m"},
}  # fmt: skip


def test_coil_from_its_wire_si():
    """d=12 mm, D=100 mm, n=6, G=79.3 GPa: 34257.6 N/m, by G d⁴/(8 D³ n) (Shigley, ch. 10)."""
    coil = ADAPTER.validate_python(
        {"kind": "coil", "wire_diameter": "12 mm", "coil_diameter": "100 mm", "active_coils": 6, **PLACES}
    )
    assert coil.rate_n_per_m == pytest.approx(34257.6, rel=1e-5)


def test_shigley_coil_in_inches():
    """Shigley, ch. 10: d=.037 in, D=.400 in, Na=10.5, G=11.85 Mpsi: 4.13 lbf/in (4.1311 recomputed)."""
    coil = ADAPTER.validate_python(
        {
            "kind": "coil", "wire_diameter": "0.037 in", "coil_diameter": "0.400 in", "active_coils": 10.5,
            "shear_modulus": "11.85e6 psi", **PLACES,
        }
    )  # fmt: skip
    assert coil.rate_n_per_m / 175.126835 == pytest.approx(4.1311, rel=2e-3)


def test_khurmi_leaf_spring():
    """Khurmi type exercise: 7 leaves, 2 full, 65 x 9 mm, effective half span 523.33 mm, E 210 GPa: 185.1 N/mm."""
    pack = ADAPTER.validate_python(
        {
            "kind": "leaf_pack", "leaves": 7, "full_length_leaves": 2, "leaf_width": "65 mm", "leaf_thickness": "9 mm",
            "length": "1046.667 mm", "modulus": "210 GPa",
        }
    )  # fmt: skip
    assert pack.rate_n_per_m == pytest.approx(185.1e3, rel=1e-3)


def test_bhandari_truck_spring():
    """Bhandari: 10 graduated incl. master + 2 extra full-length, 60 x 12 mm, 1.2 m eyes, E 207 GPa.

    Prestressed or not, rate is the same; 30 kN over 69.677 mm is 430.56 N/mm.
    """
    pack = ADAPTER.validate_python(
        {
            "kind": "leaf_pack", "leaves": 12, "full_length_leaves": 2, "leaf_width": "60 mm",
            "leaf_thickness": "12 mm", "length": "1.2 m", "modulus": "207 GPa",
        }
    )  # fmt: skip
    assert pack.rate_n_per_m == pytest.approx(430.56e3, rel=1e-3)


def test_triangular_pack():
    """Ideal triangular semi-elliptic pack 8 E n b t³/(3 L³) (formula handbooks), as the limit of many leaves."""
    n, b, t, length = 400, 0.06, 0.01, 1.2
    pack = ADAPTER.validate_python(
        {
            "kind": "leaf_pack", "leaves": n, "full_length_leaves": 1, "leaf_width": "60 mm", "leaf_thickness": "10 mm",
            "length": "1.2 m", "modulus": "207 GPa",
        }
    )  # fmt: skip
    assert pack.rate_n_per_m == pytest.approx(8 * 207e9 * n * b * t**3 / (3 * length**3), rel=2e-3)
