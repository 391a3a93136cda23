"""`jounce measure WHAT`: the arithmetic of what is measured by hand, with how far off it may be."""

import argparse
from typing import TYPE_CHECKING

from sim.cli import answer
from sim.cli.shared import shared
from sim.errors import InputError

if TYPE_CHECKING:
    from sim.study.by_hand import Method, Reading


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    from sim.study.by_hand import METHODS

    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    for method in METHODS:
        words = f"{method.gives}; docs/measure/{method.page}"
        one = what.add_parser(method.name, help=words, description=words)
        shared(one, nested=True)
        for reading in method.readings:
            one.add_argument(
                f"--{reading.name}",
                metavar="VALUE",
                required=reading.otherwise is None,
                help=f"{reading.words}, e.g. '{reading.example}'",
            )


def run(options: argparse.Namespace) -> int:
    """Print the result in both systems, the line for the file, and the caution."""
    from sim.cli.notices import caution
    from sim.describe.estimates.truck import IN_INCHES, Truck
    from sim.describe.shown import show, written_now
    from sim.study.by_hand import METHODS, found

    method = next(one for one in METHODS if one.name == options.what)
    values, halves, texts = _readings(method, options)
    value, half = found(method, values, halves)
    truck = Truck({})
    # The line for the file in the units of most readings: so the rest of that file is likely typed.
    truck.inches = sum(bool(IN_INCHES.search(text)) for text in texts) * 2 > len(texts)
    # "about" is a file's word for what nobody measured.
    written = truck.written(value, half, method.quantity, False).removeprefix("about ")
    print(f"{method.gives}: {show(value, method.quantity)}, within {show(half, method.quantity)} 95 times in 100")
    # A file has no key for this height: it takes the readings, and reckons with its own loads and wheelbase.
    if method.key == "weighed.lifted":
        print(
            "In the vehicle's file: weighed: {lifted: {axle: rear, "
            f"by: {written_now(options.by)}, other: {written_now(options.other)}}}}}, with the axle that was lifted"
        )
    else:
        axle = "    (front or rear, whichever it is)" if method.key.startswith(("front", "rear")) else ""
        print(f"In the vehicle's file: {method.key}: {written_now(written)}{axle}")
    if half > 0.25 * abs(value):
        print("That is hardly measured: a greater load, lift or travel, read more closely, gives more.")
    answer.add(
        measures={method.key: answer.number(value, method.quantity, within=half)},
        more={"in_the_file": {method.key: written}, "gives": method.gives},
    )
    caution(method.caution)
    return 0


def _readings(
    method: "Method", options: argparse.Namespace
) -> tuple[dict[str, list[float]], dict[str, list[float]], list[str]]:
    """Return the readings [SI] with how far off each may be, and their texts.

    Raises
    ------
    InputError
        With every one that is not understood.
    """
    from sim.describe.notations import in_a_list
    from sim.errors import Problem

    values: dict[str, list[float]] = {}
    halves: dict[str, list[float]] = {}
    texts: list[str] = []
    problems: list[Problem] = []
    for reading in method.readings:
        written = getattr(options, reading.name.replace("-", "_"))
        if written is None:
            # Not read, so it has no reading's doubt.
            values[reading.name], halves[reading.name] = [reading.otherwise or 0.0], [0.0]
            continue
        if reading.many and (point := in_a_list(written)):
            message = f"a comma parts the readings, so a decimal comma is a point: write {point}"
            problems.append(
                Problem(message, where=f"--{reading.name}", given=written, suggestion=f"e.g. {reading.example}")
            )
            continue
        values[reading.name], halves[reading.name] = [], []
        for text in written.split(",") if reading.many else [written]:
            texts.append(text)
            try:
                value, half = _read(reading, text.strip())
            except InputError as error:
                problems.append(
                    Problem(
                        str(error), where=f"--{reading.name}", given=text.strip(), suggestion=f"e.g. {reading.example}"
                    )
                )
                continue
            values[reading.name].append(value)
            halves[reading.name].append(half)
    if problems:
        raise InputError(problems)
    return values, halves, texts


def _read(reading: "Reading", text: str) -> tuple[float, float]:
    from pydantic import ValidationError

    from sim.describe.estimates.truck import adapter, half_of
    from sim.describe.wrong import first_in_words
    from sim.study.by_hand import READ_TO, SHARE_TO

    try:
        value = adapter(reading.quantity).validate_python(text)
    except ValidationError as error:
        raise InputError(first_in_words(error, text)) from None
    # Nothing is a reading only among several (a spring before its first weight), or where leaving it out means nothing.
    if value < 0.0 or (value == 0.0 and not (reading.many or reading.otherwise == 0.0)):
        raise InputError("this must be more than nothing")
    # What was written with the reading goes before what such a tape or scale is usually good for.
    return float(value), half_of(value) or READ_TO.get(reading.quantity, 0.0) or SHARE_TO.get(
        reading.quantity, 0.0
    ) * value
