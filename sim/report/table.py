"""The table at the end of a run: measures down, set-ups across, the worst of each row marked without colour."""

from math import isinf, isnan
from typing import TextIO

from rich.console import Console
from rich.table import Table
from rich.text import Text

from sim.comparison import Comparison, worst_setups
from sim.measures import Measure
from sim.measures.table import Value
from sim.units import show

ROWS = (
    "front_tyre_off_ground", "rear_tyre_off_ground", "front_tyre_load_variation", "rear_tyre_load_variation",
    "acceleration_rms_", "acceleration_peak_", "pitch_nose_down", "pitch_nose_up",
    "heave_settling_time", "pitch_settling_time", "front_body_cycles", "rear_body_cycles",
    "front_left_to_stop", "rear_left_to_stop", "front_left_to_strap", "rear_left_to_strap",
    "front_stop_hits", "rear_stop_hits", "front_damper_end_hits", "rear_damper_end_hits",
    "_compression_speed", "_rebound_speed", "_compression_force", "_rebound_force", "_power",
    "energy_residual",
)  # fmt: skip
"""Names, or parts of them, of the measures in the short table, in its order."""


def short(comparison: Comparison) -> tuple[Measure, ...]:
    """Return the measures that decide most; all of them are in summary.csv."""
    chosen: list[Measure] = []
    for wanted in ROWS:
        chosen += [
            m for m in comparison.measures if wanted in m.name and m not in chosen and "centre of gravity" not in m.name
        ]
    return tuple(chosen)


def table(comparison: Comparison, everything: bool = False, plain: bool = False) -> Table:
    """Return the table.

    Parameters
    ----------
    everything : bool
        All measures instead of those that decide most.
    plain : bool
        For a stream that knows ASCII only.
    """
    mark = " <" if plain else " ◄"
    worst = worst_setups(comparison)
    made = Table(
        title=comparison.scenario.name, caption=f"{mark.strip()} worst of its row   ~ numerical error above 0.1 %   - does not apply",
        title_justify="left", caption_justify="left", show_lines=False, pad_edge=False,
    )  # fmt: skip
    made.add_column("", ratio=3, overflow="fold")
    for name in comparison.runs:
        made.add_column(Text(name), justify="right", ratio=2, overflow="fold")
    for measure in comparison.measures if everything else short(comparison):
        cells = [
            Text(
                _cell(values.get(measure.name), measure, plain)
                + (mark if name in worst[measure.name] else " " * len(mark)),
                style="bold" if name in worst[measure.name] else "",
            )
            for name, values in comparison.values.items()
        ]
        made.add_row(Text(measure.label), *cells)
    return made


def _cell(value: Value | None, measure: Measure, plain: bool) -> str:
    if value is None or isnan(value.value):
        return "-"
    if isinf(value.value):
        return "never" if measure.quantity in ("time", "number", "count") else "not reached"
    text = show(value.value, measure.quantity)
    if plain:
        text = text.replace("²", "2")
    return text + ("~" if value.flagged else "")


def printed(comparison: Comparison, stream: TextIO, everything: bool = False) -> None:
    """Print the table and any flags to a stream."""
    encoding = (getattr(stream, "encoding", None) or "ascii").lower()
    plain = "utf" not in encoding
    console = Console(file=stream, highlight=False, width=None if stream.isatty() else 110)
    console.print(table(comparison, everything, plain))
    for name, run in comparison.runs.items():
        for flag in run.flags:
            console.print(Text(f"FLAGGED  {name}: {flag.sentence}", style="bold"))
