"""What set-ups come to as they pull away, in the sentences of `jounce compare`."""

from collections.abc import Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import JounceError
from sim.integrate.result import Run
from sim.integrate.simulation import simulate
from sim.measure.comparison import Comparison
from sim.measure.references import reference_of
from sim.measure.rest_band import rest_band, within
from sim.measure.table import Value, evaluate
from sim.measure.verdict import verdict
from sim.show.report.verdict_words import headline


def rests_on(estimated: int) -> str:
    """Return what a sentence by the numbers as they are rests on, of a truck with so many that are estimated; empty without any."""
    if not estimated:
        return ""
    many = f"{estimated} numbers of the truck are" if estimated > 1 else "one number of the truck is"
    return (
        f"By the numbers as they stand: {many} estimated, and “How sure is that?” beneath says what that leaves open."
    )


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
    """Says what set-ups come to; keeps what it has run and measured of each."""

    def __init__(self) -> None:
        self._runs: dict[Any, tuple[Vehicle, AnyRun, Run]] = {}
        self._values: dict[Any, tuple[Run, dict[str, Value]]] = {}

    def said(self, setups: Mapping[str, Vehicle], run: AnyRun) -> str:
        """Return the verdict on set-ups by name, as a title has it; of those that can be run, empty where none can.

        It is the sentence of a report on the same set-ups by the values that their numbers have: run as a report runs them, and nothing drawn.
        """
        known, self._runs = self._runs, {}
        for name, vehicle in setups.items():
            # Both are held, so that their ids stay their own; of set-ups that are gone nothing is kept.
            key = id(vehicle), id(run)
            with suppress(JounceError):  # which is said at its card
                self._runs[key] = known[key] if key in known else (vehicle, run, simulate(vehicle, run, name))
        runs = {
            name: self._runs[id(own), id(run)][2] for name, own in setups.items() if (id(own), id(run)) in self._runs
        }
        if not runs:
            return ""
        tried = Tried({name: setups[name] for name in runs})
        band = rest_band(runs[reference_of(Comparison(tried, runs, {}))]) if len(runs) > 1 else {}
        judged = {name: within(own, band) for name, own in runs.items()}
        before, self._values = self._values, {}
        values: dict[str, dict[str, Value]] = {}
        for name, own in runs.items():
            measured = id(own), tuple(sorted(band.items()))
            self._values[measured] = before[measured] if measured in before else (own, evaluate(judged[name]))
            values[name] = self._values[measured][1]
        return headline(verdict(Comparison(tried, judged, values)))
