"""Numbers as people read them: both systems, and back again."""

import pytest

from sim.describe import shown


@pytest.mark.parametrize("quantity", shown.SHOWN)
def test_what_is_shown_reads_back(quantity):
    for number, unit in shown.show_parts(1.2345, quantity):
        divisor = next(d for d, u, _ in shown.SHOWN[quantity] if u == unit)
        assert number * divisor + shown.ZEROS.get((quantity, unit), 0.0) == pytest.approx(1.2345)


def test_both_systems():
    assert shown.show(0.0635, "length") == "63.5 mm (2.50 in)"
    assert shown.show(31522.83, "stiffness") == "31.52 N/mm (180.0 lb/in)"
    assert shown.show(-1e-9, "length") == "0.0 mm (0.00 in)"
    assert shown.show_numbers(0.0635, "length") == "63.5 (2.50)"
    assert shown.unit_names("length") == "[mm (in)]"
    assert shown.unit_names("number") == ""
