"""`jounce new FILE`: a first file of your own truck, from flags or from questions; `jounce new --demo FOLDER`: the demo to play with."""

import argparse
import shutil
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.asked_once import Once, refused
from sim.cli.first_scenario import first_scenario, planned_scenario, put
from sim.cli.progress import closing
from sim.errors import InputError, OutputError, Problem

if TYPE_CHECKING:
    from sim.describe.parts.vehicle import Vehicle

BOTH = {
    "tyre": ("{axle}.tyre.size", "{axle}.tyre.outside_diameter"), "pressure": ("{axle}.tyre.pressure",),
    "coil": ("{axle}.springs.coil.rate",), "leaf": ("{axle}.springs.pack.rate",),
    "extended": ("{axle}.dampers.main.length_extended",), "collapsed": ("{axle}.dampers.main.length_collapsed",),
    "at_ride": ("{axle}.dampers.main.length_at_ride",), "valving": ("{axle}.dampers.main.valving",),
    "axle_height": ("{axle}.axle_height",), "frame_height": ("{axle}.frame_height",),
}  # fmt: skip
"""Options that are for either axle, or for one with front: or rear: before the value; where they go in a file."""

WHOLE = {
    "name": "name", "front": "weighed.front", "rear": "weighed.rear", "aboard": "weighed.aboard", "wheelbase": "wheelbase",
    "length": "overall_length",
}  # fmt: skip
"""Options that are of the whole truck."""

HELP = {
    "name": "name of the truck", "front": "load of the front axle on the scale: '2450 lb'", "rear": "load of the rear axle on the scale",
    "aboard": "who and what was aboard: 'driver, half a tank'", "wheelbase": "'92 in'", "length": "length bumper to bumper",
    "tyre": "size on the wall, '33x12.50R15', or outside diameter, '33 in'", "pressure": "pressure of the tyres: '32 psi'",
    "coil": "coils, and the rate of one, '190 lb/in', or its wire, mean diameter and active turns: '0.63 in, 5.5 in, 8.5'", "leaf": "leaf packs, and the rate of one, '230 lb/in', or its leaves, those of full length if known, width, thickness and both halves or the length eye to eye and what the U-bolts hold of it: '7, 2, 2 1/2 in, 0.28 in, 22 in, 24 in' or '7, 2 1/2 in, 0.28 in, 46 in, held 4 in'",
    "extended": "damper fully out, eye to eye",
    "collapsed": "damper fully in, eye to eye", "at_ride": "damper as the truck stands, eye to eye",
    "valving": "worn, soft, stock, firm or heavy", "axle_height": "axle's centre above the ground",
    "frame_height": "lower edge of the frame above the ground",
}  # fmt: skip

PLANS = {
    "engine": "how much heavier another engine is: '180 lb'; a minus: lighter", "winch": "mass of a bumper and winch that is planned: '165 lb'",
    "cargo": "most cargo over the rear axle: '660 lb'",
}  # fmt: skip
"""Options for what is planned, beside a lift."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument(
        "file",
        type=Path,
        nargs="?",
        help="vehicle file to write, my_truck.yaml; one that is there is changed, and a copy kept",
    )
    parser.add_argument(
        "--demo", type=Path, metavar="FOLDER", help="copy the demo's trucks, tracks and questions into a new folder"
    )
    for name in WHOLE:
        parser.add_argument(f"--{name}", action=Once, metavar="VALUE", help=HELP[name])
    for name in BOTH:
        parser.add_argument(
            f"--{name.replace('_', '-')}",
            metavar="[front:|rear:]VALUE",
            action="append",
            help=f"{HELP[name]}; both axles, or front: or rear: before it",
        )
    parser.add_argument(
        "--lift", metavar="[front:|rear:]HEIGHT", action="append", default=[],
        help="a lift that is planned: '2 in'; both axles, or front: or rear: before it. What is planned becomes set-ups beside the truck",
    )  # fmt: skip
    parser.add_argument(
        "--other-tyres", metavar="[front:|rear:]SIZE", action="append", default=[],
        help="tyres that are planned: '35x12.50R15', or their outside diameter, '35 in'; both axles, or front: or rear: before it",
    )  # fmt: skip
    for name, text in PLANS.items():
        parser.add_argument(f"--{name}", action=Once, metavar="MASS", help=text)
    parser.add_argument(
        "--set",
        metavar="KEY=VALUE",
        action="append",
        default=[],
        help="any other key of the file: 'front.stop.gap=3 1/4 in'",
    )
    parser.add_argument(
        "--questions",
        action="store_true",
        help="ask for what a shop can measure, what matters most first; each can be skipped. From a pipe: one answer a line, the end of the file skips the rest",
    )


def run(options: argparse.Namespace) -> int:
    """Write the file, and a first scenario beside it."""
    if (options.file is None) == (options.demo is None):
        raise InputError("jounce new: give a file to write, my_truck.yaml, or --demo and a folder.")
    if options.demo is not None:
        return _demo(options.demo)
    from sim.cli.notices import note
    from sim.cli.planned import PLAN, plans_in, setups_that_can_be, typed, unusual
    from sim.describe.estimates.as_measured import TRIGGER
    from sim.describe.files.reader import shown

    path: Path = options.file
    _see_place(path)
    before = _existing(path)
    given, planned = _given(options), typed(options)
    given |= _taken_out(before, given)
    for what, lines in unusual(plans_in(planned)).items():
        note(f"NOTICE: {what}: " + "\n    ".join(lines))
    mapping = _with(before, given)
    questions = False
    # Of a truck that has a file a plan alone is enough.
    if options.questions or not (given or (planned and before)):
        answers = _asked(mapping, bool(given or (planned and before)), bool(planned))
        planned |= {path: answers.pop(path) for path in list(answers) if path.startswith(PLAN)}
        answers |= _taken_out(mapping, answers)
        given |= answers
        # What is skipped is estimated, as each question promises, also where all of them were.
        mapping = {TRIGGER: {}, **_with(mapping, answers)}
        questions = True
        if not (given or before):
            note(
                "NOTICE: nothing was answered, so every number of this truck is estimated; what both axles weigh helps most."
            )
    mapping.setdefault("name", path.stem.replace("_", " ").strip().capitalize() or "My truck")
    vehicle = _valid(mapping)
    _say_two_springs(before, vehicle, shown(path))
    fallen = _cannot_stand(vehicle)
    # Answers nobody types twice, and a file that is there is mended step by step; all else is typed again in a moment.
    if fallen and not (questions or before):
        raise InputError(fallen)
    # What is not understood was refused above; a plan that this truck cannot bear is left out, and the truck is written all the same.
    plans = plans_in(planned)
    if fallen:  # no set-up of it stands either
        changes: dict[str, dict[str, Any]] = {}
        whole = False
    else:
        changes, whole = setups_that_can_be(vehicle, plans)
    wrote: list[Path] = []
    if given or not before:
        text = _text(path, mapping, given)
        copy = _kept(path)
        put(path, text)
        wrote = [path, *([copy] if copy is not None else [])]
        said = f", and what it was is {shown(copy)}" if copy is not None else ""
        print(f"Wrote {shown(path)}{said}.", file=sys.stderr)
    scenario = first_scenario(path, mapping)
    compared = planned_scenario(path, mapping, changes)
    answer.add(name=mapping["name"])
    answer.wrote(*wrote, scenario, *compared)
    more = "".join(f"\nWhat is planned: jounce compare {shown(one)}" for one in compared)
    if fallen:
        for problem in fallen:
            note(f"NOTICE: the truck cannot stand so: {problem}")
        closing(f"Next: mend that in {shown(path)}, then jounce check {shown(path)}")
        return 3
    closing(
        f"What is behind # in it is estimated: `jounce stand {shown(path)} --all` lists it, and docs/measure says how to measure it instead.\n"
        f"Next: jounce compare {shown(scenario)}{more}",
    )
    return 3 if plans and not whole else 0  # the file is written, and not all that was asked


def _asked(mapping: Mapping[str, Any], given: bool, planned: bool) -> dict[str, str]:
    """Return what is answered in a terminal or by a pipe.

    Raises
    ------
    InputError
        If no truck was given, and nobody answers either.
    """
    from sim.cli.asking import asked, from_pipe

    if sys.stdin is not None and sys.stdin.isatty():
        return asked(mapping)
    lines = from_pipe() if sys.stdin is not None else None
    if lines is None and not given:  # beside flags an empty standard input is a script's, and asks nothing
        wrong = "a plan needs a truck, and nothing is given of it" if planned else "nothing is given"
        raise InputError(
            f"jounce new: {wrong}. Write flags (jounce new my_truck.yaml --front '2450 lb' --rear '1780 lb' --wheelbase '92 in' "
            "--tyre '33 in' --coil '190 lb/in'), run it in a terminal for questions, or pipe the answers in, one a line."
        )
    return asked(mapping, lines, piped=True) if lines is not None else {}


def _see_place(path: Path) -> None:
    if path.suffix not in (".yaml", ".yml"):
        raise InputError(f"{path}: a vehicle's file ends in .yaml; write e.g. {path.with_suffix('.yaml')}")
    if path.is_dir():
        raise InputError(f"{path}: this is a folder; write a file in it, {path / 'my_truck.yaml'}")
    if not path.parent.is_dir():
        raise OutputError(f"{path}: there is no folder {path.parent}; make it first, or choose another.")


def _existing(path: Path) -> dict[str, Any]:
    """Return what a file that is there holds; nothing of one that is not.

    Raises
    ------
    InputError
        If it is no vehicle as measured: such a file is not for this command to change.
    """
    from sim.describe.estimates.as_measured import as_measured
    from sim.describe.files.reader import read, shown

    if not path.exists():
        return {}
    data = read(path).data
    if data.get("kind") != "vehicle" or not as_measured(data):
        raise InputError(
            Problem(
                "there is a file of this name that is no truck as measured (it has no 'weighed'); it is left as it is", shown(path),
                suggestion="another name, or write its keys with an editor",
            )
        )  # fmt: skip
    return data


def _given(options: argparse.Namespace) -> dict[str, str]:
    """Return what the options say, by its path in the file."""
    from sim.cli.coil_list import is_coil_list
    from sim.cli.leaf_list import is_leaf_list
    from sim.cli.planned import axle_before
    from sim.cli.question_answers import dimensions_in
    from sim.describe.estimates.truck import read_si
    from sim.describe.estimates.tyre_size import looks_like_size, tyre_size

    given = {path: getattr(options, name) for name, path in WHOLE.items() if getattr(options, name) is not None}
    said: dict[tuple[str, object], str] = {}
    for name, paths in BOTH.items():
        for one in getattr(options, name) or ():
            option = f"--{name.replace('_', '-')}"
            axles, value = axle_before(one, option)
            refused(option, said.setdefault((option, tuple(axles)), value), value)
            if (name == "leaf" and is_leaf_list(value)) or (name == "coil" and is_coil_list(value)):
                given |= dimensions_in(axles, value, name)
                continue
            size = tyre_size(value) is not None or (looks_like_size(value) and read_si(value, "length") is None)
            path = paths[0] if name != "tyre" or size else paths[1]
            given |= {path.format(axle=axle): value for axle in axles}
    for one in options.set:
        key, sign, value = one.partition("=")
        if not sign or not key.strip():
            raise InputError(f"--set {one}: write it as KEY=VALUE, 'front.stop.gap=3 1/4 in'")
        refused(f"--set {key.strip()}", said.setdefault(("--set", key.strip()), value.strip()), value.strip())
        given[key.strip()] = value.strip()
    return given


def _taken_out(before: Mapping[str, Any], given: Mapping[str, str]) -> dict[str, str]:
    """Return what the file has that gives way to what is given, and say so."""
    from sim.cli.notices import note
    from sim.cli.question_answers import replaced
    from sim.describe.estimates.truck import Truck

    gone = replaced(before, given)
    of_spring: dict[str, list[str]] = {}
    for path in gone:
        spring, _, key = path.rpartition(".")
        of_spring.setdefault(spring, []).append(f"{key} {Truck(before).at(*path.split('.'))}")
    for spring, words in of_spring.items():
        note(
            f"NOTICE: {spring}: {', '.join(words)} taken out, as a spring has either a rate or the dimensions of its wire or leaves."
        )
    return gone


def _with(mapping: Mapping[str, Any], given: Mapping[str, str]) -> dict[str, Any]:
    """Return a mapping with texts at paths."""
    from sim.describe.estimates.fields import fields, with_text_at

    data = dict(mapping)
    known = {field.path: field for field in fields()}
    for path, text in given.items():
        data = with_text_at(data, path, text, known.get(path))
    return data


def _valid(mapping: Mapping[str, Any]) -> "Vehicle":
    """Return the truck that comes of it.

    Raises
    ------
    InputError
        With every problem, by its key.
    """
    from sim.describe.files.vehicles import vehicle_from

    try:
        vehicle = vehicle_from(mapping, "what is given")
    except InputError as error:
        from dataclasses import replace

        # No file has been written yet: a line of it would lead nowhere.
        raise InputError([replace(one, file="", line=None, column=None) for one in error.problems]) from None
    from sim.cli.notices import note

    for text in vehicle.notices:
        note(f"NOTICE: {text.partition(': ')[2]}")
    return vehicle


def _cannot_stand(vehicle: "Vehicle") -> list[Problem]:
    """Return what keeps a truck from standing, by its key: no file has a line of it yet."""
    from dataclasses import replace

    from sim.study.past_its_ends import cannot_stand

    return [replace(one, file="", line=None, column=None) for one in cannot_stand(vehicle)]


def _say_two_springs(before: Mapping[str, Any], vehicle: "Vehicle", file: str) -> None:
    """Say of an axle that comes to stand on coils and leaf packs that both carry it: mostly one was meant for the other axle or the other spring."""
    from sim.cli.notices import note
    from sim.describe.estimates.truck import Truck

    known = Truck(before)
    for name, axle in vehicle.axles:
        if {"coil", "pack"} <= set(axle.springs) and not all(
            known.at(name, "springs", kind) for kind in ("coil", "pack")
        ):
            note(
                f"NOTICE: {name}: coils and leaf packs now carry this axle together. If one of them takes the other's place, or is the other "
                f"axle's (--coil front:…, --leaf rear:…), delete the other one under {name}: springs: in {file}."
            )


def _text(path: Path, mapping: Mapping[str, Any], given: Mapping[str, str]) -> str:
    """Return the file's text: as new, or the old one with what is given changed in it."""
    from sim.describe.files.as_written import vehicle_text

    if not path.exists():
        return vehicle_text(mapping)
    from sim.describe.files.estimates_behind import edited_beside_estimates

    def value(place: str) -> Any:
        inside: Any = mapping
        for step in place.split("."):
            inside = inside.get(step) if isinstance(inside, Mapping) else None
        return inside

    edits = {tuple(place.split(".")): value(place) for place in given}
    return edited_beside_estimates(path.read_text(encoding="utf-8-sig"), _existing(path), mapping, edits)


def _kept(path: Path) -> Path | None:
    """Keep what a file was beside it, under a name that is free; None if there was none."""
    if not path.exists():
        return None
    number = 1
    while (copy := path.with_name(f"{path.stem}_before_{number}{path.suffix}")).exists():
        number += 1
    try:
        shutil.copy2(path, copy)
    except OSError as error:
        raise OutputError(f"{copy}: no copy can be kept: {error.strerror or error}. Nothing was written.") from None
    return copy


def _demo(folder: Path) -> int:
    """Copy the demo into a folder that is new or empty."""
    from sim.describe.files.demo import demo_folder
    from sim.describe.files.reader import shown

    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise OutputError(
            f"{folder}: this is there and not empty; the demo goes into a new folder, so that nothing of yours is written over."
        )
    try:
        shutil.copytree(demo_folder(), folder, dirs_exist_ok=True, ignore=shutil.ignore_patterns("__pycache__"))
    except OSError as error:
        raise OutputError(f"{folder}: the demo cannot be written: {error.strerror or error}") from None
    answer.wrote(folder)
    closing(
        f"The demo's questions are in {shown(folder)}.\nNext: jounce compare {shown(folder / 'two_or_four.yaml')}",
    )
    return 0
