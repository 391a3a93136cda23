"""The truck in motion: set-ups over the same road, and the figures that stand beside them."""

from collections.abc import Mapping
from typing import Any

from sim.describe.shown import SHOWN, show
from sim.integrate.result import Run
from sim.show.looks import Look
from sim.show.pages.placing import placed
from sim.show.pages.report.parts import Motion
from sim.show.pages.scene import FRAME_S, Scene, encoded, frames, road, scene, standing_frame

MOST_FRAMES = 9000
"""Of all set-ups together: some 0.6 MB in the page."""

COARSER_S = 16e-3
"""Time between frames [s] where they would else be too many: an axle that hops at 12 Hz still has five in each hop."""

WIND_UP_TIMES = (1, 5, 10)
"""By how much wind-up may be drawn enlarged."""

NOTE = (
    "Body, axles, wheels, arms, springs, dampers, straps and stops are where the run has them, to one scale. The outline of the "
    "body is drawn around them and is no measure; nor are the bow of a leaf pack, the turns of a coil and the height of a stop."
)


def motion(runs: Mapping[str, Run], looks: Mapping[str, Look], first: tuple[str, ...]) -> Motion:
    """Return the section.

    Parameters
    ----------
    runs : mapping of str to Run
        By set-up.
    looks : mapping of str to Look
        How each is drawn in the plots.
    first : tuple of str
        Set-ups that are shown from the start.
    """
    longest = max(run.time_s.size and float(run.time_s[-1]) for run in runs.values())
    step = FRAME_S if len(runs) * longest / FRAME_S <= MOST_FRAMES else COARSER_S
    most = MOST_FRAMES // len(runs)
    setups, data = [], []
    cut = False
    for name, run in runs.items():
        drawn, moving = scene(run.vehicle, name), frames(run, step)
        cut |= len(moving["channels"]["distance_m"]) > most
        moving["channels"] = {key: values[:most] for key, values in moving["channels"].items()}
        look = looks[name]
        setups.append(
            {"name": name, "look": look, "rows": _rows(drawn), "shown": name in first, "flagged": bool(run.flags)}
        )
        data.append({"name": name, "scene": drawn, "frames": encoded(moving)})
    note = NOTE
    if cut:
        note += f" Of this run the first {most * step:.0f} s are shown."
    # One road under all: they differ in their tyres' size at most, and that is not the road's.
    ground = encoded(road(next(iter(runs.values()))))
    units = next(iter(data))["scene"]["units"] | {"distance": [list(row) for row in SHOWN["distance"]]}
    return Motion("The truck in motion", setups, {"setups": data, "road": ground, "units": units}, note)


def _rows(drawn: Scene) -> list[dict[str, Any]]:
    """Return the figures beside a truck: what each is, and how it stands for both axles; the page writes them anew as it moves."""
    at_rest = placed(drawn, standing_frame(drawn)).axles
    rows: list[dict[str, Any]] = [
        {"label": "tyres", "kind": "tyre", "line": "", "values": {name: "on the ground" for name in at_rest}},
        {
            "label": "gap to bump stop", "kind": "stop", "line": "",
            "values": {n: show(float(a.stop.gap_left_m), "length") if a.stop else "none" for n, a in at_rest.items()},
        },
    ]  # fmt: skip
    names = dict.fromkeys(
        line.line["name"] for axle in at_rest.values() for line in axle.lines if line.line["role"] == "damper"
    )
    for name in names:
        for kind, words in (("left_in_m", "to collapsed"), ("left_out_m", "to extended")):
            values = {}
            for axle, own in at_rest.items():
                line = next((o for o in own.lines if o.line["role"] == "damper" and o.line["name"] == name), None)
                left = None if line is None else getattr(line, kind)
                values[axle] = "–" if left is None else show(float(left), "length")
            rows.append({"label": f"damper “{name}” {words}", "kind": kind, "line": name, "values": values})
    if any(line.line["role"] == "strap" for axle in at_rest.values() for line in axle.lines):
        straps = {name: "none" for name in at_rest}
        for end, placed_axle in at_rest.items():
            for strap in placed_axle.lines:
                if strap.line["role"] == "strap" and strap.left_out_m is not None:
                    straps[end] = show(float(strap.left_out_m), "length")
        rows.append({"label": "slack of limit strap", "kind": "strap", "line": "strap", "values": straps})
    return rows
