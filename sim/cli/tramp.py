"""`jounce tramp SCENARIO`: where the wind-up of a driven axle feeds itself, over lean and slip slope."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.angles import angle
from sim.errors import InputError
from sim.show.report.table_csv import Table

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.study.tramp import TrampMap

SLOPES, BEFORE = 9, 0.6
"""How many slopes of the slip curve are tried, and the largest: well before its peak."""

SHARE = 0.55
"""The least slope tried is this share of the curve's steepest fall."""


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument("scenario", type=Path, help="scenario file whose run is a launch")
    parser.add_argument("--setup", help="set-up (default: the first that has dampers there)")
    parser.add_argument(
        "--from", dest="low", default="-45 deg", metavar="ANGLE", help="lean, back negative (default: '-45 deg')"
    )
    parser.add_argument(
        "--to", dest="high", default="45 deg", metavar="ANGLE", help="lean, forward positive (default: '45 deg')"
    )
    parser.add_argument("--steps", type=int, default=9, help="how many leans, 3 to 25 (default: 9)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Work out the map, tell where tramp starts, write plot, CSV and record."""
    import numpy as np
    from rich.console import Console

    from sim.cli.compiling import ready_for_a_run
    from sim.cli.folders import place
    from sim.describe.files.scenario import load_scenario
    from sim.describe.runs import Launch
    from sim.errors import RunError
    from sim.show.plots.tramp_stability import starts, title
    from sim.study.tramp import slopes_of, tramp_map

    low, high = angle(options.low, "--from", -60.0, 60.0), angle(options.high, "--to", -60.0, 60.0)
    if low >= high:
        raise InputError(f"--from must be less than --to\n    given: {options.low} and {options.high}")
    if not 3 <= options.steps <= 25:
        raise InputError(f"--steps: allowed is 3 to 25\n    given: {options.steps}")
    scenario = load_scenario(options.scenario)
    if not isinstance(scenario.run, Launch):
        raise InputError(f"{options.scenario}: its run is a {scenario.run.kind}; tramp is mapped for a launch.")
    name, vehicle, axle = _chosen(scenario, options.setup)
    try:
        steepest, _ = slopes_of(scenario.run.surface, vehicle, axle)
        slopes = np.linspace(BEFORE, SHARE * steepest, SLOPES)
        leans = np.linspace(low, high, options.steps)
        ready_for_a_run(driven=True)
        with Console(stderr=True).status("Starting", spinner="line") as status:
            found = tramp_map(
                name, vehicle, axle, scenario.run.surface, leans, slopes, lambda text: status.update(text)
            )
    except ValueError as error:
        raise RunError(f"{axle} tyre on {scenario.run.surface.name}: {error}") from error
    results = place(options.outputs, options.scenario, "_tramp")
    folder = results.folder
    _written(found, results, scenario, f"jounce tramp {options.scenario.name} --setup '{name}'")
    print(title(found))
    for lean, slope in zip(found.lean_rad, starts(found), strict=True):
        said = "nowhere on this map" if np.isnan(slope) else f"at a slip slope of {slope:.2f}"
        print(f"  lean {np.degrees(lean):+5.1f} deg: tramp starts {said}")
    print(
        f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'tramp.png'} first.",
        file=sys.stderr,
    )
    return 0


def _chosen(scenario: Any, setup: str | None) -> tuple[str, Any, str]:
    """Return the set-up that is mapped and its driven axle."""
    line = scenario.vehicle.driveline
    if line is None:
        raise InputError(f"{scenario.path.name}: its vehicle has no driveline, so nothing drives an axle.")
    axle = "front" if line.drive == "front" else "rear"
    if setup is not None and setup not in scenario.setups:
        raise InputError(f"--setup: there is no set-up '{setup}'\n    allowed: {', '.join(scenario.setups)}")
    wanted = [setup] if setup is not None else list(scenario.setups)
    for name in wanted:
        if getattr(scenario.setups[name], axle).dampers:
            return name, scenario.setups[name], axle
    raise InputError(f"{scenario.path.name}: no {axle} dampers there to lean.")


def _written(found: "TrampMap", results: "Results", scenario: Any, command: str) -> None:
    from sim.show.plots.save import saved
    from sim.show.plots.tramp_stability import figure
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    def fill(into: Path) -> None:
        _csv(found, into / "tramp.csv")
        record.save(record.origin(scenario, command) | {"set-up": found.name, "assumes": record.ASSUMES}, into / MARKER)
        saved(figure(found), into / "tramp")

    written(results.folder, fill, results.of)


def _csv(found: "TrampMap", path: Path) -> None:
    import numpy as np

    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(
            ["lean forward + [deg]", "slip slope [share of load]", "slip [%]", "damping ratio [-]", "frequency [Hz]",
             "growth [1/s]", "run: early swing [deg]", "run: late swing [deg]", "run tramps"]
        )  # fmt: skip
        for i, lean in enumerate(found.lean_rad):
            for j, p in enumerate(found.points[i]):
                ran = found.ran.get((i, j))
                told = ["", "", ""] if ran is None else [
                    f"{np.degrees(ran.first_rad):.4g}", f"{np.degrees(ran.last_rad):.4g}", "yes" if ran.tramps else "no"
                ]  # fmt: skip
                table.writerow(
                    [f"{np.degrees(lean):.4g}", f"{p.slip_slope:.4g}", f"{100 * p.slip:.4g}", f"{p.damping_ratio:.5g}",
                     f"{p.frequency_hz:.4g}", f"{p.growth_per_s:.5g}", *told]
                )  # fmt: skip
