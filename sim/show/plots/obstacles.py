"""Plot: what each set-up makes of each obstacle of the course: washboard, hump and dip side by side."""

from math import isfinite

from matplotlib.figure import Figure

from sim.measure.comparison import Comparison
from sim.measure.measure import Measure
from sim.measure.noticed import NOTICED
from sim.measure.references import by_load, sound_by_load
from sim.measure.stretches import Stretch, felt, nearest_stop, off_ground, stretches
from sim.measure.table import Value
from sim.show.plots.bars import CELL, COLUMNS, ROW, put_cell
from sim.show.plots.felt import named_points
from sim.show.plots.finding import broke_down, named
from sim.show.plots.lettering import clean, shortened
from sim.show.plots.page import LINE, MARGIN, SMALL, WIDTH, Page, page
from sim.show.plots.style import GRID, drawing
from sim.show.report.brief import per_cent
from sim.show.report.naming import listed

NAME = "obstacles"

MOST = 6
"""Obstacles on a page: the first ones."""


def figure(comparison: Comparison) -> Figure:
    """Return the page: a row of bars for each obstacle."""
    with drawing():
        run = next(iter(comparison.runs.values()))
        obstacles = stretches(run)
        # One point is enough to tell obstacles apart; the comfort page has more of them.
        point = named_points(comparison)[0]
        # The first six: a long course of one kind says the same again and again.
        cells = {stretch: rows_of(comparison, stretch, point) for stretch in obstacles[:MOST]}
        subtitle = (
            "Each obstacle from the front wheels' meeting it to a second after the rear wheels have left it. Arrows say which way is "
            f"better, bold is best{' of its load' if len(by_load(comparison)) > 1 else ''}. Travel left below zero: a bump stop was squeezed."
        )
        sheet = page(comparison, _title(comparison, cells), subtitle)
        if not obstacles:
            sheet.paragraph("This run drives over no obstacle.")
        groups = sound_by_load(comparison)
        for stretch, rows in cells.items():
            _row(sheet, stretch, rows, groups)
        if len(obstacles) > MOST:
            sheet.paragraph(f"and {len(obstacles) - MOST} more obstacles, not drawn.")
        return sheet.figure()


def rows_of(comparison: Comparison, stretch: Stretch, point: str) -> dict[Measure, dict[str, Value]]:
    """Return what is shown of an obstacle, by measure and set-up."""
    shown = (
        Measure(
            "felt", f"Ride at {point}", "acceleration", "less", lambda run: felt(run, stretch, point), "Weighted RMS."
        ),
        Measure(
            "nearest_stop", "Least bump travel left", "length", "more", lambda run: nearest_stop(run, stretch), "Both axles."
        ),
        Measure("off_ground", "Tyres off the ground", "percent", "less", lambda run: off_ground(run, stretch), "Either axle."),
    )  # fmt: skip
    return {
        measure: {
            # Flagged and without a value, so that its bar is named as broken down.
            setup: Value(float("nan"), float("nan"), True)
            if broke_down(run)
            else Value(measure.of(run), float("nan"), False)
            for setup, run in comparison.runs.items()
        }
        for measure in shown
    }


def _row(
    made: Page, stretch: Stretch, rows: dict[Measure, dict[str, Value]], among: tuple[tuple[str, ...], ...]
) -> None:
    # A rule above each obstacle: rows of small bars would else run into one another.
    made.line((MARGIN, WIDTH - MARGIN), (made.bottom, made.bottom), color=GRID, linewidth=0.8)
    made.bottom += 0.05
    name = f"{stretch.name.capitalize()}  ({stretch.start_s:.1f} to {stretch.end_s:.1f} s)"
    made.text(MARGIN, made.bottom + LINE / 2, shortened(clean(name), 9.0, SMALL, bold=True), SMALL, bold=True)
    made.bottom += LINE
    for place, (measure, row) in enumerate(rows.items()):
        put_cell(made, measure, row, MARGIN + CELL * (place % COLUMNS), made.bottom, among=among)
    made.bottom += LINE + ROW * len(next(iter(rows.values()))) + 0.12


def _title(comparison: Comparison, cells: dict[Stretch, dict[Measure, dict[str, Value]]]) -> str:
    """Say at which obstacle the set-ups differ most in the ride, and which is best where."""
    if len(comparison.runs) == 1:
        return f"What {named(comparison, next(iter(comparison.runs)))} makes of each obstacle"
    best: dict[str, list[str]] = {}
    for stretch, rows in cells.items():
        # By the ride, the first row: travel and lift-off have pages of their own.
        _, row = next(iter(rows.items()))
        known = {setup: value.value for setup, value in row.items() if isfinite(value.value)}
        # Where nobody would notice who is best, nobody is.
        if len(known) > 1 and NOTICED["acceleration"].times(min(known.values()), max(known.values())) >= 1.0:
            least, most = min(known, key=known.__getitem__), max(known, key=known.__getitem__)
            share = per_cent(1.0 - known[least] / known[most])
            best.setdefault(least, []).append(f"{stretch.name} ({share} below {named(comparison, most)})")
    if not best:
        return "Over no obstacle does the ride differ by as much as a person would notice"
    # The two that are best at most obstacles; a title has no room for more.
    order = sorted(best, key=lambda setup: -len(best[setup]))[:2]
    parts = [f"{named(comparison, setup)} rides best over the {listed(best[setup][:3])}" for setup in order]
    return "; ".join(parts)
