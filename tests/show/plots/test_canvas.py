"""Pictures on our canvas are those of the drawing library: where letters stand, how wide they are, what the files hold."""

import io
import subprocess
import sys
import xml.etree.ElementTree as ElementTree

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import TextToPath
from PIL import Image

from sim.show.plots.canvas import PNG_DPI, dots, font_file, line, on_canvas, write_svg
from sim.show.plots.png import write_png
from sim.show.plots.save import saved
from sim.show.plots.style import FONT, drawing

TEXTS = [
    "0.25",
    "gjpqy",
    "−12.5 mm (−0.49 in)",
    "Front tyre load: variation [%]",
    "“two front” Åé",
    "  led by blanks",
    "…",
    "_",
    "'",
]
"""Heights of all kinds: above the line alone, below it alone, and neither."""


def figure_of(text, rotation, weight="normal", at=(0.31, 0.42)):
    figure = Figure(figsize=(4.0, 3.0))
    on_canvas(figure)
    figure.text(*at, text, fontsize=9.5, rotation=rotation, fontweight=weight, color="#123456", va="center")
    return figure


def by_the_library(figure):
    figure.set_dpi(PNG_DPI)
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[:, :, :3]


def ink(pixels):
    """Return how dark each dot is, and the middle of all ink, down and across."""
    dark = 255.0 - pixels.astype(float).mean(axis=2)
    down, across = np.indices(dark.shape)
    return dark, np.array([(dark * down).sum(), (dark * across).sum()]) / dark.sum()


@pytest.mark.parametrize("weight", ["normal", "bold"])
@pytest.mark.parametrize("rotation", [0, 90, 35])
@pytest.mark.parametrize("text", TEXTS)
def test_letters_stand_where_the_library_puts_them(text, rotation, weight):
    with drawing():
        # A few places, as whole dots and parts of them differ.
        for at in ((0.31, 0.42), (0.3137, 0.4291), (0.3055, 0.4349)):
            figure = figure_of(text, rotation, weight, at)
            own, middle = ink(dots(figure))
            other, expected = ink(by_the_library(figure))
            # A line begins on a whole dot, half a one away at the most, and its first letter may be a dot off: all of it, if it is the only one.
            np.testing.assert_allclose(middle, expected, atol=1.5)
            assert own.sum() == pytest.approx(other.sum(), rel=0.03)


@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_lines_are_as_wide_as_the_library_says(weight):
    reference = TextToPath()
    file = font_file(FONT, weight, "normal")
    for text in TEXTS:
        for points in (8.5, 9.5, 14.0):
            wide, high, below = (72.0 / PNG_DPI * one for one in line(text, file, points, PNG_DPI)[:3])
            expected = reference.get_text_width_height_descent(
                text, FontProperties(family=FONT, weight=weight, size=points), False
            )
            np.testing.assert_allclose((wide, high, below), expected, atol=0.15)  # points


def test_a_set_up_called_like_mathematics_is_text():
    with drawing():
        dark, _ = ink(dots(figure_of("$5 springs$", 0)))
        plain, _ = ink(by_the_library(figure_of("$5 springs$", 0)))
    assert dark.sum() == pytest.approx(plain.sum(), rel=0.03)


def test_a_picture_s_file_holds_its_dots_and_their_size(tmp_path):
    drawn = np.random.default_rng(5).integers(0, 256, (83, 61, 3), dtype=np.uint8)
    write_png(drawn, tmp_path / "one.png")
    with Image.open(tmp_path / "one.png") as picture:
        picture.verify()  # every chunk's check sum
    with Image.open(tmp_path / "one.png") as picture:
        assert picture.mode == "RGB"
        np.testing.assert_allclose(picture.info["dpi"], PNG_DPI, rtol=1e-3)
        np.testing.assert_array_equal(np.asarray(picture), drawn)


def test_the_same_figure_gives_the_same_bytes(tmp_path):
    figure = figure_of("Front axle", 90)
    first = [file.read_bytes() for file in saved(figure, tmp_path / "one")]
    again = [file.read_bytes() for file in saved(figure_of("Front axle", 90), tmp_path / "two")]
    assert first == again
    assert figure.dpi == 100  # as it was


def test_an_svg_is_the_library_s_with_the_same_texts_in_the_same_places(tmp_path):
    def texts(svg):
        root = ElementTree.fromstring(svg)
        found = {}
        for one in root.iter("{http://www.w3.org/2000/svg}text"):
            place = one.get("transform") or f"translate({one.get('x')} {one.get('y')})"
            numbers = place.replace("(", " ").replace(")", " ").split()
            found[one.text] = [float(number) for number in numbers if number.lstrip("-").replace(".", "").isdigit()]
        return found

    with drawing():
        figure = Figure(figsize=(4.0, 3.0))
        on_canvas(figure)
        axes = figure.add_axes((0.2, 0.2, 0.7, 0.6))
        axes.plot([0.0, 1.0], [-0.5, 2.5])
        axes.set_xlabel("Time [s]")
        axes.set_ylabel("Travel [mm]")
        figure.text(0.5, 0.95, "Finding: 12 %", ha="center", va="center", fontsize=14)
        write_svg(figure, tmp_path / "own.svg")
        other = io.StringIO()
        figure.savefig(other, format="svg", metadata={"Date": None, "Creator": None})
    own, expected = texts((tmp_path / "own.svg").read_text()), texts(other.getvalue())
    assert own.keys() == expected.keys() >= {"Time [s]", "Travel [mm]", "Finding: 12 %"}
    for text, place in own.items():
        np.testing.assert_allclose(place, expected[text], atol=0.2)  # points


HELP = """
import sys
from sim import machine
machine.OWN_PROCESS, machine.PLAIN = {own}, False
from sim.show.plots import PLOTS
from matplotlib.lines import Line2D
line = Line2D([0, 1], [0, 1])
line.set(linewidth=3.0, color="red")
assert line.get_linewidth() == 3.0
print("Set multiple properties" in (Line2D.set.__doc__ or ""))
"""


@pytest.mark.parametrize("own", [True, False])
def test_the_library_s_help_is_left_out_in_a_command_alone(own):
    """Whoever imports this package finds the drawing library as it comes."""
    done = subprocess.run([sys.executable, "-c", HELP.format(own=own)], capture_output=True, text=True, check=True)
    assert done.stdout.split() == [str(not own)]
