"""Several set-ups over the same run: their traces and their measures side by side."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite, isinf, isnan, nan
from pathlib import Path
from typing import Any, Protocol

from sim.describe.good import Placed
from sim.describe.in_html import html_table
from sim.describe.shown import show
from sim.integrate.result import Run
from sim.integrate.status import Flag
from sim.measure import Measure, measures_for
from sim.measure.band import Band
from sim.measure.change import noticed_of
from sim.measure.table import Value
from sim.measure.worst import worst


class Asked(Protocol):
    """What a comparison keeps of the scenario that asked for it."""

    @property
    def name(self) -> str:
        """Name of the scenario."""

    @property
    def question(self) -> str | None:
        """What the comparison is to answer, in one line."""

    @property
    def path(self) -> Path | None:
        """The file it came from."""

    @property
    def show(self) -> tuple[str, ...] | None:
        """Names of the plots wanted; None for all."""

    @property
    def reference(self) -> str | None:
        """The set-up that the others are judged against; None where nothing says which."""


class Flagged(Protocol):
    """What may have left the model's validity."""

    @property
    def flags(self) -> tuple[Flag, ...]:
        """Where it did."""


class SideBySide(Protocol):
    """Set-ups shown beside one another, whatever was done with them."""

    @property
    def runs(self) -> Mapping[str, Flagged]:
        """By set-up, in the scenario's order."""


@dataclass(frozen=True)
class Comparison:
    """Every set-up of a scenario over its run.

    Attributes
    ----------
    scenario : Asked
        The scenario, of which name, question, path and wanted plots are read.
    runs : dict of str to Run
        By set-up, in the scenario's order.
    values : dict of str to dict of str to Value
        By set-up, then by measure name. A set-up may lack a measure: no such damper set.
    damping : dict of str to float
        Least damping ratio of the body's motions in the linear view, by set-up; empty where nobody asked.
    doubt : dict of str to dict of str to Band
        By set-up, then by measure name: what its difference to the reference lies within; empty where nothing is known of it.
    placed : dict of str to tuple of Placed
        How each set-up stands, placed among what is usual in the trade; empty where nobody asked, or it cannot stand.
    at_rest : dict of str to tuple of Flag
        What is wrong with each set-up as it stands and this run did not meet; empty where nobody asked.
    """

    scenario: Asked
    runs: dict[str, Run]
    values: dict[str, dict[str, Value]]
    damping: dict[str, float] = field(default_factory=dict)
    doubt: dict[str, dict[str, Band]] = field(default_factory=dict)
    placed: dict[str, tuple[Placed, ...]] = field(default_factory=dict)
    at_rest: dict[str, tuple[Flag, ...]] = field(default_factory=dict)

    @property
    def measures(self) -> tuple[Measure, ...]:
        """Measures of all its runs, each once, in the order of the families."""
        return measures_for(*self.runs.values())

    def __repr__(self) -> str:
        """Return what it is in one line: all of its arrays would be some hundred thousand letters."""
        return f"<Comparison '{self.scenario.name}': {', '.join(self.runs)}; {len(self.measures)} measures>"

    def _repr_html_(self) -> str:
        """Return it as notebooks show it: the measures that decide most, set-ups across, the worst of each row marked."""
        drives = any(run.drive is not None for run in self.runs.values())
        places = {one: one.shown.table_driven if drives else one.shown.table for one in self.measures}
        worst_of = worst_setups(self)
        rows = []
        for measure in sorted(
            (one for one, place in places.items() if place is not None), key=lambda one: places[one] or 0
        ):
            cells = []
            for setup, values in self.values.items():
                value = values.get(measure.name)
                mark = " ◄" if setup in worst_of[measure.name] else ""
                cells.append(
                    "–" if value is None or isnan(value.value) else _words(value.value, measure.quantity) + mark
                )
            rows.append((measure.label, *cells))
        flags = [f"FLAGGED: {setup}: {flag.sentence}" for setup, run in self.runs.items() for flag in run.flags]
        said = [*([self.scenario.question] if self.scenario.question else []), *flags]
        return html_table(self.scenario.name, said, ("", *self.runs), rows)

    def to_dataframe(self) -> Any:
        """Return its measures as a pandas DataFrame in SI: measures down by name, set-ups across; nan where one does not apply.

        Raises
        ------
        ImportError
            If pandas is not installed: it is not needed for anything else.
        """
        try:
            import pandas
        except ImportError:
            raise ImportError("a table of measures needs pandas, which is not installed: pip install pandas") from None
        columns = {setup: {key: own.value for key, own in values.items()} for setup, values in self.values.items()}
        return pandas.DataFrame(columns, index=pandas.Index([one.name for one in self.measures], name="measure"))


def _words(value: float, quantity: str) -> str:
    return "never" if isinf(value) else show(value, quantity)


def change_share(first: Value | None, other: Value | None) -> float:
    """Return by which share of it a measure differs from that of another set-up; nan where that says nothing."""
    # inf is "not reached", of which a share says nothing
    if first is None or other is None or not isfinite(first.value) or not isfinite(other.value):
        return nan
    # Over its size, so that more is plus even where the first is negative: travel past the stop.
    return (other.value - first.value) / abs(first.value) if first.value != 0.0 else nan


def worst_setups(comparison: Comparison) -> dict[str, tuple[str, ...]]:
    """Return the worst set-ups by measure name; empty where none is worse than the others by what anybody would notice."""
    by_measure = {}
    for measure in comparison.measures:
        # A set-up may lack the measure, such as one of a second damper set.
        values = {setup: row[measure.name] for setup, row in comparison.values.items() if measure.name in row}
        bad = worst(values, measure.better)
        # As the verdict has it: a mark on one of three figures that all read the same says what is not so.
        noticed = noticed_of(measure)
        apart = bad and any(noticed.times(values[bad[0]].value, value.value) >= 1.0 for value in values.values())
        by_measure[measure.name] = bad if apart else ()
    return by_measure
