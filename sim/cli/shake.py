"""`jounce shake FILE`: how a vehicle, or every set-up of a scenario, answers a shaking road, frequency by frequency."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli import answer
from sim.cli.flagging import of_several, say_alike
from sim.cli.progress import closing, working
from sim.errors import InputError, RunError

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.describe.parts.vehicle import Vehicle
    from sim.linear.response import Responses

# A usual speed on gravel; 0.1 m/s is where `stand` straightens dampers too, so that both views can be compared.
DRIVING, ROAD = "40 km/h", "0.1 m/s"


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("file", type=Path, help="vehicle or scenario file")
    parser.add_argument(
        "--speed", metavar="SPEED", help=f"driving speed (default: the scenario's, else '{DRIVING}')"
    )  # fmt: skip
    parser.add_argument(
        "--road", metavar="SPEED", default=ROAD,
        help="greatest speed at which the road rises and falls: how hard it shakes (default: '%(default)s')",
    )  # fmt: skip
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Shake every set-up, tell the peaks, write plot, CSV and record."""
    from sim.cli.folders import place
    from sim.describe.shown import system

    given, setups, driving = _asked(options)
    # Past 1 m/s the full model would fly: that is a jump, not a shaking road.
    road = _speed(options.road, "--road", 0.001, 1.0)
    responses = _shaken(given.name, setups, driving, road)
    results = place(options.outputs, options.file, "_shaken")
    folder = results.folder
    # With both speeds written out: a default that changes one day must not change what the record repeats.
    command = f"jounce shake {options.file.name} --speed '{driving * 3.6:g} km/h' --road '{road:g} m/s'"
    _written(responses, results, given, command)
    _printed(responses)
    if answer.wanted():
        answer.wrote(folder)
        answer.add(name=given.name, question=given.question, setups=_as_json(responses))
    flagged = [(setup, flag) for setup, response in responses.runs.items() for flag in response.flags]
    say_alike(flagged, str, of_several)
    # In the units that are shown: it is typed as it stands.
    rougher = "12 in/s" if system() == "inch" else "0.3 m/s"
    closing(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'shaken.png'} first.\n"
        f"Next: try a rougher road (--road '{rougher}'), or compare the set-ups over a course."
    )
    return 3 if flagged else 0


def _asked(options: argparse.Namespace) -> tuple[Any, "dict[str, Vehicle]", float]:
    """Return what was loaded, its set-ups and the driving speed [m/s]."""
    from sim.cli.notices import notices
    from sim.cli.setups import vehicle_given
    from sim.describe.files.scenario import Scenario, load_kept
    from sim.describe.parts.vehicle import Vehicle

    loaded, read = load_kept(options.file)
    notices(loaded)
    driving = DRIVING
    given: Any
    if isinstance(loaded, Scenario):
        given, setups = loaded, loaded.setups
        # Its own speed first, as only there the comparison over the course and this one speak of the same.
        if options.speed is None and loaded.run.held_speed is not None:
            return given, setups, loaded.run.held_speed
    elif isinstance(loaded, Vehicle):
        given = vehicle_given(loaded, options.file, read)
        setups = {loaded.name: loaded}
    else:
        raise InputError(f"{options.file}: a course cannot be shaken; give a vehicle or a scenario file.")
    # It only sets how much later the rear wheels meet what the front ones met; at a standstill that is never.
    return given, setups, _speed(options.speed or driving, "--speed", 0.5, 70.0)


def _speed(text: str, option: str, least: float, most: float) -> float:
    from pydantic import TypeAdapter, ValidationError

    from sim.describe.shown import show
    from sim.describe.units import Speed
    from sim.describe.wrong import first_in_words

    try:
        value = float(TypeAdapter(Speed).validate_python(text))
    except ValidationError as error:
        raise InputError(f"{option}: {first_in_words(error, text)}\n    given: {text}") from None
    if not least <= value <= most:
        raise InputError(
            f"{option}: allowed is from {show(least, 'speed')} to {show(most, 'speed')}\n    given: {text}"
        )  # fmt: skip
    return value


def _shaken(name: str, setups: "dict[str, Vehicle]", driving: float, road: float) -> "Responses":
    from sim.cli.compiling import ready_for_a_run

    # Before the spinner, whose thread would keep this process from being copied to compile.
    ready_for_a_run()

    from sim.linear.response import Responses, respond

    answers = {}
    with working("Starting") as status:
        for setup, vehicle in setups.items():
            status(f"Shaking '{setup}'")
            try:
                answers[setup] = respond(vehicle, driving, road, setup)
            # Which of the set-ups it was: the physics does not know their names.
            except RunError as error:
                raise RunError(f"set-up '{setup}': {error}") from error
    return Responses(name, answers)


def _written(responses: "Responses", results: "Results", given: Any, command: str) -> None:
    from sim.show.plots.save import saved
    from sim.show.plots.shaken import figure
    from sim.show.report import record, response_csv
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        response_csv.write(responses, into / "shaken.csv")
        entries = record.origin(given, command) | {"flags": record.flags_by_setup(responses), "assumes": record.ASSUMES}
        record.save(entries, into / MARKER)
        saved(figure(responses), into / "shaken")

    written(results.folder, fill, results.of)


def peaks(responses: "Responses") -> dict[str, dict[str, dict[str, Any]]]:
    """Return the largest answer of each output in the runs of the full model, where it is [Hz], and its faults in words."""
    import numpy as np

    from sim.integrate.status import in_words

    largest: dict[str, dict[str, dict[str, Any]]] = {}
    for setup, response in responses.runs.items():
        largest[setup] = {}
        for name, values in response.driven.items():
            # A run that broke down has nan, which argmax would take for the largest.
            size = np.where(np.isfinite(values), np.abs(values), -1.0)
            place = int(np.argmax(size))
            largest[setup][name] = {
                "largest": float(size[place]), "at_hz": float(response.driven_hz[place]),
                "flagged": in_words(response.faults[place]) if response.faults else "",
            }  # fmt: skip
    return largest


def _as_json(responses: "Responses") -> dict[str, Any]:
    """Return the peaks as measures of each set-up, in SI."""
    setups = {}
    for setup, outputs in peaks(responses).items():
        measures = {}
        for name, peak in outputs.items():
            flagged = bool(peak["flagged"])
            # A movement per movement of the road, or a load as a share of the load at rest.
            measures[f"{name}: largest"] = answer.number(peak["largest"], "number", flagged=flagged)
            measures[f"{name}: at"] = answer.number(peak["at_hz"], "frequency", flagged=flagged)
        flags = [answer.flag_of(setup, flag) for flag in responses.runs[setup].flags]
        setups[setup] = {"measures": measures, "flags": flags}
    return setups


def _printed(responses: "Responses") -> None:
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.describe.shown import show
    from sim.linear.response import FRONT_LOAD, REAR_LOAD
    from sim.show.plots.shaken import seat, title

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 112)
    # What reaches the seat is asked first; what the tyres do is the picture's title.
    console.print(Text(" ".join(f"{text}." for text in (*seat(responses), title(responses))), style="bold"))
    console.print()
    table = Table(show_edge=False, pad_edge=False, box=None)
    table.add_column("largest answer, and at which frequency", overflow="fold")
    for setup in responses.runs:
        table.add_column(Text(setup), justify="right", overflow="fold")
    # Of the full model, not of the linear view: friction and lift-off decide the peaks.
    largest = peaks(responses)
    for name in next(iter(largest.values())):
        # Loads are a share of the load at rest, movements a number: each needs its own words.
        loads = name in (FRONT_LOAD, REAR_LOAD)
        label = f"{name} swing, of its load at rest" if loads else f"{name}, per movement of the road"
        cells = [
            f"{show(row[name]['largest'], 'percent' if loads else 'number')} at {row[name]['at_hz']:.1f} Hz"
            + (" (flagged)" if row[name]["flagged"] else "")
            for row in largest.values()
        ]
        table.add_row(Text(label), *map(Text, cells))
    console.print(table)
