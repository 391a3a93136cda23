"""Names that people choose are text in a picture, whatever signs they hold; and the same page is the same file."""

import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from matplotlib.figure import Figure

import sim
from sim.linear.standing import stand
from sim.show.plots import PLOTS, each_damper, mode_shapes, order_sheet
from sim.show.plots.lettering import signed, told_apart, width_in
from sim.show.plots.page import Page
from sim.show.plots.save import saved
from sim.show.report.sheet_rows import Row
from sim.study.convert import gas_lifts
from tests.synthetic import synthetic_comparison

ROOT = Path(__file__).parents[3]

NAMES = ("<script>alert(1)</script>", "\" onload='x' &amp; ]]>", "$\\frac{1}{0}$")


@pytest.mark.parametrize("plot", ["verdict", "axle_travel"])
def test_set_ups_with_signs_of_a_markup_are_text_in_an_svg(plot, tmp_path):
    """SVG 2, chapter 2.5: markup is what the parser of XML finds, so it is asked."""
    comparison = synthetic_comparison(3)
    renamed = dict(zip(NAMES, comparison.runs.values(), strict=True))
    values = dict(zip(NAMES, comparison.values.values(), strict=True))
    made = PLOTS[plot](type(comparison)(comparison.scenario, renamed, values))
    svg = saved(made, tmp_path / "plot")[1]
    root = ElementTree.fromstring(svg.read_text(encoding="utf-8"))
    tags = {element.tag.rpartition("}")[2] for element in root.iter()}
    assert "script" not in tags
    assert not [key for element in root.iter() for key in element.attrib if key.lower().startswith("on")]
    assert NAMES[0] in " ".join(text for element in root.iter() for text in element.itertext())


def test_the_answer_of_the_verdict_page_is_not_cut_off(monkeypatch):
    """Many set-ups with many warnings and loads make a sentence of ten lines: what is traded stands at its end."""
    sentence = (
        " ".join(["every set-up runs into its front and rear bump stops;"] * 10) + " settling is too close to call"
    )
    monkeypatch.setattr("sim.show.plots.verdict.headline", lambda *given: sentence)
    said = " ".join(text.get_text() for text in PLOTS["verdict"](synthetic_comparison(3)).texts[:14])
    assert said.replace("\n", " ").replace("\u00a0", " ").startswith(sentence)


def test_a_set_ups_name_is_whole_in_the_verdicts_title():
    """80 letters are the longest that a scenario takes."""
    comparison = synthetic_comparison(3)
    names = [f"lifted {n} in in front and as much behind, all loads aboard and both tanks filled" for n in range(3)]
    renamed = dict(zip(names, comparison.runs.values(), strict=True))
    values = dict(zip(names, comparison.values.values(), strict=True))
    texts = PLOTS["verdict"](type(comparison)(comparison.scenario, renamed, values)).texts
    whole = " ".join(text.get_text() for text in texts).replace("\n", " ").replace("\u00a0", " ")
    assert sum(f"“{name}”" in whole for name in names) >= 2
    assert "…" not in whole


ALIKE = [
    f"Hut truck, summer load, four in front, rears {rears}"
    for rears in ("firm in rebound", "soft in rebound", "left as bought", "taken off now")
]
"""Some sixty letters each, of which the first fifty are the same."""


def renamed(comparison, names):
    """The same set-ups under other names."""
    runs = dict(zip(names, comparison.runs.values(), strict=True))
    values = dict(zip(names, comparison.values.values(), strict=True))
    return type(comparison)(comparison.scenario, runs, values)


def words_of(picture):
    """All text of a picture, lines put together, those of panels too."""
    texts = [*picture.texts, *(text for axes in picture.axes for text in axes.texts)]
    return " ".join(text.get_text() for text in texts).replace("\n", " ").replace("\u00a0", " ")


@pytest.mark.parametrize("plot", sorted(PLOTS))
def test_names_that_begin_alike_are_whole_in_every_picture_and_apart_in_its_title(plot):
    comparison = renamed(synthetic_comparison(4), ALIKE)
    words = words_of(PLOTS[plot](comparison))
    for number, name in enumerate(ALIKE, 1):
        assert f"{number}  {name}" in words or f"{number} {name}" in words
    quoted = re.findall("“([^”]*)”", words)
    assert all(any(name.endswith(said[-9:]) for name in ALIKE) for said in quoted if said.startswith("Hut truck"))
    if plot == "matrix":
        assert {"1  …firm", "2  …soft", "3  …left", "4  …take"} <= {words[at : at + 8] for at in range(len(words))}


WORDS = st.sampled_from(
    ["springs", "soft", "firm", "front", "rear", "four", "with", "two", "a", "of", "and", "longer-than-most"]
)


@given(
    names=st.lists(st.lists(WORDS, min_size=1, max_size=14).map(" ".join), min_size=2, max_size=6, unique=True),
    most_in=st.sampled_from((2.2, 3.0, 4.2)),
)
@example(
    names=[f"{a} springs and a good many words after, {b}" for a in ("soft", "firm") for b in ("front", "rear")],
    most_in=2.2,
)
@example(names=["x" * 90 + "1", "x" * 90 + "2"], most_in=2.2)
@example(names=["a name that is " + 4 * "long and " + end for end in ("long", "long and wide")], most_in=2.2)
def test_names_are_told_apart_in_the_room_that_there_is(names, most_in):
    """Different names stay different, none is wider than the room, and what fits is left as it is."""
    said = told_apart(names, most_in, 14.0, bold=True)
    assert len(set(said)) == len(names)
    for name, short in zip(names, said, strict=True):
        assert width_in(short, 14.0, bold=True) <= most_in
        assert short == name or width_in(name, 14.0, bold=True) > most_in


def test_a_title_about_one_set_up_has_its_name_whole():
    """Pictures without a legend: the longest name that a scenario takes is nowhere else in them."""
    name = ALIKE[0] + ", with a winch aboard"
    vehicle = sim.load(ROOT / "scenarios" / "which_speed.yaml").setups["as it is"]
    assert f"“{name}”" in words_of(mode_shapes.figure(name, stand(vehicle)))
    lifts = {setup: gas_lifts(vehicle) for setup in (name, ALIKE[1])}
    words = words_of(each_damper.gas_figure(lifts))
    assert f"With “{name}” the gas" in words
    for setup in lifts:
        assert f"{setup}: front 'main', 2 of" in words


def test_hyphens_before_numbers_alone_are_minus_signs():
    """A standard's part, a date, a range and a name keep theirs."""
    assert signed("-1.8 kg (-4.0 lb), 5  -11.6 mm, -.5") == "−1.8 kg (−4.0 lb), 5  −11.6 mm, −.5"
    for kept in ("ISO 2631-1", "2026-11-30", "half-car", "oil-10", "(a)-1", "--steps", "a - b"):
        assert signed(kept) == kept
    sheet = Page({})
    sheet.text(0.0, 0.0, "-16 %")
    assert sheet.texts[0][2] == "−16 %"
    pages = order_sheet.pages("Damper order", "a truck", [Row("Forces", "At 1.05 m/s", "-2163 N", "-486 lbf")], [])
    said = [text.get_text() for page in pages for text in page.texts]
    assert "−2163\u00a0N (−486\u00a0lbf)" in said


def test_the_same_order_sheet_is_the_same_pdf(tmp_path, monkeypatch):
    """Also at another time, which a PDF would hold (matplotlib takes it from SOURCE_DATE_EPOCH)."""
    found = []
    for number in range(2):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(1_000_000_000 * (number + 1)))
        page = Figure(figsize=(4, 3))
        page.text(0.1, 0.5, "Damper order")
        found.append([path.read_bytes() for path in order_sheet.saved([page, page], tmp_path / f"sheet{number}")])
    assert found[0] == found[1]
