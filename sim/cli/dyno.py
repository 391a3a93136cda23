"""`jounce dyno FILE`: what a damper test machine's file says, and whether it is the damper that was ordered."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.progress import closing
from sim.cli.units import told_in_both
from sim.describe.shown import System, show
from sim.errors import InputError, Problem

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.files.kept import Read
    from sim.describe.parts.dampers.damper_set import DamperSet
    from sim.describe.parts.dampers.measured import Measured
    from sim.study.dyno import Point


CAUTION = (
    "clamp a damper by its own mounts behind a guard: gas throws its rod out, and it gets hot enough to burn; never "
    "heat, drill or weld one."
)
"""What can hurt somebody who does this work."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="CSV file of the machine: points of force and speed, or whole loops")
    parser.add_argument(
        "--against", type=Path, metavar="FILE", help="vehicle or scenario file with the damper as ordered"
    )
    parser.add_argument("--setup", help="which set-up of that scenario (default: the first that has dampers)")
    parser.add_argument("--damper", metavar="AXLE.SET", help="which of its dampers, e.g. front.main")
    parser.add_argument(
        "--tolerance",
        default="10 %",
        help="largest error that passes, as a share of the force ordered (default: 10 %%)",
    )
    parser.add_argument(
        "--positive", choices=("compression", "rebound"), help="which way positive forces act in the file"
    )
    parser.add_argument("--gas", metavar="FORCE", help="gas force at rest that the file's forces include, e.g. '110 N'")
    parser.add_argument("--friction", metavar="FORCE", help="friction that the file's forces include, e.g. '30 N'")
    for key, meant in (
        ("column", "name of a column whose header is not understood, e.g. force=Load"),
        ("unit", "unit that the file does not give, e.g. force=N"),
    ):
        parser.add_argument(
            f"--{key}",
            action="append",
            default=[],
            metavar="MEANING=NAME",
            help=meant,
        )
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Read, show what was understood, compare, draw."""
    from sim.cli.folders import place
    from sim.cli.notices import caution
    from sim.study.dyno import against
    from sim.study.dyno_cause import likely_cause

    # Without --against they would do nothing, and a person would believe that something was compared.
    if options.against is None and (options.setup or options.damper):
        raise InputError("--setup and --damper say which damper was ordered: give its file with --against.")
    law, read = _read(options)
    tolerance = _tolerance(options.tolerance)
    target, wanted, given = None, "", None
    if options.against is not None:
        target, wanted, given = _target(options)
    # Without an order the file is only shown: `jounce dyno FILE` is how one looks at a new machine's files.
    points = () if target is None else against(law, target.valving, tolerance)
    cause = "" if target is None else likely_cause(law, target.valving, points, tolerance)
    # First how the file was understood: if that is wrong, the verdict is too.
    _printed_reading(law)
    _printed_curve(law)
    if target is not None:
        _printed_comparison(points, wanted, tolerance, cause)
    caution(CAUTION)
    results = place(options.outputs, options.file, "_dyno")
    folder = results.folder
    _written(results, options, law, target, wanted, points, tolerance, cause, given, read)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(name=options.file.name, **_as_json(law, points, wanted, cause))
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'dyno.png'} first.\n"
        f"Next: use it in a vehicle file: valving: {{kind: measured, file: {options.file.name}}}"
    )
    # A failed damper is a finding, as a flagged run is: scripts that receive dampers go by it.
    return 3 if any(not point.passes for point in points) else 0


def _as_json(law: "Measured", points: "tuple[Point, ...]", wanted: str, cause: str) -> dict[str, Any]:
    """Return the curve and each point against the order, in SI, as parts of an answer."""
    from sim.study.dyno import shown_speeds, sides

    curve = [
        # Without its sign: the way stands beside it.
        {"way": way, "speed": answer.number(speed, "speed"), "force": answer.number(abs(float(law.force(sense * speed))), "force")}
        for way, sense, side in sides(law)
        for speed in shown_speeds(law, side)
    ]  # fmt: skip
    against = [
        {"way": one.way, "passes": bool(one.passes), "speed": answer.number(one.speed, "speed")}
        | {key: answer.number(getattr(one, key), "force") for key in ("measured", "target", "allowed")}
        for one in points
    ]
    missed = [
        {"of": wanted, "kind": "off_order", "part": one.way, "time_s": None,
         "sentence": f"{one.way} at {show(one.speed, 'speed')}: {show(one.measured, 'force')} for {show(one.target, 'force')}"}
        for one in points if not one.passes
    ]  # fmt: skip
    read = [
        law.machine.words,
        *(f"'{column.written}' is {column.words}" for column in law.machine.columns),
        *law.reduced.words,
    ]
    return {
        "rows": {"curve": curve, "against": against}, "verdict": _said(points, cause), "flags": missed,
        "more": {"read_as": read},
    }  # fmt: skip


def _read(options: argparse.Namespace) -> "tuple[Measured, Read]":
    """Return the file as a law, and what was read."""
    from pydantic import ValidationError

    from sim.describe.files.kept import keeping
    from sim.describe.files.reader import shown
    from sim.describe.parts.dampers.measured import Measured

    # As a vehicle file would have it: one reader, and what was understood here is understood there.
    data: dict[str, Any] = {"kind": "measured", "file": str(options.file), "positive": options.positive}
    for key, field in (("gas", "gas_force"), ("friction", "seal_friction")):
        if getattr(options, key) is not None:
            data[field] = getattr(options, key)
    for key in ("column", "unit"):
        pairs = [text.partition("=") for text in getattr(options, key)]
        bad = next((head + equals + tail for head, equals, tail in pairs if not equals or not tail), None)
        if bad is not None:
            raise InputError(f"--{key} {bad}: write what it means, =, and its name: --{key} force=Load")
        data[f"{key}s"] = {head.strip(): tail.strip() for head, _, tail in pairs}
    try:
        # The record keeps what was read, whatever becomes of the file meanwhile.
        with keeping() as read:
            return Measured.model_validate(data), read
    except ValidationError as error:
        problems = []
        for item in error.errors(include_url=False):
            # pydantic puts these words before every message of ours.
            text = str(item["msg"]).removeprefix("Value error, ")
            # These two have an option of another name than their key in a file.
            where = {"gas_force": "--gas", "seal_friction": "--friction"}.get(
                str(item["loc"][0]) if item["loc"] else "", ""
            )
            problems.append(
                Problem(
                    # Some messages name file and line themselves: not twice.
                    _as_options(text),
                    "" if text.startswith(str(options.file)) else shown(options.file),
                    where=where,
                )
            )
        raise InputError(problems) from None


def _as_options(text: str) -> str:
    """Return a message of the vehicle file's keys with this command's options instead."""
    import re

    # The law's messages say what to write into a vehicle file, but here there is none to write it into.
    text = re.sub(r"columns: \{([^}:]*): ([^}]*)\}", r"--column '\1=\2'", text)
    text = re.sub(r"units: \{([^}:]*): ([^}]*)\} beside the file's name", r"--unit '\1=\2'", text)
    return text.replace("positive: compression or positive: rebound", "--positive compression or --positive rebound")


def _tolerance(text: str) -> float:
    from sim.describe.bare_numbers import fraction

    try:
        share = float(str(fraction(text)))
    except ValueError:
        raise InputError(f"--tolerance {text}: write a share, e.g. 0.1 or '10 %'") from None
    # From 100 % on, a damper without any force would pass.
    if not 0.0 < share < 1.0:
        raise InputError(f"--tolerance {text}: it must lie between 0 and 100 %")
    return share


def _target(options: argparse.Namespace) -> "tuple[DamperSet, str, Any]":
    from sim.cli.setups import asked, chosen
    from sim.describe.files.messages import nearest

    given, setups, _ = asked(options.against)
    name = chosen(options.against, options.setup, setups)
    sets = {f"{axle}.{key}": damper for axle, part in setups[name].axles for key, damper in part.dampers.items()}
    if not sets:
        raise InputError(f"{options.against}: the set-up '{name}' has no dampers; choose another with --setup.")
    if options.damper is None:
        # Never a guess: dampers of two axles look alike on a bench.
        if len(sets) > 1:
            raise InputError(
                Problem(f"the set-up '{name}' has {len(sets)} damper sets: say which", str(options.against), where="--damper",
                        allowed=", ".join(sets))
            )  # fmt: skip
        key = next(iter(sets))
    elif options.damper in sets:
        key = options.damper
    else:
        raise InputError(
            Problem(f"there is no damper set '{options.damper}'", str(options.against), where="--damper", allowed=", ".join(sets),
                    suggestion=nearest(options.damper, list(sets)))
        )  # fmt: skip
    return sets[key], f"{name}, {key}", given


def _printed_reading(law: "Measured") -> None:
    print(f"{law.machine.shown}: {law.machine.words}")
    for column in law.machine.columns:
        print(f"  '{column.written}' is {column.words}")
    for text in law.reduced.words:
        print(f"  {text}")


def _printed_curve(law: "Measured") -> None:
    from rich.console import Console
    from rich.table import Table

    from sim.describe.shown import show
    from sim.show.report.words import words_of
    from sim.study.dyno import has_loops, hysteresis_at, shown_speeds, sides

    table = Table(show_edge=False, pad_edge=False, box=None)
    for head in ("", "speed", "force of one, without gas", *(("gap of the branches",) if has_loops(law) else ())):
        table.add_column(head)
    # Compression and rebound apart: nearly every damper is much stiffer one way.
    for way, sense, side in sides(law):
        for speed in shown_speeds(law, side):
            cells = [way, show(speed, "speed"), show(abs(float(law.force(sense * speed))), "force")]
            # The gap between the loop's branches is lag, gas and friction; points alone have no branches.
            if has_loops(law):
                cells.append(show(hysteresis_at(side, speed), "force"))
            table.add_row(*cells)
    print()
    Console(highlight=False, width=None if sys.stdout.isatty() else 100).print(table)
    # nan of files without loops.
    if law.reduced.energy == law.reduced.energy:
        print(f"the largest loop takes {show(law.reduced.energy, 'energy')} a cycle")
    if has_loops(law):
        print(words_of(["gap of the branches"]))


def _printed_comparison(points: "tuple[Point, ...]", wanted: str, tolerance: float, cause: str) -> None:
    from sim.describe.shown import show
    from sim.study.dyno import share_words

    print(f"\nagainst {wanted}, within {100 * tolerance:.0f} %: {_verdict(points)}")
    if cause:
        print(cause)
    for point in points:
        print(
            f"  {point.way} at {show(point.speed, 'speed')}: {show(point.measured, 'force')} for {show(point.target, 'force')}, "
            f"{share_words(point, tolerance)}{'' if point.passes else '  OUTSIDE'}"
        )


def _said(points: "tuple[Point, ...]", cause: str) -> list[str]:
    return [*([_verdict(points)] if points else []), *([cause] if cause else [])]


def _verdict(points: "tuple[Point, ...]") -> str:
    missed = [point for point in points if not point.passes]
    return f"FAILS at {len(missed)} of {len(points)} points" if missed else f"PASSES at all {len(points)} points"


@told_in_both
def _reported(
    units: System,
    options: argparse.Namespace,
    law: "Measured",
    wanted: str,
    points: "tuple[Point, ...]",
    tolerance: float,
    cause: str,
    into: Path,
) -> None:
    from sim.describe.shown import show
    from sim.show.pages.report.told import Told, write
    from sim.study.dyno import share_words

    columns = [f"'{column.written}' is {column.words}" for column in law.machine.columns]
    reading = [f"{options.file.name}: {law.machine.words}", *columns, *law.reduced.words]
    rows = [["", "speed", "measured", "ordered", "off by", "result"]]
    for one in points:
        off = share_words(one, tolerance) if one.target > 0.0 else "–"
        cells = [show(one.speed, "speed"), show(one.measured, "force"), show(one.target, "force"), off]
        rows.append([one.way, *cells, "passes" if one.passes else "OUTSIDE"])
    question = f"Is the damper in {options.file.name} " + (
        f"as ordered: {wanted}?" if points else "read as it was tested?"
    )
    verdict = (
        [f"{_verdict(points)}, within {100 * tolerance:.0f} % of the order", *([cause] if cause else [])]
        if points
        else []
    )
    told = Told(
        question, (options.file.name, wanted), verdict, {"Force of one against the order": rows}, {"How the file was read": reading},
        ("dyno",), {}, CAUTION,
    )  # fmt: skip
    write(into, told, units)


def _written(results: "Results", options: argparse.Namespace, law: "Measured", target: "DamperSet | None", wanted: str, points: "tuple[Point, ...]",
             tolerance: float, cause: str, given: Any, read: "Read") -> None:  # fmt: skip
    from types import SimpleNamespace

    from sim.describe.shown import figure_of, headed
    from sim.show.plots.dyno_page import figure
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.table_csv import Table
    from sim.show.report.write import MARKER, written
    from sim.study.dyno import sides

    def fill(into: Path) -> None:
        # The csv module ends its lines itself: without newline="" Windows would end each twice.
        with (into / "curve.csv").open("w", encoding="utf-8", newline="") as file:
            out = Table(file)
            out.writerow(
                [
                    "direction",
                    headed("speed", "speed"),
                    *(headed(name, "force") for name in ("force", "gap of the branches")),
                ]
            )
            for way, _, side in sides(law):
                for v, f, gap in zip(side.speed, side.force, side.hysteresis, strict=True):
                    # Without a sign: how far apart the branches are, not which of them lies above.
                    out.writerow(
                        [
                            way,
                            f"{figure_of(v, 'speed'):.6g}",
                            f"{figure_of(f, 'force'):.6g}",
                            "" if gap != gap else f"{figure_of(abs(gap), 'force'):.6g}",
                        ]
                    )
        if points:
            with (into / "comparison.csv").open("w", encoding="utf-8", newline="") as file:
                out = Table(file)
                forces = (headed(name, "force") for name in ("measured", "ordered", "error", "allowed"))
                out.writerow(["direction", headed("speed", "speed"), *forces, "result"])
                for p in points:
                    numbers = (
                        figure_of(p.speed, "speed"),
                        *(figure_of(f, "force") for f in (p.measured, p.target, p.error, p.allowed)),
                    )
                    out.writerow([p.way, *(f"{n:.5g}" for n in numbers), "pass" if p.passes else "fail"])
        picture = figure(
            options.file.name, law, None if target is None else target.valving, wanted, points, tolerance, cause
        )
        saved(picture, into / "dyno")
        sources = (options.file, *(() if given is None else given.sources))
        # What the order was read from counts as much as what came back.
        both = read | ({} if given is None else given.read)
        # A record is made of a scenario, and this command may have none: what it asks of one is put together.
        origin = SimpleNamespace(
            name=options.file.name, question=None, path=options.file, sources=sources, changes={}, read=both
        )
        record.save(record.origin(origin, _command(options)) | {"read as": list(law.reduced.words)}, into / MARKER)
        _reported(options, law, wanted, points, tolerance, cause, into)

    written(results.folder, fill, results.of)


def _command(options: argparse.Namespace) -> str:
    """Return the command as a person would write it to have the same again."""
    asked = [f"jounce dyno {options.file.name}"] + ([f"--against {options.against.name}"] if options.against else [])
    for key in ("setup", "damper", "tolerance", "positive", "gas", "friction"):
        given = getattr(options, key)
        asked += [] if given is None else [f"--{key} '{given}'"]
    asked += [f"--{key} '{given}'" for key in ("column", "unit") for given in getattr(options, key)]
    return " ".join(asked)
