"""Plot: how much of its travel each axle uses, and how it meets its stops and straps."""

from collections.abc import Callable
from math import isnan

from matplotlib.figure import Figure

from sim.describe.shown import show, show_short
from sim.integrate.traces import AxleTrace
from sim.measure.comparison import Comparison
from sim.measure.verdict import verdict
from sim.show.plots.across import over_time
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, asked, named, sentence, values
from sim.show.plots.levels import NEAR, Level, levels
from sim.show.plots.page import LEFT, RIGHT, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import drawing
from sim.show.report.naming import listed

NAME = "axle_travel"

PANEL = 2.3
# From the top of the panel down, as metal meets metal: jounce is drawn upward.
LEVELS: tuple[tuple[str, Callable[[AxleTrace], float | None], tuple[float, ...]], ...] = (
    ("stop flat", lambda axle: axle.jounce_full_m, (1.0, 1.5)),
    ("stop met", lambda axle: axle.jounce_at_stop_m, (5.0, 2.0)),
    ("rest", lambda axle: axle.jounce_rest_m, ()),
    ("strap taut", lambda axle: axle.jounce_at_strap_m, (5.0, 2.0)),
)
"""Lines across a panel: what they say, where they are, their dash pattern."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: jounce of each axle against time, with its limits."""
    with drawing():
        subtitle = (
            "Travel of the axle from the measured ride height, bump up, droop down. "
            "Lines: rest, bump stop and limit strap; numbers in brackets say for which set-ups."
        )
        sheet = page(comparison, _title(comparison), subtitle)
        for axle in ("front", "rear"):
            _panel(sheet, comparison, axle)
        return sheet.figure()


def _panel(made: Page, comparison: Comparison, axle: str) -> None:
    traces = {setup: dict(run.axles)[axle] for setup, run in comparison.runs.items()}
    x = over_time(comparison)
    # The scale reaches to stop and strap even if they are not met: room that is left is the finding.
    limits = [at for _, of, _ in LEVELS for at in map(of, traces.values()) if at is not None]
    scale = scale_of([t.jounce_m for t in traces.values()], "length", include=limits)
    heading(made, f"{axle.capitalize()} axle: travel", "length", LEFT, WIDTH - RIGHT)
    panel = made.panel(PANEL, x.scale, scale)
    for setup, trace in traces.items():
        # Thinned: a history has far more samples than the page has dots, and no peak is lost.
        panel.trace(x.values[setup], trace.jounce_m, made.looks[setup])
    kinds = [Level(text, [*map(of, traces.values())], dash) for text, of, dash in LEVELS]
    levels(made, panel, kinds, NEAR * panel.y.span)
    # Both panels have the same x, so its ticks stand once, under the lower one.
    if axle == "rear":
        ticks_below(made, panel, x.label)
    made.bottom += 0.12


def _title(comparison: Comparison) -> str:
    # Metal on metal comes first; where nobody bottoms, the room that is left; without stops, the travel used.
    if flat := _flat(comparison):
        return flat
    hits = [_hits(comparison, axle) for axle in ("front", "rear")]
    most = asked(comparison, *hits)
    if any(value > 0.0 for value in most.values.values()):
        return sentence(comparison, most, "")
    left = asked(comparison, _left(comparison, "front"), _left(comparison, "rear"))
    used = asked(comparison, _used(comparison, "front"), _used(comparison, "rear"))
    fallback = sentence(comparison, used, "No run has axle travel to show")
    return sentence(comparison, left, fallback)


def _flat(comparison: Comparison) -> str:
    """Return who squeezes its bump stops flat, where others do not: a count of hits does not tell these apart."""
    parts = {setup: [f.part for f in run.flags if f.kind == "stop_full"] for setup, run in comparison.runs.items()}
    who, others = ([setup for setup, each in parts.items() if bool(each) is flat] for flat in (True, False))
    if not who or not others:
        return ""
    which = listed(list(dict.fromkeys(part for setup in who for part in parts[setup])))
    found = verdict(comparison)
    near = [setup for setup in others if setup in found.others and not isnan(found.others[setup].short_of_m)]
    free = [setup for setup in others if setup not in near]
    rest = (
        [f"{listed([named(comparison, one, flagged=False) for one in free])} do{'es' if len(free) == 1 else ''} not"]
        if free
        else []
    )
    rest += [
        f"{named(comparison, one, flagged=False)} is {show_short(found.others[one].short_of_m, 'length', (1, 3))} short of that"
        for one in near
    ]
    whole = listed([named(comparison, setup, flagged=False) for setup in who])
    return f"{whole} squeeze{'s' if len(who) == 1 else ''} {which} flat, metal on metal; {listed(rest)}"


def _hits(comparison: Comparison, axle: str) -> Finding:
    def short(value: float) -> str:
        # People say once and twice; a count of hits comes as a float.
        return {0: "never", 1: "once", 2: "twice"}.get(round(value), f"{value:.0f} times")

    def says(value: float) -> str:
        if value == 0.0:
            return f"the {axle} axle never runs into its bump stops"
        return f"the {axle} axle runs into its bump stops {short(value)}"

    counts = values(comparison, f"{axle}_stop_hits")
    # Never or once is a difference, whatever a count is else worth: one of them meets its stops.
    always = all(value > 0.0 for value in counts.values() if not isnan(value))
    return Finding(counts, "less", says, short, "count" if always else "")


def _left(comparison: Comparison, axle: str) -> Finding:
    def short(value: float) -> str:
        return show(value, "length")

    left = values(comparison, f"{axle}_left_to_stop")
    return Finding(left, "more", lambda v: f"the {axle} axle keeps {short(v)} to its bump stops", short, "length")


def _used(comparison: Comparison, axle: str) -> Finding:
    def short(value: float) -> str:
        return show(value, "length")

    used = values(comparison, f"{axle}_bump_used")
    return Finding(used, "less", lambda v: f"the {axle} axle uses {short(v)} of bump travel", short, "length")
