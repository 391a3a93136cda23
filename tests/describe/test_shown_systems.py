"""One system of units or both: what is chosen decides, everywhere numbers are shown. Factors: NIST SP 811, appendix B."""

import pytest

from sim.describe import shown
from sim.describe.shown import (
    SHOWN,
    figure_of,
    headed,
    heading_of,
    in_shown_units,
    in_si,
    other_unit,
    show,
    show_part,
    shown_in,
    typed_in,
    unit_now,
    wished,
    written_now,
)  # fmt: skip

METRE_IN, NEWTON_LBF = 1 / 0.0254, 1 / 4.448222  # NIST SP 811: 1 in = 0.0254 m; 1 lbf = 4.448 222 N


def test_both_metric_inch():
    assert show(0.0635, "length") == "63.5 mm (2.50 in)"
    with shown_in("metric"):
        assert show(0.0635, "length") == "63.5 mm"
        assert heading_of("force") == "N"
    with shown_in("inch"):
        assert show(0.0635, "length") == "2.50 in"
        assert heading_of("force") == "lbf"
        assert figure_of(1000.0, "force") == pytest.approx(1000.0 * NEWTON_LBF, rel=1e-6)
        assert headed("road front", "length") == "road front [in]"
        # Seconds and degrees have one unit in every system.
        assert show(1.38, "time") == "1.4 s"
        assert heading_of("angle") == "deg"
    assert show(0.0635, "length") == "63.5 mm (2.50 in)"


def test_what_was_before_comes_back_after_an_error():
    with shown_in("inch"):
        with pytest.raises(RuntimeError), shown_in("metric"):
            raise RuntimeError
        assert shown.system() == "inch"
    assert shown.system() == "both"


def test_a_file_wishes_but_a_command_decides():
    with shown_in("both", firm=False):
        wished("inch")
        assert shown.system() == "inch"
        wished(None)  # a file that says nothing
        assert shown.system() == "inch"
    with shown_in("metric"):
        wished("inch")
        assert shown.system() == "metric"
    assert shown.system() == "both"


@pytest.mark.parametrize("quantity", sorted(SHOWN))
def test_figures_come_back_in_either_system(quantity):
    for system in ("metric", "inch"):
        with shown_in(system):
            assert in_si(figure_of(123.456, quantity), quantity, heading_of(quantity)) == pytest.approx(
                123.456, rel=1e-12
            )


def test_digits_are_those_of_the_trade():
    """Common practice, no source: seconds to a tenth, a truck's mass to the kilogram; a part's to a tenth."""
    assert [show(value, "time") for value in (1.376, 0.994, 0.996, 0.123, 12.34)] == [
        "1.4 s", "0.99 s", "1.0 s", "0.12 s", "12.3 s",
    ]  # fmt: skip
    assert show(1640.0, "mass") == "1640 kg (3616 lb)"
    assert show(1.9, "mass") == "1.9 kg (4 lb)"
    # A load on the ground as a weighbridge says it: 1000 kg stand with 9806.65 N (standard gravity, NIST SP 811).
    assert show(9806.65, "load") == "1000 kg (2205 lb)"


def test_a_sentence_with_sizes_in_both_systems_is_shown_in_one():
    """An inch is 25.4 mm, so 600 mm are 24 in to the inch."""
    both = "lift it by 600 mm (24 in) or so (common practice), with 2.2 bar (32 psi)"
    with shown_in("inch"):
        assert in_shown_units(both) == "lift it by 24 in or so (common practice), with 32 psi"
    with shown_in("metric"):
        assert in_shown_units(both) == "lift it by 600 mm or so (common practice), with 2.2 bar"
    assert in_shown_units(both) == both


def test_where_one_unit_has_room_it_is_that_of_whoever_measured():
    """One inch is 25.4 mm (NIST SP 811); what a file was typed in holds until the command that read it ends."""
    with shown_in("both", firm=False):
        assert show_part(0.0254, "length") == (pytest.approx(25.4), "mm")
        typed_in("inch")
        assert show_part(0.0254, "length") == (pytest.approx(1.0), "in")
        # Both systems have room elsewhere, as before.
        assert "mm" in show(0.0254, "length")
    assert show_part(0.0254, "length")[1] == "mm"


def test_what_a_person_wrote_is_read_in_the_system_that_is_shown():
    """By the inch of 25.4 mm, the pound of 0.45359237 kg and the pound-force of 4.448222 N (NIST SP 811): 220 N/mm are 1256 lb/in."""
    for system, text, said in (
        ("inch", "220 to 310 N/mm", "1256 to 1770 lb/in"),
        ("inch", "1640 kg +- 25 kg", "3616 lb +- 55.1 lb"),
        ("inch", "36 N/mm +- 4 %", "206 lb/in +- 4 %"),
        ("inch", "88 mm +- 3 mm", "3.46 in +- 0.118 in"),
        ("inch", "about 3.2 kN/mm", "about 18272 lb/in"),
        ("inch", "190 lb/in", "190 lb/in"),
        ("metric", "190 lb/in", "33.3 N/mm"),
        ("metric", "0.3 to 0.5", "0.3 to 0.5"),
        ("both", "220 to 310 N/mm", "220 to 310 N/mm"),
    ):
        with shown_in(system):
            assert written_now(text) == said
    assert written_now("rate: 220 to 310 N/mm", beside=True) == "rate: 220 to 310 N/mm (1256 to 1770 lb/in)"
    assert written_now("190 lb/in", beside=True) == "33.3 N/mm (190 lb/in)"


def test_an_axis_is_read_in_the_system_that_is_shown():
    """A mile is 1.609344 km, by definition; an axis that is written in km/h is read in mph where inches are shown."""
    with shown_in("inch"):
        assert unit_now("km/h") == (pytest.approx(1.0 / 1.609344), "mph")
        assert unit_now("mph") == (1.0, "mph")
        assert unit_now("deg") == (1.0, "deg")
    with shown_in("metric"):
        assert unit_now("mph") == (pytest.approx(1.609344), "km/h")
    assert unit_now("km/h") == (1.0, "km/h")
    # A kN s/m is as much as a thousand N s/m.
    assert other_unit("kN s/m")[0] == pytest.approx(1e3 * other_unit("N s/m")[0])
