"""`jounce sheet FILE`: the page that a damper builder works from, one for each damper set of a set-up."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.errors import InputError, Problem, RunError

if TYPE_CHECKING:
    from sim.parts.vehicle import Vehicle


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument("--setup", help="which set-up of a scenario (default: the first that has dampers)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Write PDF, PNG and CSV of every damper set; say what does not fit."""
    from sim.cli.showing import slug
    from sim.fit import fits
    from sim.standing import stand

    given, setups, used = _asked(options.file)
    name = _chosen(options, setups)
    try:
        found, standing = fits(setups[name]), stand(setups[name])
        others = {other: fits(vehicle) for other, vehicle in setups.items() if other != name}
    except RunError as error:
        raise RunError(f"set-up '{name}' or one beside it: {error}") from error
    if not found:
        raise InputError(f"{options.file}: the set-up '{name}' has no dampers; choose another with --setup.")
    problems = {fit.name + fit.axle: [*fit.problems, *fit.notes] for fit in found}
    for other, fitted in others.items():
        for fit in fitted:
            if fit.name + fit.axle in problems:
                problems[fit.name + fit.axle] += [f"with '{other}': {text}" for text in fit.problems]
    folder = options.outputs / f"{slug(options.file.stem)}_{slug(name)}_sheet"
    _written(folder, given, name, used, found, standing, problems, f"jounce sheet {options.file.name} --setup '{name}'")
    wrong = [text for fit in found for text in fit.problems]
    for fit in found:
        print(f"{fit.axle} set '{fit.name}', {fit.count} off: {folder / slug(f'{fit.axle} {fit.name}')}.pdf")
        for text in problems[fit.name + fit.axle]:
            print(f"  {text}")
    print(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}. Blanks are to be filled in by hand: they are not known here.\n"
        "Next: measure the three lengths on the truck with the springs out, then send the sheet.",
        file=sys.stderr,
    )
    return 3 if wrong else 0


def _asked(path: Path) -> tuple[Any, "dict[str, Vehicle]", str]:
    from types import SimpleNamespace

    from sim.files.scenario import Scenario, load
    from sim.parts.vehicle import Vehicle
    from sim.runs import Course
    from sim.units import show

    loaded = load(path)
    if isinstance(loaded, Scenario):
        run_ = loaded.run
        used = loaded.name
        if isinstance(run_, Course):
            used = f"{run_.course.name} at {show(run_.speed, 'road_speed')}"
        return loaded, dict(loaded.setups), used
    if isinstance(loaded, Vehicle):
        given = SimpleNamespace(name=loaded.name, question=None, path=path, sources=(path,), changes={})
        return given, {"as the file has it": loaded}, "the truck as measured, standing"
    raise InputError(f"{path}: a course has no dampers; give a vehicle or a scenario file.")


def _chosen(options: argparse.Namespace, setups: "dict[str, Vehicle]") -> str:
    from sim.files.messages import nearest
    from sim.files.scenario import shown

    if options.setup is None:
        return next(
            (name for name, v in setups.items() if any(axle.dampers for _, axle in v.axles)), next(iter(setups))
        )  # fmt: skip
    if options.setup not in setups:
        raise InputError(
            Problem(
                f"there is no set-up '{options.setup}'", shown(options.file), where="setups", allowed=", ".join(setups),
                suggestion=nearest(options.setup, list(setups)),
            )
        )  # fmt: skip
    return str(options.setup)


def _written(
    folder: Path,
    given: Any,
    name: str,
    used: str,
    found: Any,
    standing: Any,
    problems: dict[str, list[str]],
    command: str,
) -> None:
    from sim.report import record
    from sim.report.write import MARKER, written

    def fill(into: Path) -> None:
        write_sheets(into, name, used, found, standing, problems)
        record.save(record.origin(given, command) | {"assumes": record.ASSUMES}, into / MARKER)

    written(folder, fill)


def write_sheets(into: Path, name: str, used: str, found: Any, standing: Any, problems: dict[str, list[str]]) -> None:
    """Write the sheet of every damper set of a set-up into a folder."""
    from datetime import date
    from importlib.metadata import PackageNotFoundError, version

    from sim.cli.showing import slug
    from sim.plots import order_sheet
    from sim.report import sheet

    try:
        made_by = f"jounce {version('jounce')}"
    except PackageNotFoundError:
        made_by = "jounce"
    for fit in found:
        axle = standing.axles[fit.axle]
        part = dict(standing.vehicle.axles)[fit.axle].dampers[fit.name]
        lines = sheet.rows(name, standing.vehicle.name, used, fit, part, axle)
        told = problems[fit.name + fit.axle]
        stem = into / slug(f"{fit.axle} {fit.name}")
        sheet.write_csv(lines, told, stem.with_suffix(".csv"))
        title = f"Damper order: {fit.axle} axle, set '{fit.name}', {fit.count} off"
        subtitle = f"{standing.vehicle.name}, set-up '{name}'. Computed by {made_by} on {date.today().isoformat()}."
        order_sheet.saved(order_sheet.figure(title, subtitle, lines, told), stem)
