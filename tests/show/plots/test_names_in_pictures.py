"""Names that people choose are text in a picture, whatever signs they hold; and the same page is the same file."""

from xml.etree import ElementTree

import pytest
from matplotlib.figure import Figure

from sim.show.plots import PLOTS, order_sheet
from sim.show.plots.save import saved
from tests.synthetic import synthetic_comparison

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


def test_the_same_order_sheet_is_the_same_pdf(tmp_path, monkeypatch):
    """Also at another time, which a PDF would hold (matplotlib takes it from SOURCE_DATE_EPOCH)."""
    found = []
    for number in range(2):
        monkeypatch.setenv("SOURCE_DATE_EPOCH", str(1_000_000_000 * (number + 1)))
        page = Figure(figsize=(4, 3))
        page.text(0.1, 0.5, "Damper order")
        found.append([path.read_bytes() for path in order_sheet.saved([page, page], tmp_path / f"sheet{number}")])
    assert found[0] == found[1]
