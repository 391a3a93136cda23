"""Plot: how the body bounces and pitches, and how it comes to rest."""

from math import isinf, isnan

from matplotlib.figure import Figure

from sim.describe.shown import show, show_enough
from sim.integrate.traces import Array
from sim.measure.comparison import Comparison
from sim.show.plots.across import over_time, released
from sim.show.plots.ends import heading, ticks_below
from sim.show.plots.finding import Finding, sentence, values, wider
from sim.show.plots.page import LEFT, TICK, TICK_LINE, WIDTH, Page, page
from sim.show.plots.scale import scale_of
from sim.show.plots.style import SOFT, drawing

NAME = "bounce_and_pitch"

RIGHT = WIDTH - 0.75
PANEL = 2.1


def figure(comparison: Comparison) -> Figure:
    """Return the page: bounce of the centre of gravity above pitch, against time."""
    with drawing():
        subtitle = "Height of the body's centre of gravity and its pitch, both from where the set-up stood at rest."
        sheet = page(comparison, _title(comparison), subtitle)
        runs = comparison.runs.items()
        # Both from rest, so that set-ups of different ride height can be compared in one panel.
        bounce = {setup: run.bounce_m for setup, run in runs}
        pitch = {setup: run.pitch_nose_up_rad for setup, run in runs}
        _release(sheet, comparison)
        _panel(sheet, comparison, "Bounce at the centre of gravity, up is positive", "length", bounce)
        _panel(sheet, comparison, "Pitch, nose-up is positive", "angle", pitch, last=True)
        return sheet.figure()


def _panel(
    made: Page, comparison: Comparison, text: str, quantity: str, lines: dict[str, Array],
    last: bool = False,
) -> None:  # fmt: skip
    x = over_time(comparison)
    heading(made, text, quantity, LEFT, RIGHT)
    # Zero is where it stood: without it one could not see whether it comes back.
    scale = scale_of(lines.values(), quantity, include=(0.0,))
    panel = made.panel(PANEL, x.scale, scale, right=RIGHT)
    panel.level(0.0)
    # From here the truck is left alone: what swings on is its own damping, not the road.
    free = released(comparison)
    if free is not None:
        panel.upright(free, linestyle=(0, (3.0, 2.0)))
    for setup, line in lines.items():
        panel.trace(x.values[setup], line, made.looks[setup])
    if last:
        ticks_below(made, panel, x.label)
    made.bottom += 0.12


def _release(made: Page, comparison: Comparison) -> None:
    """Say above the panels what the upright line is."""
    free = released(comparison)
    if free is None:
        return
    band = next(iter(comparison.runs.values())).rests_within or {}
    ends = [show_enough(band[name], kind) for name, kind in (("bounce", "length"), ("pitch", "angle")) if name in band]
    stopped = f" Stopped, the same for all: within {' and '.join(ends)} of rest." if ends else ""
    made.text(
        LEFT, made.bottom + TICK_LINE / 2,
        f"Upright line: from {free:.2f} s nothing disturbs the truck any more.{stopped}", TICK, colour=SOFT,
    )  # fmt: skip
    made.bottom += TICK_LINE + 0.04


def _title(comparison: Comparison) -> str:
    settled = [
        _settling(comparison, "bounce", "bouncing"), _settling(comparison, "pitch", "pitching"),
    ]  # fmt: skip
    # Where no set-up settles within the run, or none has anything to settle, the size of the pitching must do.
    swings = Finding(
        _swing(comparison), "less", lambda v: f"the body pitches through {show(v, 'angle')}",
        lambda v: show(v, "angle"), "angle",
    )  # fmt: skip
    otherwise = sentence(comparison, swings, "No run has a motion of the body to show")
    # Of bounce and pitch the one that takes longer to die decides how the truck feels.
    finding = wider(*settled)
    if all(isnan(v) or isinf(v) for v in finding.values.values()):
        return otherwise
    return sentence(comparison, finding, otherwise)


def _settling(comparison: Comparison, signal: str, doing: str) -> Finding:
    def says(value: float) -> str:
        # An infinite time is the measure's way to say that the run ended first.
        if isinf(value):
            return f"the body does not stop {doing} within the run"
        return f"the body has stopped {doing} {short(value)} after the last disturbance"

    def short(value: float) -> str:
        return "not within the run" if isinf(value) else f"{value:.1f} s"

    return Finding(values(comparison, f"{signal}_settling_time"), "less", says, short, "time")


def _swing(comparison: Comparison) -> dict[str, float]:
    up, down = values(comparison, "pitch_nose_up"), values(comparison, "pitch_nose_down")
    # Both are positive sizes: their sum is the whole swing from nose-up to nose-down.
    return {setup: up[setup] + down[setup] for setup in comparison.runs}
