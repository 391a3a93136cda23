"""What set-ups come to as they pull away, in the sentences of `jounce compare`."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import system
from sim.integrate.result import Run
from sim.measure.comparison import Comparison
from sim.measure.references import reference_of
from sim.measure.rest_band import rest_band, within
from sim.measure.table import Value, evaluate
from sim.measure.verdict import verdict
from sim.show.report.verdict_words import headline


@dataclass(frozen=True)
class Tried:
    """The set-ups of the page, as a comparison asks for them."""

    setups: Mapping[str, Vehicle]
    name: str = ""
    question: str | None = None
    path: Path | None = None
    show: tuple[str, ...] | None = None
    reference: str | None = None


class Judge:
    """Says what runs come to; keeps what it has measured of each."""

    def __init__(self) -> None:
        self._known: dict[Any, tuple[Run, dict[str, Value]]] = {}

    def said(self, setups: Mapping[str, Vehicle], runs: Mapping[str, Run]) -> str:
        """Return the verdict on runs of set-ups, by name, as a title has it; empty without a run.

        The sentence is that of a report on the same set-ups, but for doubt: each is run once here, and no number is drawn.
        """
        if not runs:
            return ""
        tried = Tried({name: setups[name] for name in runs})
        judged = dict(runs)
        if len(runs) > 1:
            band = rest_band(runs[reference_of(Comparison(tried, judged, {}))])
            judged = {name: within(run, band) for name, run in runs.items()}
        else:
            band = {}
        # Of set-ups that are gone nothing is kept.
        self._known = {key: self._known[key] for key in self._keys(runs, band) if key in self._known}
        values = {}
        for (name, run), key in zip(judged.items(), self._keys(runs, band), strict=True):
            if key not in self._known:
                self._known[key] = (runs[name], evaluate(run))
            values[name] = self._known[key][1]
        return headline(verdict(Comparison(tried, judged, values)))

    def _keys(self, runs: Mapping[str, Run], band: Mapping[str, float]) -> list[Any]:
        # The run is held, so that its id stays its own.
        return [(id(run), tuple(sorted(band.items())), system()) for run in runs.values()]
