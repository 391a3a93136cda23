"""A truck as measured, as the text of a file: what is given, and beside it, behind a #, what is estimated and from what."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from sim.describe.estimates.as_measured import TRIGGER
from sim.describe.estimates.completing import filled
from sim.describe.estimates.estimate import Estimate
from sim.describe.files.round_trip import scalar
from sim.describe.files.writer import as_yaml

ORDER = (
    "kind", "name", "note", TRIGGER, "wheelbase", "overall_length", "body", "loads", "points", "driveline", "front", "rear",
    "axle_height", "frame_height", "housing", "tyre", "guide", "springs", "dampers", "stop", "strap", "fore_and_aft",
)  # fmt: skip
"""Keys in the order in which people read them; others follow."""

HEAD = """\
# {name}: as measured, and estimated where nobody has measured yet.
# A line behind # is an estimate as of now (`jounce stand --all` lists those in use): `about` a value, `+-` how far off it may be 95 times in 100,
# what it comes from, and its source.
# Measured it? Take away the # and the blank behind it, there and at the lines it stands under, and write your own value with its unit.
"""

LEFT = 46
"""Column at which remarks begin, where the line is not longer."""


def vehicle_text(mapping: Mapping[str, Any]) -> str:
    """Return a file's text for a vehicle as measured; read again it gives the mapping."""
    head = HEAD.format(name=str(mapping.get("name", filled(mapping)[0]["name"])).replace("\n", " "))
    return head + "\n".join(line.text for line in file_lines(mapping)) + "\n"


class FileLine(NamedTuple):
    """One line of a file that is written for a vehicle as measured.

    Attributes
    ----------
    place : tuple of str
        Of its key; empty for a blank line.
    text : str
    given : bool
        The file's own reader sees it; else it stands behind #.
    """

    place: tuple[str, ...]
    text: str
    given: bool


def file_lines(mapping: Mapping[str, Any]) -> tuple[FileLine, ...]:
    """Return the lines of a vehicle as measured, without the file's head: what is given, and what is estimated behind #."""
    data, estimates = filled(mapping)
    by_place = {one.place: one for one in estimates}
    return tuple(_lines(data, {"kind": "vehicle", "name": data["name"], **mapping}, by_place, (), ""))


def _lines(
    data: Mapping[str, Any],
    given: Any,
    estimates: Mapping[tuple[str, ...], Estimate],
    place: tuple[str, ...],
    indent: str,
) -> Iterator[FileLine]:
    """Yield the lines of a mapping; what is given nowhere in it stands behind #."""
    for key in sorted(data, key=lambda key: ORDER.index(key) if key in ORDER else len(ORDER)):
        value, here = data[key], (*place, key)
        own = given.get(key) if isinstance(given, Mapping) else None
        written = isinstance(given, Mapping) and key in given
        sign = "" if written else "# "
        if not place and key in ("body", "loads", "points", "front", "rear"):
            yield FileLine((), "", True)
        if isinstance(value, Mapping) and own is not None and not isinstance(own, Mapping):
            # A word (a valving's) stands for what is estimated from it: both in one file would be one key twice.
            value = own
        if isinstance(value, Mapping):
            if not value and not written:
                continue
            yield FileLine(here, f"{sign}{indent}{_scalar(key)}:" + ("" if value else " {}"), written)
            yield from _lines(value, own, estimates, here, indent + "  ")
            continue
        if here in estimates and not written and isinstance(value, str):
            value = scalar(value)  # a count that is estimated is a number, without quotes, as somebody would write it
        line = f"{sign}{indent}{_scalar(key)}: {flow(value)}"
        yield FileLine(here, f"{line:<{LEFT}}  {_remark(estimates.get(here), written, place)}".rstrip(), written)


def _remark(estimate: Estimate | None, written: bool, place: tuple[str, ...]) -> str:
    if estimate is not None:
        return f"# from {estimate.of} ({estimate.source}); docs/measure/{estimate.page}"
    return "# given" if written and place else ""


def _scalar(value: Any) -> str:
    return (
        as_yaml({"x": value}).removeprefix("x: ").rstrip("\n")
        if not isinstance(value, str)
        else as_yaml([value])[2:].rstrip("\n")
    )


def flow(value: Any) -> str:
    """Return a value as it stands behind its key, on one line."""
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_quoted(one) for one in value) + "]"
    return _scalar(value)


def _quoted(value: Any) -> str:
    if isinstance(value, Mapping):  # a point of a curve
        return "{" + ", ".join(f"{_scalar(key)}: {_quoted(one)}" for key, one in value.items()) + "}"
    text = _scalar(value)
    # inside brackets a comma ends a value
    return f"'{text}'" if isinstance(value, str) and text == value and any(sign in text for sign in ",[]{}") else text
