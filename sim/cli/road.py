"""`jounce road FILE`: how rough a course is, by the standards, and a picture of it."""

import argparse
from math import isnan
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.progress import closing
from sim.errors import InputError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.roads.course import Course
    from sim.measure.roughness import Roughness


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="course file, or a scenario that drives over one")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Measure a course, say it, draw it."""
    from sim.cli.folders import place
    from sim.cli.notices import notices
    from sim.measure.roughness import roughness

    course, given = _course(options.file)
    notices(given)
    try:
        measured = roughness(course)
    # A course too short for what the standard asks for: say what would make it long enough.
    except ValueError as error:
        raise InputError(f"{options.file}: {error}. Add level road, or lay the shapes more often.") from None
    results = place(options.outputs, options.file, "_road")
    folder = results.folder
    # Written before it is said: the printed line names the files.
    _written(course, measured, results, given, f"jounce road {options.file.name}")
    for text in _rows(course, measured):
        print(text)
    answer.wrote(folder)
    answer.add(
        name=course.name,
        measures={
            "length": answer.number(course.length_m, "distance"), "iri": answer.number(measured.iri, "roughness"),
            "density_at_0.1_per_m": answer.number(measured.at_reference, "road_density"),
        },
        more={"iso_8608_class": measured.iso_class or None},
    )  # fmt: skip
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'course.png'} first.\n"
        "Next: drive over it: jounce compare a scenario whose run names this course."
    )
    # Never 3: how rough a road is is no fault of the truck.
    return 0


def _course(path: Path) -> tuple["Course", Any]:
    from types import SimpleNamespace

    from sim.describe.files.scenario import Scenario, load_kept
    from sim.describe.roads.course import Course

    loaded, read = load_kept(path)
    if isinstance(loaded, Scenario):
        courses = loaded.run.courses
        # A track may have several, others none: a mean of several would be the figure of no road.
        if len(courses) != 1:
            several = ", ".join(f"'{course.name}'" for course in courses)
            raise InputError(f"{path}: this scenario drives over {several or 'no course'}; give a course file.")
        return courses[0], loaded
    if not isinstance(loaded, Course):
        raise InputError(f"{path}: a vehicle has no roughness; give a course file, or a scenario that drives over one.")
    # Surveyed profiles are files of their own: the record must hold them too.
    sources = (path, *(survey.path for survey in loaded.surveys))
    # A course file is no scenario: what a record asks of one is put together.
    given = SimpleNamespace(
        name=loaded.name, question=None, path=path, sources=sources, changes={}, notices=loaded.notices, read=read
    )
    return loaded, given


def _rows(course: "Course", found: "Roughness") -> list[str]:
    """Return a sentence of each number."""
    from sim.describe.shown import show

    # The density at 0.1 waves a metre needs some tens of metres; the IRI needs less.
    known = not isnan(found.at_reference)
    # The scale of M. W. Sayers, T. D. Gillespie, W. D. O. Paterson, World Bank Technical Paper 46 (1986), from memory.
    new, rough = (" to ".join(show(1e-3 * end, "roughness") for end in ends) for ends in ((1.5, 3.5), (8.0, 20.0)))
    density = (
        f"{found.at_reference * 1e6:.0f}·10⁻⁶ m³ at a wave of {show(10.0, 'distance')}"
        if known
        else "too short to tell"
    )
    return [
        f"length                       {show(course.length_m, 'distance')}",
        f"roughness (IRI)              {show(found.iri, 'roughness')}",
        f"   of new pavement           {new}",
        f"   of rough unpaved roads    {rough}",
        f"like ISO 8608 class          {found.iso_class or '-'}   (A new motorway, C worn road, E rough track)",
        f"density, by that standard    {density}",
    ]


def _written(course: "Course", found: "Roughness", results: "Results", given: Any, command: str) -> None:
    from sim.describe.shown import figures_of, headed
    from sim.measure.roughness import places
    from sim.show.plots.course_page import figure
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.table_csv import Table
    from sim.show.report.write import MARKER, written

    def table(path: Path, head: list[str], columns: list[Any]) -> None:
        with path.open("w", encoding="utf-8", newline="") as file:
            out = Table(file)
            out.writerow(head)
            out.writerows([f"{value:.7g}" for value in row] for row in zip(*columns, strict=True))

    def fill(into: Path) -> None:
        x = places(course)
        table(
            into / "profile.csv", [headed("distance", "distance"), headed("height", "length")],
            [figures_of(x, "distance"), figures_of(course.height(x), "length")],
        )  # fmt: skip
        table(
            into / "spectrum.csv",
            [headed("waves per length", "per_length"), "density [m3]"],
            [figures_of(found.frequency, "per_length"), found.density],
        )
        record.save(
            # Not the half-car's assumptions: this is the standard's quarter-car, whatever truck drives there.
            record.origin(given, command)
            | {"assumes": "roughness index at 80 km/h; class of waves of 2 to 20 m, by the standard."},
            into / MARKER,
        )
        saved(figure(course, found), into / "course")

    written(results.folder, fill, results.of)
