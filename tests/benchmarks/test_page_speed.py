"""What a run of the kernel takes in a browser over 10 s of the demo's course, and four set-ups run and drawn; not part of the tests.

python -m pytest tests/benchmarks/test_page_speed.py --benchmark-only -n 0 -s

In the system's browser, which draws without a graphics card, beside the same call of the compiled kernel here, in turn. Meant on two
idle cores: one run under 20 ms, four set-ups redrawn under 100 ms 95 times in 100.
"""

import os
import time
from types import SimpleNamespace

import numpy as np

import sim
from sim.show.looks import looks
from sim.show.pages.report.parts import Report
from sim.show.pages.report.render import write
from sim.show.pages.report.simulated import simulated
from sim.show.pages.simulator.calls import RUNS, call_of
from tests.browser.conftest import browser, opened  # noqa: F401 - fixtures
from tests.waiting import running

ROUNDS = 40

MEASURED = """async () => {
  const page = window.jounceTried;
  const clock = async (work) => { const begun = performance.now(); await work(); return performance.now() - begun; };
  // The frame that shows it has been drawn when the task behind its callback begins.
  const shown = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  const moved = (value) => { for (const setup of page.tried.setups) for (const damper of setup.dampers) damper.factors[0] = value; };
  const took = {};
  took["one run, an output a millisecond"] = await clock(() => page.tried.traced(1, false, 0.001));
  took["one run, an output each 4 ms"] = await clock(() => page.tried.traced(1));
  moved(0.5 + Math.random());
  took["four set-ups run and drawn, the script"] = await clock(() => page.all());
  moved(0.5 + Math.random());
  took["the same, until the frame is shown"] = await clock(async () => { page.all(); await shown(); });
  page.tried.setups[1].dampers[0].factors[1] = 0.5 + Math.random();
  took["one slider moved, until the frame is shown"] = await clock(async () => { page.update([1]); await shown(); });
  return took;
}"""


REPEATED = """async (kind) => {
  const page = window.jounceTried;
  const shown = () => new Promise((done) => requestAnimationFrame(() => setTimeout(done)));
  for (let i = 0; i < 40; i += 1) {
    for (const setup of page.tried.setups) for (const damper of setup.dampers) damper.factors[0] = 0.5 + Math.random();
    if (kind === "run") page.tried.traced(1, false, 0.001);
    if (kind === "script") page.all();
    if (kind === "shown") { page.all(); await shown(); }
  }
}"""


def processor_s(parent):
    """Return the processor time [s] of all processes that descend from one: Linux' /proc/PID/stat, its fields 4, 14 and 15."""
    known = {number: (int(fields[1]), int(fields[11]) + int(fields[12])) for number, fields in running()}
    total, todo = 0, [parent]
    while todo:
        one = todo.pop()
        children = [pid for pid, (above, _) in known.items() if above == one]
        total += sum(known[pid][1] for pid in children)
        todo += children
    return total / os.sysconf("SC_CLK_TCK")


def said(name, milliseconds):
    low, middle, high = np.percentile(milliseconds, [0, 50, 95])
    print(f"{name}: {low:.1f} ms at best, {middle:.1f} in the middle, {high:.1f} at the 95th of 100")


def test_page_beside_native(benchmark, opened, tmp_path):  # noqa: F811
    scenario = sim.load("scenarios/two_or_four.yaml")
    run = scenario.run.model_copy(update={"settle": scenario.run.settle - 2.0435})  # 10.0 s in all
    setups = {name: truck for name, truck in scenario.setups.items() if truck.front.dampers}
    setups["two front again"] = setups["two front"]
    runs = {name: SimpleNamespace(vehicle=truck, run=run) for name, truck in setups.items()}
    write(Report("Speed", "", ["Speed."], "", [simulated(runs, looks(runs))]), tmp_path / "page.html")
    page = opened((tmp_path / "page.html").as_uri())
    page.locator("#try:not([hidden])").wait_for()
    call = call_of(setups["two front"], run)

    def native():
        given = {**call.given, "m": call.given["m"].copy()}
        begun = time.perf_counter()
        RUNS[call.run](*given.values())
        return 1e3 * (time.perf_counter() - begun)

    native()
    for _ in range(10):  # until the browser has compiled what it runs often for good
        page.evaluate(MEASURED)
    here, there = [], []
    for _ in range(ROUNDS):
        here.append(native())
        there.append(page.evaluate(MEASURED))
    print(f"\n{len(setups)} set-ups, {call.given['steps'] * call.given['step']:.2f} s")
    said("one run here, an output a millisecond", here)
    for name in there[0]:
        said(name, [row[name] for row in there])
    for kind in ("run", "script", "shown"):
        before = processor_s(os.getpid())
        page.evaluate(REPEATED, kind)
        print(
            f"by processor time, all of the browser's processes, {kind}: {1e3 * (processor_s(os.getpid()) - before) / 40:.1f} ms"
        )
    print(f"the page: {(tmp_path / 'page.html').stat().st_size / 1e3:.0f} kB")
    benchmark.pedantic(lambda: page.evaluate(MEASURED), rounds=1)
