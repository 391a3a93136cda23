"""How people write numbers on a form: `1,640 kg`, `33"`, `2 1/2 in`, `9 ft 8 in`; brought to one number with its unit."""

import re

# The unit is all that follows the number, so that what is not understood can be quoted whole.
NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*$")

THOUSANDS = re.compile(r"(?<![\d.,])[1-9]\d{0,2}(?:,\d{3})+(?![\d,])")
"""Groups of three behind commas, the first of them not zero: `0,385` is a decimal comma, which is refused."""

SPACED = re.compile(r"(?<![\d.,/])[1-9]\d{0,2}(?:[ \u00a0\u2009\u202f]\d{3})+(?=\s*[^\W\d])")
"""Groups of three behind blanks, and then a unit: `2 850 mm`."""

MINUS = re.compile(r"\u2212\s*|^\s*[-\u2013]\s*(?=[\d.])")
"""A minus as a telephone's keys write it, or with a blank behind it."""

FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

# A blank or a hyphen between whole and part; the lookbehind keeps `8e-4 1/K` and `lb/(in/s)` as they are.
FRACTION = re.compile(r"(?<![\d./,eE])(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*/\s*(\d*[1-9]\d*)(?![\d.,/])")

INCHES = re.compile(r"(?<=[\d.])\s*(?:\"|″|”|''|in\.(?!\w))")
FEET = re.compile(r"(?<=[\d.])\s*(?:'|′|’)")

FEET_AND_INCHES = re.compile(
    r"(?<![\d.])(\d+)\s*(?:ft|feet|foot)\.?\s*(?:and\s+)?(\d+(?:\.\d+)?)\s*(?:in|inch|inches)\b", re.IGNORECASE
)


def one_number(text: str, length: bool) -> str:
    """Return a text with every number in it written as one decimal number.

    Parameters
    ----------
    text : str
        One value, or one with what is known of it.
    length : bool
        Whether a length is meant: `"` and `'` are inches and feet only there, as in angles they are not.
    """
    text = SPACED.sub(lambda match: re.sub(r"\s", "", match[0]), MINUS.sub("-", text))
    # Nearly every value has none of these signs.
    if not any(sign in text for sign in ",/\"'″”′’") and "f" not in text and not any(f in text for f in FRACTIONS):
        return text
    text = THOUSANDS.sub(lambda match: match[0].replace(",", ""), text)
    for sign, words in FRACTIONS.items():
        text = text.replace(sign, f" {words}")
    text = FRACTION.sub(_decimal, text)
    if length:
        text = FEET.sub(" ft", INCHES.sub(" in", text))
        text = FEET_AND_INCHES.sub(_inches, text)
    return text


def _decimal(match: "re.Match[str]") -> str:
    whole, part, of = match.groups()
    # `5/2 in` may be a slip of `5 1/2 in`: only what is less than one is a fraction as a tape shows it.
    if int(part) >= int(of):
        return match[0]
    return repr(int(whole or 0) + int(part) / int(of))


def _inches(match: "re.Match[str]") -> str:
    feet, inches = int(match[1]), float(match[2])
    # More than eleven inches and a bit are a slip: left as it is, it is refused.
    return f"{12 * feet + inches!r} in" if inches < 12.0 else match[0]


COMMA_DECIMAL = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])(\s*[^\d\s,][^,]*)?")
"""A number with a decimal comma, and its unit."""


def with_a_point(text: str) -> str:
    """Return the first number of a text that has a decimal comma as it is to be written, `8.5` or `50.8 mm`; empty if there is none."""
    match = COMMA_DECIMAL.search(text)
    if match is None or THOUSANDS.fullmatch(match[0].split()[0]):
        return ""
    return f"{match[1]}.{match[2]}{(match[3] or '').rstrip()}"


def in_a_list(text: str) -> str:
    """Return the same of a list, whose values a comma parts: only where what stands before that comma would be without a unit."""
    match = COMMA_DECIMAL.search(text)
    # `450, 434 mm` has a blank behind its comma, and `0 kg,100 kg` a unit before it.
    return with_a_point(text) if match is not None and match[3] else ""


def has_thousands(text: str) -> bool:
    """Tell whether a text has a thousands mark: elsewhere it is a decimal comma, so that people should see how it is read."""
    return bool(THOUSANDS.search(text))


def has_kilograms_as_force(text: str) -> bool:
    """Tell whether a rate is written with kilograms as a force, as old manuals have it."""
    return bool(re.search(r"\bkg\s*/", text))
