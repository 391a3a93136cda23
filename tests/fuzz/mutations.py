"""Changes of a file's bytes: what fingers, editors, other programs and ill will do to text."""

import random
import re
from collections.abc import Callable

NUMBERS = (
    "1e200", "1e308", "-1e308", "1e-308", "5e-324", "0", "-0", "-1", "0.0", "1e15", "9" * 4400, "0." + "0" * 400 + "1", "1e999", ".nan", ".inf",
    "-.inf", "nan", "inf", "0x10", "0o17", "010", "1_000", "1:30", "1,640", "12,5", "2 1/2", "1/0", "33\"", "--5", "+", "1e", "٣", "４", "−5", "½",
)  # fmt: skip
"""What may stand where a number stood."""

UNITS = (
    "m", "mm", "km", "in", "ft", "N", "kN", "lbf", "lb", "kg", "N/mm", "lb/in", "km/h", "s", "deg", "rad", "%", "psi", "bar", "m**9", "m^99", "9**9**9 m",
    "m/0", "m/m/m/m", "(((((m", "m)", "m*", "**", "degC", "delta_degC", "lambda: 0", "__import__('os')", "m;m", "€", "kg mm", "1/m", "1", "dimensionless",
    "1e400 m", "N m m m m m m m m", "(" * 3000 + "m" + ")" * 3000,
)  # fmt: skip
"""What may stand where a unit stood."""

TEXTS = (
    "\x1b[2J\x1b[31mred", "\x07", "\x00", "\ud800", "\u2028", "\u202egnp.exe", "\ufeff", "\x85", "=1+1", "@x", "-", "?", ":", "- - - -", "{", "}", "[", "]", "&a", "*a",
    "&a [*a]", "!!python/object/apply:os.system [true]", "!!binary abc", "|", ">", "'", '"', "\\", "%YAML 9.9", "---", "...", "<<", "null", "~", "true", "yes", "on",
    "{}", "[]", "[[[[]]]]", "{a: {b: {c: 1}}}", " " * 20000, "a" * 20000, "[" * 500, "{a: " * 500, "../" * 50, "/dev/zero", "/dev/stdin", "/proc/self/mem", "CON", "nul.csv",
    "name\nwith\nlines", "<script>alert(1)</script>", "$(reboot)", "`x`", "{{7*7}}", "%s%n", "\t", "\r", "#", "# ",
)  # fmt: skip
"""What may stand anywhere."""

NUMBER = re.compile(r"(?<![\w.])[+-]?\d+(?:\.\d+)?(?:[eE][+-]?\d+)?")
UNIT = re.compile(r"(?<=\d )[A-Za-z%][\w /^*²]*")
KEY = re.compile(r"(?m)^([ -]*)([\w ]+):")
VALUE = re.compile(r"(?m)(?<=: )[^\n#{\[]+$")

Change = Callable[[str, random.Random], str]


def _at(text: str, span: tuple[int, int], new: str) -> str:
    return text[: span[0]] + new + text[span[1] :]


def _one(pattern: re.Pattern[str], text: str, chance: random.Random) -> tuple[int, int] | None:
    spans = [match.span(match.lastindex or 0) for match in pattern.finditer(text)]
    return chance.choice(spans) if spans else None


def _in_place_of(pattern: re.Pattern[str], new: Callable[[str, random.Random], str]) -> Change:
    def change(text: str, chance: random.Random) -> str:
        span = _one(pattern, text, chance)
        return text if span is None else _at(text, span, new(text[span[0] : span[1]], chance))

    return change


def _scaled(old: str, chance: random.Random) -> str:
    try:
        return f"{float(old) * chance.choice((-1, 0, 1e-6, 1e-3, 0.1, 0.5, 2, 10, 25.4, 1e3, 1e6, 1e12)):.6g}"
    except ValueError:
        return "0"


def _other_key(text: str, chance: random.Random) -> str:
    span, other = _one(KEY, text, chance), _one(KEY, text, chance)
    return text if span is None or other is None else _at(text, span, text[other[0] : other[1]])


def _misspelt(old: str, chance: random.Random) -> str:
    place = chance.randrange(len(old) + 1)
    return old[:place] + chance.choice("abcxyz_- ") + old[place + chance.randrange(2) :]


def _lines(change: Callable[[list[str], random.Random], None]) -> Change:
    def changed(text: str, chance: random.Random) -> str:
        lines = text.split("\n")
        change(lines, chance)
        return "\n".join(lines)

    return changed


def _without(lines: list[str], chance: random.Random) -> None:
    start = chance.randrange(len(lines))
    del lines[start : start + chance.choice((1, 1, 1, 2, 5, 20))]


def _twice(lines: list[str], chance: random.Random) -> None:
    line = chance.randrange(len(lines))
    lines.insert(chance.randrange(len(lines)), lines[line])


def _swapped(lines: list[str], chance: random.Random) -> None:
    one, other = chance.randrange(len(lines)), chance.randrange(len(lines))
    lines[one], lines[other] = lines[other], lines[one]


def _indented(lines: list[str], chance: random.Random) -> None:
    line = chance.randrange(len(lines))
    lines[line] = (
        chance.choice((" ", "  ", "\t", "    ")) + lines[line] if chance.random() < 0.5 else lines[line].lstrip()
    )


def _inserted(text: str, chance: random.Random) -> str:
    place = chance.randrange(len(text) + 1)
    return text[:place] + chance.choice(TEXTS) + text[place:]


def _cut(text: str, chance: random.Random) -> str:
    return text[: chance.randrange(len(text) + 1)]


def _one_sign(text: str, chance: random.Random) -> str:
    place = chance.randrange(len(text)) if text else 0
    return text[:place] + chr(chance.choice((chance.randrange(32, 127), chance.randrange(0x250)))) + text[place + 1 :]


def _repeated(text: str, chance: random.Random) -> str:
    start = chance.randrange(len(text) + 1)
    part = text[start : start + chance.choice((5, 40, 400))]
    return text[:start] + part * chance.choice((2, 5, 50)) + text[start:]


CHANGES: tuple[Change, ...] = (
    _in_place_of(NUMBER, lambda _old, chance: chance.choice(NUMBERS)), _in_place_of(NUMBER, _scaled), _in_place_of(NUMBER, _scaled),
    _in_place_of(UNIT, lambda _old, chance: chance.choice(UNITS)), _in_place_of(VALUE, lambda _old, chance: chance.choice(TEXTS)),
    _in_place_of(VALUE, lambda _old, chance: chance.choice(NUMBERS) + " " + chance.choice(UNITS)), _in_place_of(KEY, _misspelt), _other_key,
    _lines(_without), _lines(_twice), _lines(_swapped), _lines(_indented), _inserted, _cut, _one_sign, _repeated,
)  # fmt: skip
"""The list."""


def mutated(text: str, seed: int) -> bytes:
    """Return a file's text with one to three changes, the same for the same seed.

    Parameters
    ----------
    text : str
        What it was.
    seed : int
        Which changes.
    """
    chance = random.Random(seed)
    for _ in range(chance.choice((1, 1, 1, 2, 3))):
        text = chance.choice(CHANGES)(text, chance)
    raw = text.encode("utf-8", "surrogatepass")
    if chance.random() < 0.03:  # not only text goes wrong
        raw = bytearray(raw)
        for _ in range(chance.choice((1, 4, 30))):
            if raw:
                raw[chance.randrange(len(raw))] = chance.randrange(256)
        raw = bytes(raw)
    if chance.random() < 0.02:
        raw = chance.choice((b"\xff\xfe", b"\xef\xbb\xbf", b"PK\x03\x04", b"\x1f\x8b", b"")) + raw
    return raw
