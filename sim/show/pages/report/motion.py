"""The truck in motion: set-ups over the same road, and the figures that stand beside them."""

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import SHOWN, show
from sim.integrate.result import Run
from sim.show.looks import Look
from sim.show.pages.placing import PlacedAxle, placed
from sim.show.pages.report.parts import Motion
from sim.show.pages.scene import FRAME_S, Scene, encoded, frames, road, scene, standing_frame

MOST_FRAMES = 9000
"""Of all set-ups together: some 0.6 MB in the page."""

COARSER_S = 16e-3
"""Time between frames [s] where they would else be too many: an axle that hops at 12 Hz still has five in each hop."""

WIND_UP_TIMES = (1, 2, 5, 10)
"""By how much wind-up may be drawn enlarged."""

MOST_DRAWN_RAD = np.radians(25.0)
"""To which wind-up is enlarged unasked where a truck pulls away or stops: seen at once, and the axle still looks like one."""

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
            {
                "name": name,
                "look": look,
                "rows": _rows(drawn, run.drive is not None),
                "shown": name in first,
                "flagged": bool(run.flags),
            }
        )
        data.append({"name": name, "scene": drawn, "frames": encoded(moving)})
    note = NOTE
    if cut:
        note += f" Of this run the first {most * step:.0f} s are shown."
    times = _enlarged(runs.values())
    if times > 1:
        note += f" Wind-up is drawn {times} times as large until another size is chosen; its figures and all lengths are the true ones."
    # One road under all: they differ in their tyres' size at most, and that is not the road's.
    ground = road(next(iter(runs.values())))
    if climb := ground["climb_rad"]:
        sense = "uphill" if climb > 0.0 else "downhill"
        note += (
            f" The hill is drawn as steep as it is, {np.degrees(abs(climb)):.1f} deg ({100.0 * np.tan(abs(climb)):.0f} %) {sense}; the dashed "
            "line is level. Heights and pitch in the plots are against the slope."
        )
    return Motion("The truck in motion", setups, _data(data, encoded(ground)), note, WIND_UP_TIMES, times)


def _enlarged(runs: Iterable[Run]) -> int:
    """Return by how much wind-up is drawn enlarged until somebody chooses: 1 but where trucks pull away or stop."""
    driven = [run for run in runs if run.drive is not None]
    most = max((float(np.nanmax(np.abs(axle.wind_up_rad))) for run in driven for _, axle in run.axles), default=np.inf)
    return max(times for times in WIND_UP_TIMES if times == 1 or times * most <= MOST_DRAWN_RAD)


STANDING = "Each set-up as it stands on level ground, to scale. "


def standing(vehicles: Mapping[str, Vehicle], looks: Mapping[str, Look]) -> Motion:
    """Return trucks that stand still, by set-up: the first two are shown, the others can be asked for.

    Raises
    ------
    RunError
        If one cannot stand.
    """
    setups: list[dict[str, Any]] = []
    data = []
    for name, vehicle in vehicles.items():
        drawn = scene(vehicle, name)
        still = {key: np.array([value], dtype=np.float32) for key, value in standing_frame(drawn).items()}
        shown = len(setups) < 2
        setups.append({"name": name, "look": looks[name], "rows": _rows(drawn), "shown": shown, "flagged": False})
        data.append({"name": name, "scene": drawn, "frames": encoded({"step_s": FRAME_S, "channels": still})})
    return Motion("The truck in side view", setups, _data(data, LEVEL), STANDING + NOTE)


LEVEL = {"from_m": 0.0, "step_m": 1.0, "height_m": [0.0, 0.0], "climb_rad": 0.0}


def _data(setups: list[dict[str, Any]], ground: Any) -> dict[str, Any]:
    units = setups[0]["scene"]["units"] | {"distance": [list(row) for row in SHOWN["distance"]]}
    return {"setups": setups, "road": ground, "units": units}


def _rows(drawn: Scene, driven: bool = False) -> list[dict[str, Any]]:
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
        straps = {name: _slack(axle) for name, axle in at_rest.items()}
        rows.append({"label": "slack of limit strap", "kind": "strap", "line": "strap", "values": straps})
    if driven:
        wound = {name: show(axle["rest"]["wind_up_rad"], "angle") for name, axle in drawn["axles"].items()}
        rows.append({"label": "wind-up, pinion up", "kind": "wind_up", "line": "", "values": wound})
    return rows


def _slack(axle: PlacedAxle) -> str:
    """Return the slack of an axle's limit strap, in words."""
    for own in axle.lines:
        if own.line["role"] == "strap" and own.left_out_m is not None:
            return show(float(own.left_out_m), "length")
    return "none"
