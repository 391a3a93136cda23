"""The palette is proved by computation: distances for four kinds of colour vision and in grey, contrast on paper and screen.

Colour science by the library of that name (general, well kept): CAM16-UCS (C. Li and others, Color Res. Appl. 42, 2017), colour
vision without one kind of cone (G. M. Machado and others, IEEE Trans. Vis. Comput. Graph. 15, 2009, severity 1). Contrast by
WCAG 2.2, 1.4.3 (text, 4.5 to 1) and 1.4.11 (graphics, 3 to 1). How far colours must be apart is common practice, no source: a
just noticeable difference is about one unit of CAM16-UCS; 15 of them are told apart in thin lines.
"""

import re
import warnings
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

from sim.show.looks import DAMPER, GUIDE, LOOKS, SPRING, STRAP
from sim.show.plots.style import GRID, INK, ROAD, SOFT

colour = pytest.importorskip("colour", reason="colour-science is not installed: pip install '.[test]'")

VISIONS = ("usual", "Protanomaly", "Deuteranomaly", "Tritanomaly")
APART, NEXT_IN_GREY = 15.0, 8.0
STATIC = Path("sim/show/pages/static")


def linear(text):
    return colour.cctf_decoding(colour.notation.HEX_to_RGB(text), function="sRGB")


def seen(text, vision):
    """Return the place of a colour in CAM16-UCS as a kind of colour vision has it."""
    rgb = linear(text)
    if vision != "usual":
        # The library warns that the paper's way to the third kind is an approximation; there is no better one in it.
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            rgb = np.clip(colour.blindness.matrix_cvd_Machado2009(vision, 1.0) @ rgb, 0.0, 1.0)
    return 100.0 * colour.XYZ_to_CAM16UCS(colour.RGB_to_XYZ(rgb, "sRGB", apply_cctf_decoding=False)) / SCALE


def luminance(text):
    return float(colour.RGB_to_XYZ(linear(text), "sRGB", apply_cctf_decoding=False)[1])


def contrast(one, two):
    """Return the ratio of WCAG 2.2: (L1 + 0.05) over (L2 + 0.05)."""
    light, dark = sorted((luminance(one), luminance(two)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


# White is J' = 100: whatever scale the library's version has, distances are in units of that.
SCALE = 1.0
SCALE = (
    float(100.0 * colour.XYZ_to_CAM16UCS(colour.RGB_to_XYZ(np.ones(3), "sRGB", apply_cctf_decoding=False))[0]) / 100.0
)


def grey(text):
    """Return CIE L* of a grey print."""
    return float(
        colour.XYZ_to_Lab(luminance(text) * colour.RGB_to_XYZ(np.ones(3), "sRGB", apply_cctf_decoding=False), D65)[0]
    )


D65 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D65"]


def test_the_yardsticks():
    """White on black is 21 to 1 (WCAG 2.2); black and white are 100 units apart; L* of mid grey #777777 is 50.0 (CIE 15)."""
    assert contrast("#ffffff", "#000000") == pytest.approx(21.0, abs=0.01)
    assert np.linalg.norm(seen("#ffffff", "usual") - seen("#000000", "usual")) == pytest.approx(100.0, abs=1.5)
    assert grey("#777777") == pytest.approx(50.0, abs=0.1)
    # Who lacks the red cone takes a dark red for a dark brown-green: near for them, far for others.
    near, far = (np.linalg.norm(seen("#a01818", v) - seen("#4c4a12", v)) for v in ("Protanomaly", "usual"))
    assert near < 0.6 * far


@pytest.mark.parametrize("vision", VISIONS)
def test_set_ups_are_apart_for_everybody(vision):
    for one, two in combinations(LOOKS, 2):
        distance = float(np.linalg.norm(seen(one.colour, vision) - seen(two.colour, vision)))
        assert distance > APART, (vision, one.number, two.number)


def test_set_ups_are_apart_in_grey():
    levels = sorted(grey(look.colour) for look in LOOKS)
    assert min(np.diff(levels)) > NEXT_IN_GREY
    first = sorted(grey(look.colour) for look in LOOKS[:4])
    assert min(np.diff(first)) > 2.0 * NEXT_IN_GREY
    # Ours and the library's way to L* are one.
    for look in LOOKS:
        assert look.lightness == pytest.approx(grey(look.colour), abs=0.05)


def test_everything_is_seen_on_white_paper():
    for text in (*(look.colour for look in LOOKS), DAMPER, SPRING, GUIDE, STRAP, ROAD):
        assert contrast(text, "#ffffff") > 3.0, text
    for text in (INK, SOFT):
        assert contrast(text, "#ffffff") > 4.5
    assert contrast(GRID, "#ffffff") < 1.5  # a grid stays behind what is drawn


def variables(css, dark):
    """Return the colours of a page by name, on a light or a dark screen."""
    light, _, after = css.partition("@media screen and (prefers-color-scheme: dark)")
    found = dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", light.split("}")[0]))
    return found | dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", after.split("}")[0])) if dark else found


@pytest.mark.parametrize("dark", [False, True])
def test_pages_on_light_and_dark_screens(dark):
    page = variables((STATIC / "report.css").read_text(encoding="utf-8"), dark)
    for screen in (page["paper"], page["page"]):
        for text in ("ink", "soft", "accent", "alarm"):
            assert contrast(page[text], screen) > 4.5, text
        for part in ("damper", "spring", "guide"):
            assert contrast(page[part], screen) > 3.0, part
    parts = [page[name] for name in ("damper", "spring", "guide")]
    for vision in VISIONS:
        for one, two in combinations(parts, 2):
            assert np.linalg.norm(seen(one, vision) - seen(two, vision)) > APART, (vision, one, two)


def test_pictures_lie_on_white_on_dark_screens_too():
    """Lines keep the contrast of paper: no rule for dark screens takes the white from under them."""
    css = (STATIC / "report.css").read_text(encoding="utf-8")
    for place in (".picture", ".sample"):
        assert re.search(rf"^\{place} \{{[^}}]*background: #fff;", css, re.MULTILINE), place
    dark = css.partition("(prefers-color-scheme: dark) {")[2].partition("\n}\n")[0]
    assert "--paper" in dark
    assert not re.search(r"\.(picture|sample)", dark)


def test_pages_have_the_palette_of_the_pictures():
    page = variables((STATIC / "report.css").read_text(encoding="utf-8"), dark=False)
    assert (page["damper"], page["spring"], page["guide"]) == (DAMPER, SPRING, GUIDE)
    script = Path("sim/show/pages/local/static/plots.js").read_text(encoding="utf-8")
    listed = re.search(r"LOOKS = \[(.*?)\];", script, re.DOTALL)[1]
    assert re.findall(r"#[0-9a-f]{6}", listed) == [look.colour for look in LOOKS]
