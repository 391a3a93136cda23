"""From a slider of the page to its picture: four set-ups over 10 s of course, in the system's browser; not part of the tests.

python -m pytest tests/benchmarks/test_local_page_speed.py --benchmark-only -n 0 -s

Beside it, in the same run: what the server alone takes for the same messages, and of each move the processor time of the server and of the
page's main thread, which other work on the machine moves less than the clock. A picture counts as drawn when the browser has painted the
frame after its last plot and truck were laid out. Meant: 50 ms at the median and 100 ms at the 95th of a hundred, on two idle cores
with no graphics processor.
"""

import json
import os
import time
from itertools import count
from pathlib import Path

import numpy as np

from sim.describe.files.reader import read
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.trials import Trials
from tests.browser.conftest import browser, opened  # noqa: F401  the same browser as in its tests
from tests.browser.serving import copied, served

MOVES = 60
NAMES = ("as it is", "softer", "stiffer", "four")
SLOPE = "front.dampers.main.valving.rebound.low"
COURSE, SPEED = "Washboard, hump and dip", 30.0
"""With this speed the course takes 10 s."""

MOVE = """async ([what, value]) => {
  const slide = document.querySelector(what);
  const begun = performance.now();
  slide.value = value;
  slide.dispatchEvent(new Event("input", { bubbles: true }));
  const asked = window.lastAsked.run;
  await new Promise((done) => {
    const seen = new MutationObserver(() => {
      if (Number(document.body.dataset.drawn) < asked) return;
      seen.disconnect();
      requestAnimationFrame(() => setTimeout(done));
    });
    seen.observe(document.body, { attributes: true, attributeFilter: ["data-drawn"] });
  });
  return performance.now() - begun;
}"""


def processor_ms(process):
    """Return the processor time that a process has taken so far [ms]; nan where the system does not say it so."""
    path = Path(f"/proc/{process.pid}/stat")
    if not path.exists():
        return float("nan")
    user, system = path.read_text(encoding="ascii").rpartition(")")[2].split()[11:13]
    return 1e3 * (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


def main_thread_ms(session):
    """Return the processor time that tasks of the page's main thread have taken so far [ms]."""
    metrics = {row["name"]: row["value"] for row in session.send("Performance.getMetrics")["metrics"]}
    return 1e3 * metrics["TaskDuration"]


def said(name, times):
    ms = np.array(times)
    print(
        f"{name}: least {ms.min():.0f} ms, median {np.median(ms):.0f}, 95th of a hundred {np.percentile(ms, 95):.0f}, most {ms.max():.0f}"
    )


def test_slider_to_picture(benchmark, child, tmp_path, opened):  # noqa: F811
    truck = copied(tmp_path)
    scenario = {
        "kind": "scenario", "name": "four", "vehicle": "vehicles/hut_supply_truck.yaml",
        "run": {"kind": "course", "course": "courses/hut_track.yaml", "speed": f"{SPEED} km/h"},
        "setups": {name: {SLOPE: f"{4 + n} kN s/m"} for n, name in enumerate(NAMES)},
    }  # fmt: skip
    (tmp_path / "four.yaml").write_text(json.dumps(scenario), encoding="utf-8")
    address, server = served(child, tmp_path, tmp_path / "four.yaml")
    page = opened(address, width=1400)
    page.wait_for_selector("#measures tbody tr")
    page.locator("#course").select_option(COURSE)
    page.wait_for_timeout(1500)
    session = page.context.new_cdp_session(page)
    session.send("Performance.enable", {"timeDomain": "threadTicks"})
    duration = page.evaluate("Number(document.querySelector('#clock').dataset.lasts)")
    print(f"\n{len(NAMES)} set-ups, {duration:.1f} s")
    slide = '.card:nth-child(2) .change input[type="range"]'
    for name, what, values in (
        ("a slope of one set-up", slide, np.linspace(3.0, 12.0, MOVES)),
        ("the speed, so all set-ups and the road", "#speed-slide", [20 + n for n in range(MOVES)]),
    ):
        page.evaluate(MOVE, [what, float(values[3])])
        before = processor_ms(server), main_thread_ms(session)
        said(f"slider to picture, {name}", [page.evaluate(MOVE, [what, float(value)]) for value in values])
        took = (processor_ms(server) - before[0], main_thread_ms(session) - before[1])
        print(
            f"    processor time a move: server {took[0] / MOVES:.1f} ms, main thread of the page {took[1] / MOVES:.1f} ms"
        )
    assert page.complaints == []
    trials, document, number = Trials(Courses(truck.parent)), read(truck), count()

    def asked(**more):
        # As the page does: it has all set-ups but the one that moves.
        rows = [{"name": name, "changes": {SLOPE: f"{4 + n} kN s/m"}} for n, name in enumerate(NAMES)]
        rows[1]["changes"] = {SLOPE: f"{3 + 0.1 * next(number):.4g} kN s/m"}
        return {"course": COURSE, "speed": f"{SPEED} km/h", "load": "", "setups": rows, "have": had, **more}

    had = []
    first = trials.run(document, "a", asked())
    whole = json.loads(first[4 : 4 + int.from_bytes(first[:4], "little")])
    had = [one["id"] for one in (*whole["setups"], whole["road"])]
    times = []
    for _ in range(MOVES):
        begun = time.perf_counter()
        frame = trials.run(document, "a", asked())
        times.append(1e3 * (time.perf_counter() - begun))
    said(f"the server alone, a slope of one set-up, {len(frame) / 1e3:.0f} kB", times)
    times = []
    for n in range(MOVES):
        begun = time.perf_counter()
        trials.run(document, "a", asked(speed=f"{28 + 0.1 * n:.4g} km/h"))
        times.append(1e3 * (time.perf_counter() - begun))
    said("the server alone, the speed", times)
    benchmark.pedantic(lambda: trials.run(document, "a", asked()), rounds=1)
