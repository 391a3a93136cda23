"""What the demo's page to hand over takes beyond the comparison that it comes from, and how large it is; not part of the tests.

python -m pytest tests/benchmarks/test_report_speed.py --benchmark-only -n 0 -s

In one process: the comparison, its tables and its pictures are there; then all of the page is laid out and written, with trucks, simulator
and pictures, in turn with the comparison's runs. By the clock and by processor time, the least of five. Meant: under 1 s and under 2 MB.
"""

import time
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.cli.showing import _page
from sim.show.asked_plots import asked
from sim.show.plots.save import pictures
from sim.show.report.write import MARKER

ROUNDS = 5
DEMO = "scenarios/two_or_four.yaml"


@pytest.fixture
def folder(tmp_path):
    """Return a folder with what the page is laid out from: the comparison's record and its pictures."""
    main(["compare", DEMO, "--outputs", str(tmp_path), "--no-plots"])
    return tmp_path / "two_or_four"


def test_a_page_beside_its_comparison(benchmark, folder):
    scenario = sim.load(DEMO)
    comparison = sim.compare(scenario)
    names = asked(comparison)
    pictures(comparison, folder, names)
    assert (folder / MARKER).exists()

    def page() -> Path:
        _page(comparison, f"jounce compare {DEMO}", folder, None)([folder / f"{name}.svg" for name in names])
        return folder / "report.html"

    ways = {"the comparison's runs and measures": lambda: sim.compare(scenario), "its page to hand over": page}
    spent = {name: ([], []) for name in ways}
    page()  # templates read
    for _ in range(ROUNDS):
        for name, way in ways.items():
            begun, worked = time.perf_counter(), time.process_time()
            way()
            spent[name][0].append(time.perf_counter() - begun)
            spent[name][1].append(time.process_time() - worked)
    print(f"\n{len(comparison.runs)} set-ups, {len(names)} pictures, {page().stat().st_size / 1e6:.2f} MB")
    for name, (clock, used) in spent.items():
        print(f"{name}: {min(clock):.2f} s by the clock, {min(used):.2f} s of the process (user and system)")
    benchmark.pedantic(page, rounds=1)
