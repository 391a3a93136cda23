"""`jounce spring`: a coil or a leaf pack for a wanted load at a wanted height, an added leaf, a helper."""

import argparse
from typing import Any

from sim.cli import answer
from sim.cli.flagging import say_flag
from sim.cli.shared import shared
from sim.errors import InputError, Problem

CAUTION = (
    "a coil at ride height holds enough energy to kill: a rated compressor, a cage, and stand aside; centre bolt and U-bolts let a leaf pack go. A spring is "
    "ordered from a maker who answers for its steel and its end of life."
)
"""What can hurt somebody who works on springs."""

OPTIONS: dict[str, dict[str, tuple[str, str, bool]]] = {
    "coil": {
        "load": ("force or mass", "what one coil carries, '1100 lb' or '5 kN'", True),
        "length": ("length", "seat to seat where it carries it, '12 in'", True), "rate": ("stiffness", "wanted rate, '190 lb/in'; of a coil that is there it follows from --wire and --turns", False),
        "across": ("length", "mean diameter of its turns, wire's middle to wire's middle, '5.1 in'", True),
        "travel": ("length", "from there to full bump, stop squeezed, '4.5 in'", True),
        "wire": ("length", "diameter of the wire; left out: the thinnest that bears it", False),
        "turns": ("number", "turns that work, of a coil that is there: with --wire in place of --rate, '8.5'", False),
    },
    "pack": {
        "load": ("force or mass", "what one pack carries", True), "leaves": ("count", "how many leaves, of one thickness", True),
        "full": ("count", "how many of them are of full length", False), "width": ("length", "width of a leaf, '2 1/2 in'", True),
        "length": ("length", "eye to eye less what the U-bolts hold, '44 in'", True),
        "thickness": ("length", "thickness of a leaf", False), "rate": ("stiffness", "wanted rate, instead of the thickness", False),
        "travel": ("length", "from where it stands to full bump", True),
    },
    "add-a-leaf": {
        "rate": ("stiffness", "rate of the pack as it is", True), "width": ("length", "width of the leaf", True),
        "thickness": ("length", "its thickness", True), "length": ("length", "eye to eye of the pack less what the U-bolts hold", True),
        "extra": ("length", "how much more camber it has than the pack as it stands, '2 in'", True),
        "load": ("force or mass", "what one pack carries; given, the pack's free_camber for a file is said as a length", False),
    },
    "helper": {
        "rate": ("stiffness", "rate of the spring", True), "helper": ("stiffness", "rate of the helper", True),
        "gap": ("length", "travel until the helper meets its stop, from the spring without load", True),
        "load": ("force or mass", "load on the spring", True),
    },
}  # fmt: skip
"""Options of each word: kind, help, whether it must be given."""

POSSIBLE = {"number": (0.5, 100.0), "length": (1e-3, 3.0), "stiffness": (1e3, 5e6), "force or mass": (10.0, 2e5)}
"""What is worked out at all [SI]: far wider than any truck's springs."""

SHOWN_AS = {"number": "number", "length": "length", "stiffness": "stiffness", "force or mass": "force"}

WORDS = {
    "coil": "a coil for a load at a height: free length, wire, turns, solid length, stress",
    "pack": "a leaf pack for a load: thickness or rate, camber, stress",
    "add-a-leaf": "what one leaf more does to a pack's rate and the height",
    "helper": "how far a spring with a helper gives",
}


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    what = parser.add_subparsers(dest="what", metavar="WHAT", required=True)
    for name, options in OPTIONS.items():
        one = what.add_parser(name, help=WORDS[name], description=WORDS[name])
        shared(one, nested=True)
        for option, (_, words, required) in options.items():
            # As text: argparse would stop at the first wrong number, `_given` says all of them.
            one.add_argument(f"--{option}", metavar="VALUE", help=words, required=required)


def run(options: argparse.Namespace) -> int:
    """Print what the spring is, in the units that are asked for."""
    from sim.cli.notices import caution

    given = _given(options)
    given["written rate"] = getattr(options, "rate", None) or ""
    rows, problems, numbers = {"coil": _coil, "pack": _pack, "add-a-leaf": _added, "helper": _helper}[options.what](
        given
    )
    width = max(len(label) for label, _ in rows)
    for label, text in rows:
        print(f"{label:<{width}}  {text}")
    for problem in problems:
        say_flag(problem)
    answer.add(
        measures={key: answer.number(value, quantity) for key, (value, quantity) in numbers.items()},
        flags=[{"of": options.what, "kind": "spring", "part": options.what, "time_s": None, "sentence": text} for text in problems],
    )  # fmt: skip
    caution(CAUTION)
    # Printed all the same: how far a spring is overloaded says what to change.
    return 3 if problems else 0


def _given(options: argparse.Namespace) -> dict[str, Any]:
    """Return what is given in SI.

    Raises
    ------
    InputError
        With all that is not understood.
    """
    values: dict[str, Any] = {}
    problems: list[Problem] = []
    for option, (kind, words, _) in OPTIONS[options.what].items():
        text = getattr(options, option)
        if text is None:
            # Left out is not nothing: the design then chooses.
            values[option] = None
            continue
        try:
            values[option] = _value(kind, text)
        except InputError as error:
            problems.append(Problem(str(error), where=f"--{option}", given=text, suggestion=words))
    if problems:
        raise InputError(problems)
    return values


def _value(kind: str, text: str) -> float:
    from pydantic import ValidationError

    from sim.describe.estimates.truck import GRAVITY, adapter, read_si
    from sim.describe.shown import show
    from sim.describe.wrong import first_in_words

    if kind == "count":
        if not text.isdigit() or not 0 < int(text) <= 50:
            raise InputError("here a whole number from 1 to 50 is wanted")
        return int(text)
    # A scale says a mass, an engineer a force.
    mass = read_si(text, "mass") if kind == "force or mass" else None
    try:
        value = (
            mass * GRAVITY
            if mass is not None
            else float(adapter("force" if kind == "force or mass" else kind).validate_python(text))
        )
    except ValidationError as error:
        raise InputError(first_in_words(error, text)) from None
    if value <= 0.0:
        raise InputError("this must be more than nothing")
    low, high = POSSIBLE[kind]
    if not low <= value <= high:
        raise InputError(f"no spring of a truck has this: {show(low, SHOWN_AS[kind])} to {show(high, SHOWN_AS[kind])}")
    return value


Rows = tuple[list[tuple[str, str]], tuple[str, ...], dict[str, tuple[float, str]]]
"""What is said, what is wrong, and the numbers [SI] with what they are."""

QUANTITIES = {
    "rate": "stiffness", "load": "force", "turns": "number", "active": "number", "stress_ride": "pressure", "stress_bump": "pressure",
    "bears": "pressure",
}  # fmt: skip
"""What a field of a design is, if not a length."""


def _numbers(design: Any) -> dict[str, tuple[float, str]]:
    """Return the numbers of a design and what they are."""
    return {
        key: (value, QUANTITIES.get(key, "length")) for key, value in vars(design).items() if isinstance(value, float)
    }


def _coil(given: dict[str, Any]) -> Rows:
    from sim.describe.files.slips import slip_of_text
    from sim.describe.shown import show
    from sim.describe.usual import USUAL_RANGES
    from sim.errors import RunError
    from sim.study.spring_design import coil, rate_of_wire, stress_words

    if given["travel"] >= given["length"]:
        raise InputError("--travel: full bump lies past nothing; the coil must keep a length")
    # Coils are wound to a mean diameter of four to twelve wires (Shigley, from memory): two are no coil any more.
    if given["wire"] is not None and not given["wire"] < 0.5 * given["across"]:
        raise InputError("--wire: a wire is thinner than half of the coil's mean diameter")
    rate, usual = given["rate"], USUAL_RANGES["Coil.rate"]
    if (given["turns"] is not None) == (rate is not None) or (rate is None and given["wire"] is None):
        raise InputError(
            "jounce spring coil: give the wanted --rate, or --wire and --turns of a coil that is there, of which its rate follows; not both"
        )
    if rate is None:
        rate = rate_of_wire(given["wire"], given["across"], given["turns"])
    # A slip of its unit is likelier than a coil that nobody winds.
    slip = "" if usual.low <= rate <= usual.high else slip_of_text(given["written rate"], usual)
    try:
        made = coil(given["load"], given["length"], rate, given["across"], given["travel"], given["wire"])
    except RunError as error:
        if not slip:
            raise
        raise InputError(
            Problem(
                f"a coil of {show(rate, 'stiffness')} gives {show(given['load'] / rate, 'length')} under {show(given['load'], 'force')}: {error}",
                where="--rate", given=given["written rate"], suggestion=slip,
            )
        ) from None  # fmt: skip
    return [
        ("rate", show(made.rate, "stiffness")), ("carries", f"{show(made.load, 'force')} at {show(made.length, 'length')} seat to seat"),
        ("free length", show(made.free, "length")), ("wire, mean diameter", f"{show(made.wire, 'length')}, {show(made.across, 'length')}"),
        ("turns that work, all turns", f"{made.active:.2f}, {made.turns:.2f}"), ("full bump, turns touching", f"{show(made.bump, 'length')}, {show(made.solid, 'length')}"),
        ("stress there, at ride", f"{stress_words(made.stress_bump)}, {stress_words(made.stress_ride)}, with Wahl's factor"),
        ("its wire bears", f"{stress_words(made.bears)}, {made.steel} (Shigley, from memory; past {show(0.0127, 'length')} continued by the same law: ask the maker)"),
    ], (*made.problems, *([f"--rate {given['written rate']}: {slip}"] if slip else [])), _numbers(made)  # fmt: skip


def _wider_than_thick(what: str, given: dict[str, Any]) -> None:
    """Refuse a leaf that is thicker than it is wide: its rate goes by the cube of the thickness, and no steel bears what comes of it."""
    from sim.describe.shown import show

    width, thickness = given["width"], given["thickness"]
    if thickness is not None and thickness > width:
        raise InputError(
            Problem(
                "a leaf is wider than thick: are width and thickness crossed?", where=f"jounce spring {what}",
                given=f"--width {show(width, 'length')} --thickness {show(thickness, 'length')}",
                suggestion=f"--width {show(thickness, 'length')} --thickness {show(width, 'length')}",
            )
        )  # fmt: skip


def _pack(given: dict[str, Any]) -> Rows:
    from sim.describe.shown import show
    from sim.study.spring_design import pack, stress_words

    # One at least, the main leaf with the eyes: without it nothing holds the axle.
    full = given["full"] or 1
    if full > given["leaves"]:
        raise InputError("--full: more leaves of full length than there are leaves")
    _wider_than_thick("pack", given)
    # Either follows from the other: both could contradict each other.
    if (given["thickness"] is None) == (given["rate"] is None):
        raise InputError("jounce spring pack: give --thickness or --rate, one of both")
    made = pack(
        given["load"],
        given["leaves"],
        full,
        given["width"],
        given["length"],
        given["travel"],
        given["thickness"],
        given["rate"],
    )
    problems = () if made.stress_bump <= made.bears else (
        f"{stress_words(made.stress_bump)} at full bump, and leaves bear some {stress_words(made.bears)} nipped and peened (from memory, no source): more or longer leaves, thinner ones, or less travel",
    )  # fmt: skip
    # Leaves are rolled in steps: what comes of the next one is another rate than the wanted one.
    wanted = given["rate"]
    of_step = (
        f", of the next half millimetre of thickness; wanted {show(wanted, 'stiffness')}"
        if wanted and made.rate > 1.005 * wanted
        else ""
    )
    return [
        ("rate", f"{show(made.rate, 'stiffness')}{of_step}"), ("leaves", f"{given['leaves']}, {full} of full length, {show(given['width'], 'length')} x {show(made.thickness, 'length')}"),
        ("camber without load", f"{show(made.camber, 'length')} more than where it stands"),
        ("stress at ride, full bump", f"{stress_words(made.stress_ride)}, {stress_words(made.stress_bump)}; leaves bear some {stress_words(made.bears)} nipped and peened (from memory, no source)"),
    ], problems, _numbers(made)  # fmt: skip


def _added(given: dict[str, Any]) -> Rows:
    from sim.describe.estimates.truck import estimate_text
    from sim.describe.shown import show, system
    from sim.study.spring_design import added_leaf

    _wider_than_thick("add-a-leaf", given)
    rate, up = added_leaf(given["rate"], given["width"], given["thickness"], given["length"], given["extra"])
    inches = system() == "inch"
    as_written = estimate_text(rate, 0.0, "stiffness", inches)
    # The same load on the stiffer pack wants less arch; what the truck comes up is added to that.
    share = given["rate"] / rate
    numbers = {"rate": (rate, "stiffness"), "comes_up": (up, "length")}
    if given["load"] is None:
        arch = f"free_camber: {share:.3f} times that of the pack as it is (its sheet: jounce sheet; --load says the length), and {show(up, 'length')} more"
    else:
        camber = given["load"] / rate + up
        arch = f"free_camber: {estimate_text(camber, 0.0, 'length', inches)} (of a pack without a block as it was measured)"
        numbers["free_camber"] = camber, "length"
    return [
        ("rate", f"{show(rate, 'stiffness')}, {100 * (rate / given['rate'] - 1):.0f} % more"), ("the truck comes up by", show(up, "length")),
        ("in the file", f"rate: {as_written}, {arch}"),
        ("the rate alone", f"keeps the arch of the pack as it is, and the truck comes up by {100 * (1 - share):.0f} % of that: as if the leaf had as much of it"),
    ], (), numbers  # fmt: skip


def _helper(given: dict[str, Any]) -> Rows:
    from sim.describe.shown import show
    from sim.study.spring_design import helper

    gives, rate = helper(given["rate"], given["helper"], given["gap"], given["load"])
    # To compare with: what the helper takes off the give is why one fits it.
    alone = given["load"] / given["rate"]
    met = (
        "the helper has met its stop"
        # The rate tells: it is the spring's alone until the gap is used up.
        if rate > given["rate"]
        else f"the helper is {show(given['gap'] - gives, 'length')} from its stop"
    )
    return [
        ("gives", f"{show(gives, 'length')} from without load; without the helper {show(alone, 'length')}"), ("rate there", f"{show(rate, 'stiffness')}: {met}"),
    ], (), {"gives": (gives, "length"), "gives_without_helper": (alone, "length"), "rate": (rate, "stiffness")}  # fmt: skip
