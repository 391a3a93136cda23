import io
from dataclasses import replace
from types import SimpleNamespace

import pytest
from rich.cells import cell_len

from sim.describe.files.scenario import load_scenario
from sim.measure.table import Value
from sim.show.report.cells import cell, label, signs
from sim.show.report.table import printed, short, tables
from sim.study.compare import compare
from tests.show.plots.cases import BOTTOMED, CASES, case
from tests.synthetic import SCENARIOS, synthetic_comparison

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


def output(comparison, encoding="utf-8", **options) -> str:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding)
    printed(comparison, stream, **options)
    stream.flush()
    return stream.buffer.getvalue().decode(encoding)


def line_of(text: str, start: str) -> str:
    return next(line for line in text.splitlines() if line.startswith(start))


@pytest.mark.parametrize("everything", [False, True])
@pytest.mark.parametrize("width", [40, 60, 100, 132])
@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
@pytest.mark.parametrize("name", ["four", "long names"])
def test_no_line_is_wider_than_the_terminal(name, encoding, width, everything):
    text = output(case(name), encoding, width=width, everything=everything)
    assert max(cell_len(line) for line in text.splitlines()) <= width


def test_four_setups_stand_side_by_side_in_a_hundred_letters():
    assert len(tables(synthetic_comparison(4), width=100)) == 1
    assert len(tables(synthetic_comparison(4), everything=True, width=100)) == 1


def test_narrow_terminal_gets_several_tables_with_all_setups():
    parts = tables(synthetic_comparison(4), width=60)
    assert [len(part.columns) - 1 for part in parts] == [2, 2]
    text = output(synthetic_comparison(4), width=60)
    for setup in ("bare springs", "two dampers", "four dampers"):
        assert setup in text


@pytest.mark.parametrize("name", CASES)
def test_hard_comparisons(name):
    for encoding in ("utf-8", "ascii"):
        text = output(case(name), encoding, everything=True)
        assert "nan" not in text
        assert "inf " not in text


def test_worst_is_marked_and_only_worst():
    text = output(synthetic_comparison(4))
    row = line_of(text, "Rear bump stop hits")
    assert row.split() == ["Rear", "bump", "stop", "hits", "9", "◄", "1", "0", "1"]
    assert "\x1b" not in text  # no colour codes


def test_worst_is_over_all_setups_also_when_tables_are_apart():
    text = output(synthetic_comparison(4), width=60)
    assert text.count("◄") == output(synthetic_comparison(4)).count("◄")


def test_ascii_stream_gets_ascii():
    text = output(case("odd names"), "ascii")
    assert text.isascii()
    assert "m/s2 (g)" in text
    row = line_of(output(synthetic_comparison(2), "ascii"), "Rear bump stop hits")
    assert "9 <" in row


def test_figures_that_read_the_same_have_no_worst_and_no_change():
    """A share of what is rounded away looks like a finding, and is none."""
    comparison = synthetic_comparison(2)
    name = next(one.name for one in comparison.measures if one.label == "Rear bump stop hits")
    alike = {
        setup: {**row, name: replace(row[name], value=9.0 + number * 1e-9)}
        for number, (setup, row) in enumerate(comparison.values.items())
    }
    row = line_of(output(replace(comparison, values=alike)), "Rear bump stop hits")
    assert row.split()[4:] == ["9", "9", "same"]
    other = {
        setup: {**row, name: replace(row[name], value=9.0 + 9.0 * number)}
        for number, (setup, row) in enumerate(comparison.values.items())
    }
    row = line_of(output(replace(comparison, values=other)), "Rear bump stop hits")
    assert row.split()[4:] == ["9", "18", "◄", "-50.00"]  # from the one with dampers: bare springs are no reference


def test_what_does_not_apply_is_a_dash():
    row = line_of(output(synthetic_comparison(2)), "Front damper-end hits")
    assert row.split()[-3:] == ["–", "0", "–"]  # the last is the change, which a dash has none of


def measure(quantity):
    return SimpleNamespace(quantity=quantity, label="Label")


def test_cell_has_both_unit_systems():
    """1 in = 25.4 mm, 1 lbf = 4.4482216 N (NIST SP 811)."""
    sign = signs("utf-8")
    assert cell(Value(0.0635, 0.0, False), measure("length"), sign) == "63.5 (2.50)"
    assert label(measure("length")) == "Label [mm (in)]"
    assert cell(Value(4448.2216, 0.0, False), measure("force"), sign) == "4448 (1000)"
    assert label(measure("force")) == "Label [N (lbf)]"
    assert cell(Value(0.25, 0.0, False), measure("percent"), sign) == "25.0"
    assert label(measure("count")) == "Label"


def test_doubt_nothing_and_never():
    sign, nan, inf = signs("utf-8"), float("nan"), float("inf")
    assert cell(Value(0.25, 0.1, True), measure("percent"), sign) == "~25.0"
    assert cell(None, measure("percent"), sign) == "–"
    assert cell(Value(nan, nan, False), measure("percent"), sign) == "–"
    assert cell(Value(nan, nan, True), measure("percent"), sign) == "~–"
    assert cell(Value(inf, 0.0, False), measure("time"), sign) == "never"


def test_huge_number_stays_short():
    assert cell(Value(1e300, 0.0, True), measure("length"), signs("utf-8")) == "~1.00e+303 (3.94e+301)"


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [("utf-8", "◄"), ("UTF-16", "◄"), ("cp437", "<"), ("cp1252", "<"), ("ascii", "<"), (None, "<"), ("what?", "<")],
)
def test_signs_by_encoding(encoding, mark):
    assert signs(encoding).worst == mark


def test_families_are_headed_once_each():
    text = output(synthetic_comparison(2), everything=True)
    for heading in ("Coming to rest", "Tyres on the ground", "Metal on metal", "Dampers", "Energy"):
        assert [line.strip() for line in text.splitlines()].count(heading) == 1


def test_short_table_is_part_of_the_whole_and_says_so():
    comparison = synthetic_comparison(2)
    some = short(comparison)
    assert 10 < len(some) < len(comparison.measures)
    assert len({m.name for m in some}) == len(some)
    text = output(comparison)
    assert f"{len(some)} of {len(comparison.measures)} measures" in text
    assert "--all" not in output(comparison, everything=True)


def test_flags_are_told():
    comparison = synthetic_comparison(2)
    runs = comparison.runs | {"two dampers": replace(comparison.runs["two dampers"], flags=(BOTTOMED,))}
    text = " ".join(output(replace(comparison, runs=runs)).split())
    assert f"FLAGGED “two dampers” at 3.21 s: {BOTTOMED.sentence}" in text
    # Its sentence says the part and not the moment; one that says neither has both said before it.
    bare = replace(BOTTOMED, sentence="It met its end.")
    runs = comparison.runs | {"two dampers": replace(comparison.runs["two dampers"], flags=(bare,))}
    text = " ".join(output(replace(comparison, runs=runs)).split())
    assert "FLAGGED “two dampers” at 3.21 s, front damper 'main': It met its end." in text
    assert "FLAGGED" not in output(comparison)


def test_what_is_wrong_at_rest_is_said_beneath_the_verdict_where_no_run_met_it():
    """Rear dampers that are short of droop on an axle without a strap: a small push meets nothing of it, and is no run that is flagged."""
    data = load_scenario(SCENARIOS / "push_on_the_bumper.yaml")
    truck = data.setups["as fitted"]
    short = truck.changed({"rear.strap": "none", "rear.dampers.main.length_extended": "600 mm"})
    comparison = compare(replace(data, setups={"as fitted": truck, "short": short}))
    assert not any(run.flags for run in comparison.runs.values())
    assert {flag.kind for flag in comparison.at_rest["short"]} == {"no_strap"}
    assert comparison.at_rest["as fitted"] == ()
    text = " ".join(output(comparison).split())
    assert (
        "Wrong as it stands, though this run does not meet it: with “short” rear damper 'main' holds the hanging axle, no strap does; jounce stand"
        in text
    )
    assert "FLAGGED" not in text
    assert "Wrong as it stands" not in output(synthetic_comparison(2))


def test_what_a_run_has_met_is_not_said_again():
    data = load_scenario(SCENARIOS / "push_on_the_bumper.yaml")
    solid = data.setups["as fitted"].changed({"front.springs.coil.solid_length": "390 mm"})
    comparison = compare(replace(data, setups={"solid": solid}))
    assert {flag.kind for flag in comparison.runs["solid"].flags} == {"coil_bind"}
    assert comparison.at_rest["solid"] == ()


def test_set_ups_with_the_same_fault_are_flagged_once():
    comparison = synthetic_comparison(3)
    flagged = {name: replace(run, flags=(BOTTOMED,)) for name, run in list(comparison.runs.items())[1:]}
    text = " ".join(output(replace(comparison, runs=comparison.runs | flagged)).split())
    first, *others = flagged
    assert text.count(BOTTOMED.sentence) == 1
    assert f"FLAGGED “{first}” at 3.21 s: {BOTTOMED.sentence}" in text
    assert f"FLAGGED “{others[0]}” at 3.21 s: {BOTTOMED.words} too" in text


def test_brackets_in_a_name_are_no_markup():
    comparison = synthetic_comparison(1)
    name = "[bold]$x[/bold]"
    runs = {name: next(iter(comparison.runs.values()))}
    values = {name: next(iter(comparison.values.values()))}
    text = output(replace(comparison, runs=runs, values=values))
    assert name in "".join(text.split())
