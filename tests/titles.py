"""What a command printed and drew, for tests of titles against the CSV or the table beside them."""

import csv
import html
import io
import re
from contextlib import redirect_stdout

import pytest

from sim.cli import main
from tests.synthetic import SCENARIOS

QUICK = SLOW = pytest.mark.hours
NUMBER = r"([-+]?[\d.]+)"


class Answered:
    """A command's folder and what it printed."""

    def __init__(self, folder, text):
        self.folder, self.text = folder, text

    def title(self, page):
        """Return the bold lines at the top of a page."""
        text = (self.folder / f"{page}.svg").read_text(encoding="utf-8")
        lines = re.findall(r'<text style="font-weight: 700; font-size: 14px[^>]*>([^<]*)</text>', text)
        return html.unescape(" ".join(lines)).replace("\u00a0", " ").replace("−", "-")

    def words(self, page):
        """Return all texts of a page in their order: its title, and what stands beneath."""
        text = (self.folder / f"{page}.svg").read_text(encoding="utf-8")
        return (
            html.unescape(" ".join(re.findall(r"<text[^>]*>([^<]*)</text>", text)))
            .replace("\u00a0", " ")
            .replace("−", "-")
        )

    def table(self, name):
        """Return the rows of a CSV by their heads."""
        return list(csv.DictReader((self.folder / f"{name}.csv").read_text(encoding="utf-8").splitlines()))


def first_number(text):
    """Return the number that a cell begins with."""
    return float(re.match(NUMBER, text)[1])


def near(said, value):
    """Return whether a number that is said is a value to its digits, half a digit more where the table is rounded too."""
    decimals = len(said.partition(".")[2])
    return abs(float(said) - value) <= 0.51 * 10.0**-decimals + 0.0051 * abs(value)


def scenario(name):
    return str(SCENARIOS / f"{name}.yaml")


def asking(tmp_path_factory):
    """Return what answers a command, each run once."""
    known = {}

    def ask(*words, folder="outputs"):
        if words not in known:
            place = tmp_path_factory.mktemp("asked")
            out = io.StringIO()
            with redirect_stdout(out):
                assert main([*words, f"--{folder}", str(place)]) in (0, 3)
            inside = [one for one in place.iterdir() if one.is_dir()]
            known[words] = Answered(inside[0] if folder == "outputs" else place, out.getvalue())
        return known[words]

    return ask
