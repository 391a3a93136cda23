"""The launches or stops of a study of leans: every set-up at every place of its mounts, over all cores of the machine."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import isnan, nan
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.files.scenario import Scenario
from sim.describe.parts.slip import Relaxation
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import as_now
from sim.errors import RunError
from sim.integrate.driven import driven_once
from sim.machine.spread import Spread
from sim.study.deciding import deciding, merged
from sim.study.lean import GRIP, MEASURES, RELAXATIONS, Leaned, Leans, Moved, Roads, Tried
from sim.study.mounts import MOVES, Misfit, relaxation_of, relaxed, unfit

Array = npt.NDArray[np.float64]

STANDS = "stands"
"""In place of a way of moving the mounts: the set-up as its file has it."""


@dataclass(frozen=True)
class Part:
    """What one process does at a time: one set-up on one road, one way of moving its mounts through all of its places.

    Attributes
    ----------
    relaxation : "at_once" or "after_length"
    road : int
        Number of the scenario.
    setup : str
    move : str
        Of MOVES, or STANDS.
    """

    relaxation: Relaxation
    road: int
    setup: str
    move: str


@dataclass(frozen=True)
class Places:
    """Set-ups and places of a study, for every process that runs some of it.

    Attributes
    ----------
    axle : str
    roads : tuple of (dict of str to Vehicle, run)
        Set-ups by name, and what is run of them, of each scenario.
    places : dict of str to (n,) array
        By name of MOVES: leans [rad] or places along the axle [m].
    """

    axle: str
    roads: tuple[tuple[dict[str, Vehicle], AnyRun], ...]
    places: dict[str, Array]

    def parts(self) -> Iterator[Part]:
        """Yield all there is to do, the file's road and set-ups in their order."""
        for relaxation in RELAXATIONS:
            for road, (setups, _) in enumerate(self.roads):
                for setup in setups:
                    for move in (STANDS, *MOVES):
                        yield Part(relaxation, road, setup, move)

    def solved(self, part: Part) -> "Moved | Tried | RunError":
        """Return what came of a part; an error that ends the study is returned, so that which one is told hangs on no process' speed."""
        setups, run = self.roads[part.road]
        vehicle = relaxed(setups[part.setup], part.relaxation)
        try:
            if part.move == STANDS:
                # As it stands it is run even if a damper does not fit: that is what is driven today.
                return self._tried(vehicle, run, part.setup, nan, unfit(vehicle, self.axle, setups[part.setup]))
            return self._moved(vehicle, run, part.setup, part.move, setups[part.setup])
        except RunError as error:
            return error

    def _moved(self, vehicle: Vehicle, run: AnyRun, setup: str, name: str, file: Vehicle) -> Moved:
        move, tried, refused = MOVES[name], list[Tried](), 0
        reason = "" if getattr(vehicle, self.axle).dampers else f"no {self.axle} dampers"
        for place in self.places[name] if not reason else ():
            try:
                moved = move.of(vehicle, self.axle, float(place))
                problem = unfit(moved, self.axle, file)
            except RunError as error:
                moved, problem = vehicle, Misfit(str(error))
                refused += 1
            tried.append(self._tried(moved, run, setup, float(place), problem))
        # At none of the places it can be mounted so at all: the reason is said once.
        if tried and refused == len(tried):
            reason = tried[0].left_out
            tried.clear()
        return Moved(tuple(tried), move.stands_at(vehicle, self.axle), reason)

    def _tried(self, vehicle: Vehicle, run: AnyRun, setup: str, at: float, misfit: Misfit | None) -> Tried:
        nothing = dict.fromkeys(MEASURES, nan)
        # Where a damper does not fit nothing is run: it would only show the damper hitting its end. What an estimate alone says may be
        # otherwise on the truck, and so many places may hang on one stop that nobody measured.
        if misfit and not misfit.estimated and not isnan(at):
            return Tried(at, nothing, left_out=misfit.reason, misfit=misfit)
        try:
            one = driven_once(vehicle, run)
        except RunError as error:
            which = f"set-up '{setup}'" + ("" if isnan(at) else f" with its {self.axle} dampers moved")
            raise RunError(f"{which}: {error}") from error
        # A run that broke down has figures up to that moment, which say nothing.
        if any(flag.kind == "not_finite" for flag in one.flags):
            return Tried(at, nothing, one.flags, misfit=misfit)
        return Tried(
            at, {name: of(one, self.axle) for name, (_, _, _, of) in MEASURES.items()}, one.flags, misfit=misfit
        )


def places_of(move: str, lean_rad: Array, ahead_m: Array) -> Array:
    """Return the places at which a way of moving the mounts is tried: leans, places along the axle, or half of these."""
    if move == "upper":
        return lean_rad
    if move == "staggered":
        # Mirror images: so far behind is the same as so far ahead, and half the range holds them all.
        reach = float(np.abs(ahead_m).max())
        return np.linspace(0.0, reach, (ahead_m.size + 1) // 2)
    return ahead_m


def lean_through(
    scenarios: list[Scenario], axle: str, lean_rad: Array, ahead_m: Array, tell: Callable[[str], None] | None = None,
    workers: int | None = None,
) -> Leans:  # fmt: skip
    """Run every set-up of scenarios with a launch or a brake at every place of its mounts, whichever way grip follows load.

    Parameters
    ----------
    scenarios : list of Scenario
        With the same set-ups.
    axle : "front" or "rear"
    lean_rad : (n,) array
        From upright, in side view; positive: the upper end ahead of the lower one.
    ahead_m : (m,) array
        Places of the lower mounts, ahead of the axle's centre.
    tell : callable, optional
        Gets what was run last, and how much of all.
    workers : int, optional
        Processes, this one among them; one a core by default. The answer is the same with any number.

    Raises
    ------
    RunError
        If a scenario does not drive or brake, or no set-up of it has dampers to lean.
    """
    if any(list(scenario.setups) != list(scenarios[0].setups) for scenario in scenarios):
        raise RunError("Scenarios that are shown side by side must have the same set-ups.")
    for scenario in scenarios:
        if scenario.run.way != "driven":
            raise RunError(
                f"'{scenario.name}' is a {scenario.run.kind} run; leans are tried in a launch or a brake run."
            )
    setups = scenarios[0].setups.values()
    # One set-up with dampers is enough: others may have the axle bare, and then say so.
    if not any(getattr(vehicle, axle).dampers for vehicle in setups):
        raise RunError(f"'{scenarios[0].name}': no set-up has {axle} dampers to lean.")
    # Whether the advice turns must not hang on how many places were asked for, so it has places of its own.
    grids = {
        move: merged(places_of(move, lean_rad, ahead_m), places_of(move, deciding(lean_rad), deciding(ahead_m)))
        for move in MOVES
    }
    problem = Places(
        axle,
        tuple((dict(each.setups), each.run) for each in scenarios),
        {move: grid[0] for move, grid in grids.items()},
    )
    parts = list(problem.parts())
    found: dict[Part, Any] = {}  # Moved of a way of moving them, Tried as it stands, or an error
    with Spread(problem, workers, within=as_now()) as spread:
        for number, result in spread.each(parts):
            part = parts[number]
            found[part] = result
            if tell:
                which = f"{scenarios[part.road].name}: {part.setup}, {GRIP[part.relaxation]}"
                tell(f"{which}, {len(found)} of {len(parts)}")
    # The first in the order of parts, whoever met an error first.
    for part in parts:
        if isinstance(error := found[part], RunError):
            raise error
    asked, fine = ({move: grid[1][which] for move, grid in grids.items()} for which in (0, 1))
    # The first set-up speaks for the file; each is run in either way, whatever its own is.
    own = relaxation_of(next(iter(setups)), axle)
    roads: Roads = {}
    decides: Roads = {}
    # False sorts before True: the file's way comes first.
    for relaxation in sorted(RELAXATIONS, key=lambda each: each != own):
        roads[relaxation], decides[relaxation] = {}, {}
        for road, scenario in enumerate(scenarios):
            shown, finer = roads[relaxation][scenario.name], decides[relaxation][scenario.name] = {}, {}
            for setup in scenario.setups:
                moves = {move: found[Part(relaxation, road, setup, move)] for move in MOVES}
                whole = Leaned(found[Part(relaxation, road, setup, STANDS)], moves)
                shown[setup], finer[setup] = whole.only(asked), whole.only(fine)
    return Leans(scenarios[0].name, axle, own, roads, decides)


__all__ = ["lean_through", "places_of"]
