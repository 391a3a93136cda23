"""The answer of a tuning run again as every comparison is: in full precision, by the fine step, hours of track in full."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import nan
from typing import Any

from sim.describe.files.scenario import Scenario
from sim.integrate.status import Flag
from sim.measure.comparison import Comparison
from sim.measure.table import Value
from sim.study.compare import compare
from sim.study.endurance.drive import endure
from sim.study.endurance.history import Endured
from sim.study.endurance.measures import figures
from sim.study.tuning.cases import Tuning
from sim.study.tuning.fitting import room_measures, rooms

TUNED = "tuned"

Driven = Callable[[Scenario], "dict[str, Endured]"]
"""Takes both set-ups of a scenario through its track."""


@dataclass(frozen=True)
class Confirmed:
    """One case: the starting and the tuned set-up, side by side.

    Attributes
    ----------
    pair : Scenario
        The case as a scenario of both set-ups.
    made : Comparison, or dict of str to Endured
        What came of it: the latter of a track of hours.
    values : dict of str to dict of str to Value
        By set-up, then by measure.
    """

    pair: Scenario
    made: Comparison | dict[str, Endured]
    values: Mapping[str, Mapping[str, Value]]

    @property
    def of_hours(self) -> bool:
        """Whether it is a track of hours, of which no number in doubt is drawn."""
        return not isinstance(self.made, Comparison)

    @property
    def flags(self) -> list[str]:
        """Where set-ups left what the model is valid for, in sentences."""
        return [f"set-up '{name}': {flag.sentence}" for name in self.values for flag in self.flags_of(name)]

    def flags_of(self, setup: str) -> tuple[Flag, ...]:
        """Return the flags of one of its set-ups."""
        runs: Any = self.made.runs if isinstance(self.made, Comparison) else self.made
        flags: tuple[Flag, ...] = runs[setup].flags
        return flags


def confirmed(
    scenario: Scenario,
    tuning: Tuning,
    changes: dict[str, Any],
    name: str = TUNED,
    tell: Callable[[str], None] | None = None,
    driven: Driven | None = None,
) -> dict[str, Confirmed]:
    """Run the starting and the tuned set-up through every case in full precision, as `jounce compare` and `endure` do.

    Parameters
    ----------
    driven : callable, optional
        Takes set-ups through a track; left out: in this process.

    Returns
    -------
    dict of str to Confirmed
        By case.
    """
    by_case = {}
    for number, case in enumerate(tuning.cases):
        # From the changes as written, rounded, and not from the search's numbers: these are what is built.
        tuned = scenario.setups[tuning.start].changed(changes)
        if case.changes:
            tuned = tuned.changed(case.changes)
        title = scenario.name if len(tuning.cases) == 1 else f"{scenario.name}: {case.name}"
        setups = {tuning.start: case.setups[tuning.start], name: tuned}
        # Of what is run, not of the file's other set-ups: reports say what was changed on the truck, and titles speak of that axle.
        before = {**scenario.changes.get(tuning.start, {}), **case.changes}
        written = {tuning.start: before, name: {**before, **changes}}
        pair = replace(scenario, name=title, run=case.run, setups=setups, changes=written)
        values: dict[str, dict[str, Value]]
        if case.run.way == "hours":
            # A caller may spread hours of track over processes; here one set-up goes after the other.
            endured = (driven or _here)(pair)
            columns = figures(*endured.values())
            # No second run by a finer step, so the numerical error is not known.
            values = {key: {f.name: Value(f.of(one), nan, False) for f in columns} for key, one in endured.items()}
            by_case[case.name] = Confirmed(pair, endured, values)
        else:
            comparison = compare(pair, tell)
            values = {key: dict(row) for key, row in comparison.values.items()}
            # Room depends on no run: the first case has it, as in the search.
            if number == 0:
                for key, vehicle in setups.items():
                    room = rooms(vehicle, [measure.name for measure in room_measures(vehicle)])
                    values[key] |= {measure: Value(value, 0.0, False) for measure, value in room.items()}
            by_case[case.name] = Confirmed(pair, comparison, values)
    return by_case


def _here(pair: Scenario) -> dict[str, Endured]:

    return {name: endure(vehicle, pair.run, name) for name, vehicle in pair.setups.items()}  # type: ignore[arg-type]
