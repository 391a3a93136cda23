"""The simulator in a report: its set-ups run again in the reader's browser, with other forces, counts, loads and speeds."""

import base64
import zlib
from collections.abc import Callable, Mapping

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import SHOWN
from sim.integrate.result import Run
from sim.show.looks import Look
from sim.show.pages.report.parts import Simulator
from sim.show.pages.report.static import STATIC
from sim.show.pages.simulator.choices import MOST_FACTOR, simulator

SHOWS = ("length", "force", "speed", "angle", "acceleration", "distance")
"""Quantities that the section writes."""

LEAVES_OUT = (
    "Each run here is made once, at the step that it needs. The results of this page were run at a half and at a quarter of it, which "
    "shows their numerical error, with shorter steps over edges, stops and knees. Curves here lie a little apart from those pictures.",
    "Only the shape of the run is drawn: figures, verdict, what a person notices and what lies too close to call are not worked out anew.",
    "Flags are not looked for, but for a run that blows up: whether a damper meets its end or a stop goes flat is to be seen at the truck, "
    "and whether one draws gas bubbles into its oil not at all.",
    "Dampers stay as warm as their file has them. What heat does in hours of track is a run of its own: jounce endure.",
    f"Sliders multiply a damper's force between 0 and {MOST_FACTOR:g} times what the set-up has. Its gas, its friction, its lengths and mounts "
    "stay; so do springs, stops, straps, tyres and guides. A count brings the mass and the gas of its dampers along.",
)
"""What is not as in the rest of the report, said in the page."""


def packed(setups: Mapping[str, Vehicle], run: AnyRun) -> str | None:
    """Return what a page needs to run set-ups again by itself; None where it cannot, or has no room for it."""
    return simulator(setups, run)


def simulated(
    runs: Mapping[str, Run], looks: Mapping[str, Look], meanwhile: Callable[[], str | None] | None = None
) -> Simulator | None:
    """Return the section; None where a page cannot run it: hours of track, or more than a page has room for.

    Parameters
    ----------
    runs : mapping of str to Run
        By set-up.
    looks : mapping of str to Look
        How each is drawn in the plots.
    meanwhile : callable, optional
        Returns what `packed` does of their vehicles and their run, where somebody has done it meanwhile.
    """
    first = next(iter(runs.values()))
    text = packed({name: run.vehicle for name, run in runs.items()}, first.run) if meanwhile is None else meanwhile()
    if text is None:
        return None
    code = base64.b64encode(zlib.compress((STATIC / "kernel.wasm").read_bytes(), 9)).decode("ascii")
    setups = [{"name": name, "look": looks[name]} for name in runs]
    data = {
        "kernel": code, "packed": text, "names": list(runs),
        "looks": [{"colour": looks[name].colour, "dash": looks[name].dash} for name in runs],
        "units": {quantity: [list(row) for row in SHOWN[quantity]] for quantity in SHOWS},
    }  # fmt: skip
    return Simulator("Try other settings", setups, data, LEAVES_OUT)
