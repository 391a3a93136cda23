"""`jounce lean SCENARIO ...`: which way, and how far, to lean the dampers of an axle against wind-up."""

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sim.cli.angles import angle
from sim.errors import InputError
from sim.show.report.table_csv import Table

if TYPE_CHECKING:
    from sim.cli.folders import Results
    from sim.study.lean import Leans

MOST = 41


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument(
        "scenario", type=Path, nargs="+", help="one or two scenario files whose run is a launch or a brake, with the same set-ups"
    )  # fmt: skip
    parser.add_argument("--axle", choices=("front", "rear"), default="rear", help="whose dampers (default: rear)")
    parser.add_argument(
        "--from", dest="low", default="-45 deg", metavar="ANGLE", help="lean, back negative (default: '-45 deg')"
    )
    parser.add_argument(
        "--to", dest="high", default="45 deg", metavar="ANGLE", help="lean, forward positive (default: '45 deg')"
    )
    parser.add_argument("--steps", type=int, default=13, help=f"how many leans, 3 to {MOST} (default: 13)")
    parser.add_argument("--outputs", type=Path, default=Path("outputs"), help="folder for results (default: outputs)")


def run(options: argparse.Namespace) -> int:
    """Try the leans, tell the best, write plot, CSV and record."""
    import numpy as np
    from rich.console import Console

    from sim.cli.compiling import ready_for_a_run
    from sim.cli.folders import place
    from sim.describe.files.scenario import load_scenario
    from sim.study.lean import lean_through

    if len(options.scenario) > 2:
        raise InputError(
            "lean: one or two scenarios fit side by side.\n    given: " + ", ".join(map(str, options.scenario))
        )
    low, high = angle(options.low, "--from", -60.0, 60.0), angle(options.high, "--to", -60.0, 60.0)
    if low >= high:
        raise InputError(f"--from must be less than --to\n    given: {options.low} and {options.high}")
    if not 3 <= options.steps <= MOST:
        raise InputError(f"--steps: allowed is 3 to {MOST}\n    given: {options.steps}")
    scenarios = [load_scenario(path) for path in options.scenario]
    ready_for_a_run(driven=True)
    with Console(stderr=True).status("Starting", spinner="line") as status:
        leans = lean_through(
            scenarios, options.axle, np.linspace(low, high, options.steps), lambda text: status.update(text)
        )
    results = place(options.outputs, options.scenario[0], "_leaned")
    folder = results.folder
    _written(leans, results, scenarios, options)
    _printed(leans)
    flagged = [(s, flag) for road in leans.roads.values() for s, row in road.items() for flag in row.flags]
    for setup, flag in flagged:
        print(f"LEFT OUT {setup}: at some leans: {flag.sentence}", file=sys.stderr)
    print(f"\nWrote {len(list(folder.iterdir()))} files to {folder}; look at {folder / 'leans.png'} first.\n"
          f"Next: jounce tramp {options.scenario[0]} for where wind-up feeds itself.", file=sys.stderr)  # fmt: skip
    return 3 if flagged else 0


def _written(leans: "Leans", results: "Results", scenarios: list[Any], options: argparse.Namespace) -> None:
    from sim.show.plots.leans import figure
    from sim.show.plots.save import saved
    from sim.show.report import record
    from sim.show.report.write import MARKER, written

    command = f"jounce lean {' '.join(path.name for path in options.scenario)} --axle {options.axle}"

    def fill(into: Path) -> None:
        _csv(leans, into / "leans.csv")
        made = record.origin(scenarios[0], command) | {"scenarios": list(leans.roads), "assumes": record.ASSUMES}
        for other in scenarios[1:]:
            made["sources"] = record.origin(other, command)["sources"] | made["sources"]
        record.save(made, into / MARKER)
        saved(figure(leans), into / "leans")

    written(results.folder, fill, results.of)


def _csv(leans: "Leans", path: Path) -> None:
    import numpy as np

    from sim.describe.units import show_parts
    from sim.study.lean import MEASURES

    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(
            ["scenario", "set-up", "lean forward + [deg]"]
            + [f"{label} [{show_parts(1.0, quantity)[0][1] or '-'}]" for label, quantity, _, _ in MEASURES.values()]
        )
        for road, setups in leans.roads.items():
            for setup, row in setups.items():
                for place, lean in enumerate(leans.lean_rad):
                    values = [
                        show_parts(float(row.values[name][place]), quantity)[0][0]
                        for name, (_, quantity, _, _) in MEASURES.items()
                    ]
                    cells = ["" if np.isnan(value) else f"{value:.6g}" for value in values]
                    table.writerow([road, setup, f"{np.degrees(lean):.4g}", *cells])


def _printed(leans: "Leans") -> None:
    import numpy as np
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.describe.units import show

    console = Console(highlight=False, width=None if sys.stdout.isatty() else 112)
    table = Table(show_edge=False, pad_edge=False, box=None)
    for column in ("road", "set-up", "pinion swings least", "at a lean of", "most", "at", "as it stands"):
        table.add_column(column, overflow="fold")
    for road, setups in leans.roads.items():
        for setup, row in setups.items():
            peaks, degrees = row.values["peak"], np.degrees(leans.lean_rad)
            cells = ["–"] * 5
            if not np.isnan(peaks).all():
                least, most = int(np.nanargmin(peaks)), int(np.nanargmax(peaks))
                stands = "–" if row.stands_at_rad is None else f"{np.degrees(row.stands_at_rad):+.0f} deg"
                cells = [show(peaks[least], "angle"), f"{degrees[least]:+.0f} deg", show(peaks[most], "angle"),
                         f"{degrees[most]:+.0f} deg", stands]  # fmt: skip
            table.add_row(*map(Text, (road, setup, *cells)))
    console.print(table)
