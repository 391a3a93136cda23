"""Set-ups put at the start of their runs; one that differs from a known one in its dampers' laws alone takes the rest over."""

from dataclasses import replace

from sim.guard import Revalving, substeps
from sim.many.replaced import only_laws_differ
from sim.parts.vehicle import Vehicle
from sim.runs import AnyRun
from sim.simulation import STEP_S, Prepared, prepared

KEPT = 8
"""Known set-ups that are kept for others to be derived from."""


class Ready:
    """Prepares set-ups for one run.

    A damper's law is a function of speed alone that is zero at rest, so where a truck stands, its plan and its start do
    not depend on it: only its ramps and the step that it needs are new.
    """

    def __init__(self, run: AnyRun) -> None:
        self.run = run
        self._known: list[tuple[Vehicle, Prepared, list[Revalving]]] = []

    def prepared(self, vehicle: Vehicle) -> Prepared:
        """Return a set-up at the start of the run.

        Raises
        ------
        RunError
            If it cannot stand or the run does not fit it.
        """
        for number, (known, base, rates) in enumerate(self._known):
            if only_laws_differ(known, vehicle):
                if number:
                    self._known.insert(0, self._known.pop(number))
                if known is vehicle:
                    return base
                if not rates:  # worked out when it is first of use
                    rates.append(Revalving(base.setup, base.standing))
                return _revalved(vehicle, base, rates[0])
        made = prepared(vehicle, self.run)
        self._known.insert(0, (vehicle, made, []))
        del self._known[KEPT:]
        return made


def _revalved(vehicle: Vehicle, base: Prepared, rates: Revalving) -> Prepared:
    axles = dict(vehicle.axles)
    lines = []
    for line in base.setup.lines:
        if line.role == "damper":
            damper = axles[line.axle].dampers[line.name]
            line = line._replace(knots=damper.lower(base.setup.place, line.line.force_length)[1])
        lines.append(line)
    setup = replace(base.setup, vehicle=vehicle, lines=tuple(lines))
    return replace(base, setup=setup, cut=substeps(rates.fastest_rate(setup, STEP_S), STEP_S))
