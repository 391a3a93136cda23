"""What a user waits for, each beside *one figure* measured in the same minutes; writes the table of docs/speed.md.

python -m tests.benchmarks.waits                    # all of it
python -m tests.benchmarks.waits --only compare     # rows with that word; the others stay as they are

*One figure* is loading the drawing library and saving one figure of two panels and eight lines of 12,000 points as PNG and SVG,
in a process of its own: what anybody who shows a run waits for, on any machine. Both the time by the clock and the processor time of
a command with all that it begins are the least of the rounds. What a user waits for is the clock's, which holds only on an idle
machine: how busy the cores are otherwise is looked at before, and said.
"""

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import psutil

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "speed.md"
BEGIN, END = "<!-- waits: begin -->", "<!-- waits: end -->"

ONE_FIGURE = """
import sys

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

figure = Figure(figsize=(10.0, 7.0))
FigureCanvasAgg(figure)
time_s = np.linspace(0.0, 12.0, 12_000)
for panel in figure.subplots(2, 1):
    for line in range(4):
        panel.plot(time_s, np.sin(3.0 * (line + 1) * time_s) + 0.1 * np.sin(97.0 * time_s + line))
figure.savefig(sys.argv[1] + "/one.png")
figure.savefig(sys.argv[1] + "/one.svg")
"""


@dataclass(frozen=True)
class Wait:
    """Something that a user waits for."""

    what: str
    arguments: tuple[str, ...]
    goal: str = ""
    rounds: int = 5
    is_first: bool = False  # nothing compiled yet


DEMO = "scenarios/two_or_four.yaml"
SWEPT = (
    "sweep", DEMO, "--setup", "two front", "--vary", "front.dampers.main.valving.compression.low", "0.5 kN s/m", "2.5 kN s/m",
    "100", "--vary", "front.dampers.main.valving.rebound.low", "2 kN s/m", "5 kN s/m", "100", "--measure", "ride_wk_driver",
    "--measure", "front_tyre_load_variation",
)  # fmt: skip

OWN = (
    "new", "{place}/own.yaml", "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", "33 in", "--coil", "front:190 lb/in",
    "--leaf", "rear:230 lb/in", "--extended", "23.5 in", "--collapsed", "14.25 in",
)  # fmt: skip
"""A truck of one's own, as a ticket and a tape have it: all else is estimated, so that some eighty numbers are in doubt."""

WAITS = (
    Wait("compare of the demo, all pictures", ("compare", DEMO), "1.5"),
    Wait("compare of the demo without pictures", ("compare", DEMO, "--no-plots"), "0.7"),
    Wait("check of the demo", ("check", DEMO)),
    Wait("check of a truck of one's own", ("check", "{place}/own.yaml")),
    Wait("stand of a truck of one's own", ("stand", "{place}/own.yaml")),
    Wait("sheet of a truck of one's own", ("sheet", "{place}/own.yaml")),
    Wait(
        "compare of a truck of one's own, three set-ups, all pictures", ("compare", "{place}/own_first.yaml"), rounds=3
    ),
    Wait("first compare ever, all pictures", ("compare", DEMO), "4", rounds=2, is_first=True),
    Wait("first sweep ever, 4 set-ups", (*(one if one != "100" else "2" for one in SWEPT),), "8", 2, True),
    Wait("sweep of 10,000 set-ups", SWEPT, "4", rounds=2),
    Wait(
        "four set-ups through 100 km of track, ten hours in all",
        ("endure", "scenarios/will_they_fade.yaml"),
        "15",
        rounds=1,
    ),
    # Twice: the first one also compiles the optimisers to bytecode, which an installed package has.
    Wait("tune of the demo", ("tune", "scenarios/tune_for_the_track.yaml"), "15", rounds=2),
)


def spent(command: Sequence[str], environment: dict[str, str]) -> tuple[float, float]:
    """Run a command; return the processor time of it and all that it began and waited for, and the time by the clock [s]."""
    begin = time.perf_counter()
    running = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(running.pid, 0)
    running.returncode = os.waitstatus_to_exitcode(status)
    if running.returncode not in (0, 3):  # 3: a run was flagged, which is an answer too
        raise RuntimeError(f"{' '.join(command)} ended with {running.returncode}")
    return used.ru_utime + used.ru_stime, time.perf_counter() - begin


@dataclass(frozen=True)
class Waited:
    """What a user waited for: times [s], with those of *one figure* in the same minutes."""

    wait: Wait
    processor_s: float
    clock_s: float
    figure_processor_s: float
    figure_clock_s: float


def measured(waits: Sequence[Wait], most_rounds: int) -> list[Waited]:
    """Return each with its least times and those of *one figure* in the same minutes."""
    rows = []
    with tempfile.TemporaryDirectory() as place:
        environment = {
            **os.environ,
            "PYTHONPATH": str(ROOT),
            "OMP_NUM_THREADS": "1",
            "PYTHONPYCACHEPREFIX": f"{place}/bytecode",
        }
        environment.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed package has its bytecode
        subprocess.run(
            [sys.executable, "-m", "sim", "check", DEMO], cwd=ROOT, env=environment, capture_output=True, check=True
        )
        spent(
            [sys.executable, "-c", ONE_FIGURE, place], environment
        )  # the first one compiles the drawing library to bytecode
        begin = [one.format(place=place) for one in OWN]
        subprocess.run(
            [sys.executable, "-m", "sim", *begin], cwd=ROOT, env=environment, capture_output=True, check=True
        )
        for wait in waits:
            own, figure = [], []
            for _ in range(min(wait.rounds, most_rounds)):  # the first one also compiles, and is not the least
                figure.append(spent([sys.executable, "-c", ONE_FIGURE, place], environment))
                more = {"NUMBA_CACHE_DIR": tempfile.mkdtemp(dir=place)} if wait.is_first else {}
                asked = [one.format(place=place) for one in wait.arguments]
                command = [sys.executable, "-m", "sim", *asked, "--outputs", f"{place}/out"]
                if wait.arguments[0] in ("check", "stand"):
                    command = command[:-2]
                own.append(spent(command, environment | more))
            least = (min(of) for of in (*zip(*own, strict=True), *zip(*figure, strict=True)))
            rows.append(Waited(wait, *least))
    return rows


def table(rows: Sequence[Waited], before: str = "") -> str:
    """Return the rows as a table of Markdown; of those that were not measured now, the lines that they have in it."""
    lines = {line.split(" | ")[0]: line for line in before.splitlines() if line.startswith("| ") and " | " in line}
    for one in rows:
        lines[f"| {one.wait.what}"] = (
            f"| {one.wait.what} | {one.clock_s / one.figure_clock_s:.1f} | {one.wait.goal or '–'} | {one.clock_s:.2f} s "
            f"| {one.figure_clock_s:.2f} s | {one.processor_s:.2f} s | {one.figure_processor_s:.2f} s |"
        )
    out = [
        "| | by the clock, in *one figure* | wanted | by the clock | *one figure* then | processor time | *one figure* then |",
        "|---|---|---|---|---|---|---|",
    ]
    names = [f"| {wait.what}" for wait in WAITS]
    return "\n".join([*out, *(lines[name] for name in names if name in lines)])


def main() -> None:
    """Measure, show the table, and put it into docs/speed.md where all of it was measured."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--only", default="", help="rows with this word; the others stay as they are")
    parser.add_argument("--rounds", type=int, default=5, help="rounds at most")
    options = parser.parse_args()
    busy = psutil.cpu_percent(interval=1.0) / 100.0 * (os.cpu_count() or 1)
    print(f"before: {busy:.1f} of {os.cpu_count()} cores busy with other work")
    rows = measured([wait for wait in WAITS if options.only in wait.what], options.rounds)
    page = PAGE.read_text(encoding="utf-8")
    first, _, rest = page.partition(BEGIN)
    old, _, after = rest.partition(END)
    text = table(rows, old)
    print(text)
    PAGE.write_text(f"{first}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
