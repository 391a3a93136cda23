"""Pages of a long run: how hot, where it would settle, how much it moved."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isnan, nan

import numpy as np
from matplotlib.figure import Figure

from sim.endurance import Endured, Key, SetHistory
from sim.measures.tally import CLASS_M
from sim.plots.clock import Clock, Thermometer
from sim.plots.ends import heading, ticks_below
from sim.plots.finding import Finding, brief, sentence
from sim.plots.lettering import clean, shortened, width_in
from sim.plots.levels import Level, levels
from sim.plots.logarithmic import ByTens
from sim.plots.page import LEFT, LINE, RIGHT, SMALL, TICK, TICK_LINE, WIDTH, Page, page
from sim.plots.panel import Panel
from sim.plots.scale import Scale
from sim.plots.style import INK, SOFT, drawing
from sim.report.endured import History
from sim.runs.track import Drive
from sim.units import show

TEMPERATURES, FORCES, BAR, COUNTS = 1.9, 1.2, 0.26, 2.2  # in, heights


@dataclass(frozen=True)
class Side:
    """Set-ups through a track, with their histories."""

    runs: Mapping[str, Endured]
    histories: Mapping[str, History]


def heat_page(side: Side) -> Figure:
    """Return the page of temperatures and force left through the track."""
    with drawing():
        subtitle = (
            "Oil of the hottest damper of each axle, and how much of its force is left, against that on its sheet. Dampers "
            "without a tube in the file are not shown."
        )
        made = page(side, _title(side), subtitle)
        run = next(iter(side.runs.values())).run
        history = max(side.histories.values(), key=lambda h: float(h.time_s[-1]))
        x = Clock(0.0, float(history.time_s[-1]), "time", 10, history.time_s, history.distance_m)
        panel = None
        for axle in ("front", "rear"):
            chosen = {name: _hottest(run_, axle) for name, run_ in side.runs.items()}
            if any(key is not None for key in chosen.values()):
                if panel is None:
                    _stages(made, run, x)
                panel = _temperatures(made, side, axle, chosen, x)
                panel = _forces(made, side, axle, chosen, x)
        if panel is None:
            made.paragraph(
                "No damper of these set-ups has a tube: give it one, e.g. front.dampers.main.tube.", bold=True
            )
        else:
            made.bottom -= 0.15
            ticks_below(made, panel, "Time, and distance driven", rows=3)
        return made.figure()


def _title(side: Side) -> str:
    """Tell of the axle at which the set-ups differ most."""
    found = [(_spread(finding), finding) for finding in (_hottest_oil(side, axle) for axle in ("front", "rear"))]
    return sentence(side, max(found, key=lambda f: f[0])[1], "No damper has a tube whose heat is known")


def _hottest_oil(side: Side, axle: str) -> Finding:
    def of(value: float) -> str:
        return brief(value, "temperature", (0, 0))

    values = {}
    for name, run in side.runs.items():
        key = _hottest(run, axle)
        values[name] = run.sets[key].hottest if key is not None else nan
    return Finding(values, "less", lambda v: f"the {axle} dampers’ oil reaches {of(v)}", of)


def _spread(finding: Finding) -> float:
    known = [value for value in finding.values.values() if not isnan(value)]
    return max(known) - min(known) if known else -1.0


def _known(run: Endured) -> Iterator[SetHistory]:
    return (history for history in run.sets.values() if not isnan(history.hottest))


def _hottest(run: Endured, axle: str) -> Key | None:
    keys = [key for key, history in run.sets.items() if key[0] == axle and not isnan(history.hottest)]
    return max(keys, key=lambda key: run.sets[key].hottest, default=None)


def _stages(made: Page, run: "object", x: Clock) -> None:
    """Name the stages above the first panel, as far as there is room."""
    at = 0.0
    right = WIDTH - RIGHT
    for stage in run.stages:  # type: ignore[attr-defined]
        begins = LEFT + at / x.high * (right - LEFT)
        at += stage.seconds
        room = LEFT + min(at / x.high, 1.0) * (right - LEFT) - begins - 0.05
        words = (
            f"{stage.speed * 3.6:.0f} km/h ({stage.speed / 0.44704:.0f} mph)" if isinstance(stage, Drive) else "parked"
        )
        if width_in(words, TICK) > room and isinstance(stage, Drive):
            words = f"{stage.speed * 3.6:.0f} km/h"
        if width_in(words, TICK) <= room:
            made.text(begins + 0.03, made.bottom + TICK_LINE / 2, words, TICK, colour=SOFT)
    made.bottom += TICK_LINE + 0.04


def _marked(panel: Panel, side: Side) -> None:
    run = next(iter(side.runs.values())).run
    at = 0.0
    for stage in run.stages[:-1]:
        at += stage.seconds
        panel.upright(at, linestyle=(0, (2.0, 2.0)))


def _temperatures(made: Page, side: Side, axle: str, chosen: Mapping[str, Key | None], x: Clock) -> Panel:
    lines = {name: side.histories[name].oil[key] for name, key in chosen.items() if key is not None}
    limits = [_limit(side.runs[name], key) for name, key in chosen.items()]
    known = [limit for limit in limits if limit is not None]
    low = min(float(np.min(line)) for line in lines.values())
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
    margin = 0.06 * max(high - min(low, 0.9), 0.1)
    panel = made.panel(FORCES, x, Scale(min(low, 0.9) - margin, max(high, 1.0) + margin, "percent", 4))
    for name, line in lines.items():
        panel.trace(side.histories[name].time_s, line, made.looks[name])
    levels(made, panel, [Level("as on the sheet", [1.0] * len(lines), (6.0, 2.0))], same=0.01)
    _marked(panel, side)
    made.bottom += 0.2
    return panel


def settled_page(side: Side) -> Figure:
    """Return the page of hottest and settled temperatures, a bar for each set of each set-up."""
    with drawing():
        subtitle = (
            "Bars: from the coldest to the hottest oil on this track. Diamonds: where the oil would stay if the last drive never "
            "ended, with the force then left. Upright dashes: the hot limit of each damper."
        )
        made = page(side, _settled_title(side), subtitle)
        sets = [
            (name, key, s) for name, run in side.runs.items() for key, s in run.sets.items() if not isnan(s.hottest)
        ]
        if not sets:
            made.paragraph("No damper of these set-ups has a tube.", bold=True)
            return made.figure()
        ends = [v for _, _, s in sets for v in (s.coldest, s.hottest, s.settled, _limit_of(s)) if not isnan(v)]
        margin = 0.05 * (max(ends) - min(ends))
        x = Thermometer(min(ends) - margin, max(ends) + margin, "temperature", 7)
        panel = None
        for axle in ("front", "rear"):
            of_axle = [entry for entry in sets if entry[1][0] == axle]
            if of_axle:
                panel = _bars(made, axle, of_axle, x)
                made.bottom += 0.12
        assert panel is not None
        made.bottom -= 0.12
        ticks_below(made, panel, "Temperature of the oil")
        return made.figure()


def _settled_title(side: Side) -> str:
    found = {name: min((s.margin for s in _known(run)), default=nan) for name, run in side.runs.items()}

    def short(kelvin: float) -> str:
        return f"{abs(kelvin):.0f} K {'below' if kelvin >= 0.0 else 'above'} it"

    return sentence(
        side,
        Finding(
            found, "more", lambda v: f"the oil stays {abs(v):.0f} K {'below' if v >= 0.0 else 'above'} its limit", short
        ),
        "No damper has a tube whose heat is known",
    )


def _limit_of(history: SetHistory) -> float:
    return history.damper.tube.hot_limit if history.damper.tube is not None else nan


BARS_LEFT, BARS_RIGHT = 0.85, WIDTH - 3.0


def _bars(made: Page, axle: str, sets: list[tuple[str, Key, SetHistory]], x: Thermometer) -> Panel:
    made.text(BARS_LEFT, made.bottom + LINE / 2, f"{axle.capitalize()} dampers", SMALL, bold=True)
    made.text(BARS_RIGHT + 0.1, made.bottom + LINE / 2, "would settle at, with force left", TICK, colour=SOFT)
    made.bottom += LINE + 0.03
    count = len(sets)
    panel = made.bare_panel(BAR * count, x, Scale(-count, 0.0, "number", 1), BARS_LEFT, BARS_RIGHT)
    several = len({key for _, key, _ in sets}) > 1
    for row, (name, key, history) in enumerate(sets):
        look, middle = made.looks[name], -row - 0.5
        panel.bars(
            np.array([[history.coldest, history.hottest, middle - 0.28, middle + 0.28]]), color=look.colour, zorder=2
        )
        limit = _limit_of(history)
        ends = np.array([limit, limit]), np.array([middle - 0.5, middle + 0.5])
        panel.line(*ends, color="white", linewidth=3.2, zorder=3)
        panel.line(*ends, color=INK, linestyle=(0, (3.0, 1.5)), linewidth=1.3, zorder=4)
        y = panel.top + BAR * (row + 0.5)
        made.text(
            BARS_LEFT - 0.08,
            y,
            f"{look.number}" + (f" {shortened(clean(key[1]), 0.5, TICK)}" if several else ""),
            SMALL,
            ha="right",
        )
        if not isnan(history.settled):
            panel.line(
                np.array([history.settled]), np.array([middle]), linestyle="none", marker="D", markersize=7.0,
                markerfacecolor="white", markeredgecolor=INK, markeredgewidth=1.3, zorder=5,
            )  # fmt: skip
            short = history.settled - limit
            verdict = "too hot" if short > 0.0 else "below the limit"
            text = f"{show(history.settled, 'temperature')}, {100 * history.settled_force:.0f} %, {abs(short):.0f} K {verdict}"
            made.text(BARS_RIGHT + 0.1, y, text, TICK)
    return panel


def travel_page(side: Side) -> Figure:
    """Return the page of travel counts: how often each axle moved at least so far."""
    with drawing():
        subtitle = (
            "Cycles of axle travel by rainflow counting (ASTM E1049), for each kilometre driven: how often the axle went at least so "
            "far up and down again. Springs, bushes and seals wear by it."
        )
        made = page(side, _travel_title(side), subtitle)
        curves = {
            axle: {name: exceeded(run, axle, _driven(side, name)) for name, run in side.runs.items()}
            for axle in ("front", "rear")
        }
        every = [c for by in curves.values() for c in by.values() if c[0].size]
        if not every:
            made.paragraph("Nothing moved on this track: it has no drive.", bold=True)
            return made.figure()
        widest = max(float(c[0][-1]) for c in every)
        most = max(float(c[1].max()) for c in every)
        least = min(float(c[1].min()) for c in every)
        y = ByTens(np.floor(np.log10(least)), np.ceil(np.log10(most)), "number")
        panel = None
        for axle, by in curves.items():
            said = f"{axle.capitalize()} axle: cycles a kilometre of at least this travel"
            made.text(LEFT, made.bottom + LINE / 2, said, bold=True)
            made.bottom += LINE + 0.03
            panel = made.panel(COUNTS, Scale(0.0, widest * 1.03, "length", 8), y)
            for name, (size, count) in by.items():
                if size.size:
                    panel.line(size, np.log10(count), **made.looks[name].line, drawstyle="steps-pre", zorder=3)
            made.bottom += 0.15
        assert panel is not None
        made.bottom -= 0.15
        ticks_below(made, panel, "Travel from trough to crest")
        return made.figure()


def _driven(side: Side, name: str) -> float:
    return float(side.histories[name].distance_m[-1]) / 1e3


def exceeded(run: Endured, axle: str, kilometres: float) -> tuple[np.ndarray, np.ndarray]:
    """Return travels (n,) [m] and how often a kilometre each was reached or passed."""
    counts = run.counts.get(axle, {})
    if not counts or kilometres <= 0.0:
        return np.zeros(0), np.zeros(0)
    last = max(counts)
    per = np.array([counts.get(number, 0.0) for number in range(last + 1)])
    return CLASS_M * np.arange(last + 1), np.cumsum(per[::-1])[::-1] / kilometres


def _travel_title(side: Side) -> str:
    found = {}
    for name, run in side.runs.items():
        large = [
            c for axle in ("front", "rear") for n, c in run.counts.get(axle, {}).items() if n * CLASS_M >= 0.02 - 1e-9
        ]
        driven = _driven(side, name)
        found[name] = sum(large) / driven if driven > 0.0 else nan

    def of(value: float) -> str:
        return f"{value:.0f}"

    return sentence(
        side,
        Finding(found, "less", lambda v: f"the axles move 20 mm (0.8 in) or more {of(v)} times a kilometre", of),
        "The axles of no set-up moved",
    )
