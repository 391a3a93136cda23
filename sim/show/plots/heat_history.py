"""Plot of a long run: temperatures of the dampers and the force that is left, through the track."""

from collections.abc import Mapping
from math import isnan, nan

import numpy as np
from matplotlib.figure import Figure

from sim.describe.shown import show_short
from sim.show.plots.clock import Clock, Thermometer
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, sentence
from sim.show.plots.lettering import width_in
from sim.show.plots.levels import Level, levels
from sim.show.plots.page import LEFT, RIGHT, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.panel import Panel
from sim.show.plots.scale import Scale
from sim.show.plots.side_by_track import GIVE_A_TUBE, LEFT_OF_ITS_FORCE, NO_TUBE, Side
from sim.show.plots.style import SOFT, drawing
from sim.study.endurance.history import Endured, Key

TEMPERATURES, FORCES = 1.9, 1.2  # in, heights


def figure(side: Side) -> Figure:
    """Return the page of temperatures and force left through the track."""
    with drawing():
        subtitle = (
            "Oil of the hottest damper of each axle, and how much of its force is left, against that on its sheet. Dampers "
            "without a tube in the file are not shown."
        )
        sheet = page(side, title(side), subtitle)
        run = next(iter(side.runs.values())).run
        # The longest run sets the clock: one that broke off ends short of the picture's edge.
        history = max(side.histories.values(), key=lambda h: float(h.time_s[-1]))
        x = Clock(0.0, float(history.time_s[-1]), "time", 10, history.time_s, history.distance_m)
        panel = None
        for axle in ("front", "rear"):
            chosen = {name: _hottest(run_, axle) for name, run_ in side.runs.items()}
            # An axle without tubes in the file has no heat to show.
            if any(key is not None for key in chosen.values()):
                # The stages stand once, above the first panel; dashes carry them down into the others.
                if panel is None:
                    _stages(sheet, run, x)
                panel = _temperatures(sheet, side, axle, chosen, x)
                panel = _forces(sheet, side, axle, chosen, x)
        if panel is None:
            sheet.paragraph(f"{GIVE_A_TUBE[0].upper()}{GIVE_A_TUBE[1:]}.", bold=True)
        else:
            # Takes back part of the room that a panel leaves for the next one: only ticks follow.
            sheet.bottom -= 0.15
            ticks_below(sheet, panel, "Time, and distance driven", rows=3)
        return sheet.figure()


def title(side: Side) -> str:
    """Tell of the axle that more of the set-ups change, else of the one at which they differ most."""
    runs = list(side.runs.values())
    found = []
    for axle in ("front", "rear"):
        finding = _hottest_oil(side, axle)
        changed = sum(getattr(run.vehicle, axle) != getattr(runs[0].vehicle, axle) for run in runs)
        # What the question is about goes first; an axle without a known heat last.
        found.append((any(not isnan(v) for v in finding.values.values()), changed, _spread(finding), finding))
    return sentence(side, max(found, key=lambda f: f[:3])[3], NO_TUBE)


def _hottest_oil(side: Side, axle: str) -> Finding:
    def of(value: float) -> str:
        return show_short(value, "temperature", (0, 0))

    values = {}
    for name, run in side.runs.items():
        key = _hottest(run, axle)
        values[name] = run.sets[key].hottest if key is not None else nan
    return Finding(values, "less", lambda v: f"the {axle} dampers’ oil reaches {of(v)}", of, "temperature")


def fade(side: Side) -> str:
    """Return how much of the force on its sheet the damper that fades most has left when it is hottest; empty where no heat is known."""
    left = {
        name: min((s.least_force for s in run.sets.values() if not isnan(s.hottest)), default=nan)
        for name, run in side.runs.items()
    }
    if all(isnan(share) for share in left.values()):
        return ""

    def short(share: float) -> str:
        return f"{100 * share:.0f} %"

    return sentence(
        side, Finding(left, "more", lambda v: f"the damper that fades most has {short(v)} {LEFT_OF_ITS_FORCE}", short), ""
    )  # fmt: skip


def _spread(finding: Finding) -> float:
    known = [value for value in finding.values.values() if not isnan(value)]
    return max(known) - min(known) if known else -1.0


def _hottest(run: Endured, axle: str) -> Key | None:
    # A set without a tube has no temperature: nan would win or lose any comparison by chance.
    keys = [key for key, history in run.sets.items() if key[0] == axle and not isnan(history.hottest)]
    return max(keys, key=lambda key: run.sets[key].hottest, default=None)


def _stages(made: Page, run: "object", x: Clock) -> None:
    """Name the stages above the first panel, as far as there is room."""
    at = 0.0
    right = WIDTH - RIGHT
    for stage in run.stages:  # type: ignore[attr-defined]
        begins = LEFT + at / x.high * (right - LEFT)
        at += stage.seconds
        # A stage that goes on past the end of the histories has only what is in the picture.
        room = LEFT + min(at / x.high, 1.0) * (right - LEFT) - begins - 0.05
        words = show_short(stage.speed, "road_speed", (0, 0)) if stage.course is not None else "parked"
        # In a short stage the metric speed alone, then nothing: a cut number would be a wrong one.
        if width_in(words, TICK) > room and stage.course is not None:
            words = show_short(stage.speed, "road_speed", (0, 0)).partition(" (")[0]
        if width_in(words, TICK) <= room:
            made.text(begins + 0.03, made.bottom + TICK_LINE / 2, words, TICK, colour=SOFT)
    made.bottom += TICK_LINE + 0.04


def _marked(panel: Panel, side: Side) -> None:
    run = next(iter(side.runs.values())).run
    at = 0.0
    # The end of the last stage is the panel's own edge.
    for stage in run.stages[:-1]:
        at += stage.seconds
        panel.upright(at, linestyle=(0, (2.0, 2.0)))


def _temperatures(made: Page, side: Side, axle: str, chosen: Mapping[str, Key | None], x: Clock) -> Panel:
    lines = {name: side.histories[name].oil[key] for name, key in chosen.items() if key is not None}
    limits = [_limit(side.runs[name], key) for name, key in chosen.items()]
    known = [limit for limit in limits if limit is not None]
    low = min(float(np.min(line)) for line in lines.values())
    # The limit is always in sight: how far away it is, is the question.
    high = max([*(float(np.max(line)) for line in lines.values()), *known])
    heading(made, f"Oil of the {axle} dampers", "temperature", LEFT, WIDTH - RIGHT)
    margin = 0.06 * (high - low)
    panel = made.panel(TEMPERATURES, x, Thermometer(low - margin, high + margin, "temperature", 5))
    for name, line in lines.items():
        panel.trace(side.histories[name].time_s, line, made.looks[name])
    levels(made, panel, [Level("hot limit", limits, (6.0, 2.0))], same=0.5)
    _marked(panel, side)
    made.bottom += 0.1
    return panel


def _limit(run: Endured, key: Key | None) -> float | None:
    tube = run.sets[key].damper.tube if key is not None else None
    return tube.hot_limit if tube is not None else None


def _forces(made: Page, side: Side, axle: str, chosen: Mapping[str, Key | None], x: Clock) -> Panel:
    lines = {name: side.histories[name].force_share[key] for name, key in chosen.items() if key is not None}
    low, high = min(float(np.min(v)) for v in lines.values()), max(float(np.max(v)) for v in lines.values())
    heading(made, f"Force left in the {axle} dampers", "percent", LEFT, WIDTH - RIGHT)
    # Down to 90 % at least: a loss of 1 % of force is not to fill the panel.
    margin = 0.06 * max(high - min(low, 0.9), 0.1)
    panel = made.panel(FORCES, x, Scale(min(low, 0.9) - margin, max(high, 1.0) + margin, "percent", 4))
    for name, line in lines.items():
        panel.trace(side.histories[name].time_s, line, made.looks[name])
    levels(made, panel, [Level("as on the sheet", [1.0] * len(lines), (6.0, 2.0))], same=0.01)
    _marked(panel, side)
    made.bottom += 0.2
    return panel
