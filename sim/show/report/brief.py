"""One figure as a sentence has it: few decimals, inch units beside where the trade has them."""

from math import isinf

from sim.describe.shown import SHOWN, show, show_parts

WORDS = {"percent": 0, "acceleration": 2, "length": 0, "angle": 1, "time": 1, "number": 1, "count": 0, "distance": 1}
"""Decimals of a sentence, by quantity, of metric units; what is not here has those of tables."""

INCH_WORDS = {"length": 1, "distance": 0, "acceleration": 3}
"""The same of inch units, of quantities that have them."""

BESIDE = ("length", "distance")
"""Quantities whose inch units stand beside the metric ones in a sentence that shows both."""


def brief(value: float, quantity: str) -> str:
    """Return a value as a sentence has it: few decimals, inch units beside where the trade has them."""
    if isinf(value):
        return "not within the run"
    parts = show_parts(value, quantity)
    # A g beside m/s² and feet of a stop say no more than their metric figure does in a sentence.
    if quantity not in WORDS:
        return show(value, quantity).replace("-", "−")
    number, unit = parts[0]
    inch = len(SHOWN[quantity]) > 1 and unit == SHOWN[quantity][1][1]
    decimals = INCH_WORDS[quantity] if inch else WORDS[quantity]
    # Half bobs are counted, and a share below ten per cent is given to a tenth.
    if quantity == "percent" and abs(number) < 10.0:
        decimals = 1
    decimals = _seen(number, decimals)
    text = _number(number, decimals) + (f" {unit}" if unit else "")
    # What is counted in halves is written as people say it: 9, 1.5.
    if quantity == "number":
        text = text.removesuffix(".0")
    if quantity in BESIDE and len(parts) > 1:
        text += f" ({_number(parts[1][0], _seen(parts[1][0], INCH_WORDS[quantity]))} {parts[1][1]})"
    return text


def _seen(number: float, decimals: int) -> int:
    """Return decimals at which a number that is none does not read as nought; three at most."""
    while decimals < 3 and number and float(f"{number:.{decimals}f}") == 0.0:
        decimals += 1
    return decimals


def _number(value: float, decimals: int) -> str:
    text = f"{value:.{decimals}f}"
    # No minus before a nought, and a true minus sign before the rest.
    return text.lstrip("-") if float(text) == 0.0 else text.replace("-", "−")


def per_cent(share: float) -> str:
    """Return a share in per cent, to a tenth below one."""
    number = 100.0 * share
    return f"{number:.0f} %" if number >= 1.0 else f"{number:.1f} %"
