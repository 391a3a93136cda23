"""Measures of many set-ups: by blocks where the measures allow it, else by runs of their own."""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.valved import Valved
from sim.errors import JounceError, RunError
from sim.integrate.flags import refused
from sim.integrate.given import STEP_S, Input, sampled
from sim.integrate.many.blocks import Block, Room, structure
from sim.integrate.many.ready import Ready, whole
from sim.integrate.result import Run
from sim.integrate.simulation import simulate
from sim.integrate.single import Prepared, once, prepared
from sim.integrate.status import Flag
from sim.kernel import layout as at
from sim.lower.packed import PrecisionName
from sim.machine.jit import BLOCK
from sim.measure import measures_for
from sim.measure.measure import Measure
from sim.measure.rest_band import RestBand, asks_for_rest, rest_band, within

LONGEST_OUTPUTS = 400_000
"""Output steps of a block; a longer run goes by itself, so that memory stays bounded (0.7 GB for a block of this length)."""

LEAST_LANES = 4
"""Fewer set-ups than this are done sooner one by one than in a block of double precision.

One of single precision takes however few there are, so that a set-up has the same numbers whatever is asked beside it.
"""

HIGHEST_M = 4.0
"""Height of a road [m] past which single precision would be off by more than a newton of tyre load: such runs are double."""

ROAD_PATHS = (
    "wheelbase", "front.tyre.radius", "front.tyre.contact_length", "rear.tyre.radius", "rear.tyre.contact_length",
    "front.tyre.pressure", "front.tyre.measured_at", "rear.tyre.pressure", "rear.tyre.measured_at",
)  # fmt: skip
"""Numbers of a vehicle that a road is sampled for (`Track._road_key`): set-ups with others of these need another road."""

ROADS_KEPT = 4
KIN_KEPT = 64


@dataclass(frozen=True)
class Outcome:
    """What came of one set-up in one run.

    Attributes
    ----------
    values : dict of str to float
        The measures that were asked for and that it has, in SI.
    flags : tuple of Flag
        Where it left what the model is valid for, or did what breaks parts.
    why : str
        Why it could not be run; empty if it was.
    """

    values: dict[str, float] = field(default_factory=dict)
    flags: tuple[Flag, ...] = ()
    why: str = ""

    @property
    def invalid(self) -> str:
        """Why its numbers say nothing, if so: it could not be run, or the model does not hold where it went."""
        # Past these the numbers are no truck's; other flags (a stop met, a damper's end) are events of a sound run.
        lost = [one.sentence for one in self.flags if one.kind in ("not_finite", "pitch_range", "jounce_range")]
        return self.why or (lost[0] if lost else "")


def not_run(error: JounceError) -> Outcome:
    """Return what came of a set-up that was refused: flagged if the truck is at fault, not if it lacks what was to be changed."""
    # The first line alone: a sweep shows reasons by the hundred.
    return Outcome(flags=(refused(error),) if isinstance(error, RunError) else (), why=str(error).splitlines()[0])


def goes_in_blocks(run: AnyRun, measures: Sequence[Measure] = ()) -> bool:
    """Tell whether set-ups go side by side in a run, and not one by one in double precision."""
    return run.way == "held" and all(measure.many != "no" for measure in measures)


class Track:
    """One run, for as many set-ups as one likes; keeps roads and known set-ups between calls.

    Parameters
    ----------
    run : AnyRun
    measures : sequence of str
        Names of what is wanted.
    fine : bool
        Take half of the step that a set-up needs, as the coarser run of `simulate` does.
    precision : "single" or "double"
        Of blocks: single takes half the time; peaks and RMS are off by some 1e-5 of their values at most. Double is taken
        all the same for roads too high for it, and for measures that need a run of their own, such as energies, which
        are small differences of large numbers.
    band : RestBand, optional
        Within what all of them count as at rest; left out: each by its own largest swing.
    """

    def __init__(
        self, run: AnyRun, measures: Sequence[str], fine: bool = False, precision: PrecisionName = "double",
        band: RestBand | None = None,
    ) -> None:  # fmt: skip
        self.run, self.measures, self.fine, self.precision, self.band = run, tuple(measures), fine, precision, band
        self._ready = Ready(run)
        self._roads: OrderedDict[Any, Input] = OrderedDict()
        self._room = Room()
        self._watched: dict[Any, tuple[int, ...]] = {}
        self._goes_alone: dict[Any, bool] = {}
        self._known: dict[Any, dict[str, Measure]] = {}
        self._kin: OrderedDict[int, tuple[Any, tuple[Any, ...]]] = OrderedDict()

    def outcomes(self, vehicles: Sequence[Vehicle | Valved]) -> list[Outcome]:
        """Run set-ups; one that cannot be run says why and does not keep the others from it.

        The same set-ups together give the same numbers to the last bit, wherever and after whatever they are run.
        """
        if not goes_in_blocks(self.run):  # their kernel has one lane
            return [self._driven(whole(vehicle)) for vehicle in vehicles]
        outcomes: list[Outcome | None] = [None] * len(vehicles)
        groups: dict[Any, list[tuple[int, Prepared]]] = {}
        for place, ready in enumerate(self._ready.prepared(vehicles)):
            if isinstance(ready, JounceError):
                outcomes[place] = not_run(ready)
            else:
                groups.setdefault(self._key(ready), []).append((place, ready))
        for key, group in groups.items():
            # Which measures there are depends on what the set-ups of a group share, so one answers for all of it.
            if key not in self._goes_alone:
                self._known[key] = {m.name: m for m in measures_for(Block([group[0][1]], self.run, None).whole())}
                self._goes_alone[key] = self._alone(group[0][1], self._known[key])
            alone = self._goes_alone[key]
            for first in range(0, len(group), BLOCK):
                part = group[first : first + BLOCK]
                if alone:
                    together = [self._single(ready) for _, ready in part]
                else:
                    together = self._block([ready for _, ready in part], self._known[key], key)
                for (place, _), outcome in zip(part, together, strict=True):
                    outcomes[place] = outcome
        return [outcome for outcome in outcomes if outcome is not None]  # all are there; this tells the type checker

    def _alone(self, ready: Prepared, known: dict[str, Measure]) -> bool:
        if ready.plan.duration_s / STEP_S > LONGEST_OUTPUTS:
            return True
        return any(name in known and known[name].many == "no" for name in self.measures)

    def _key(self, ready: Prepared) -> tuple[Any, ...]:
        """Return what set-ups must have in common to run in one block: kept for those that share all but their laws."""
        axles = ready.setup.axles
        if id(axles) not in self._kin:
            while len(self._kin) > KIN_KEPT:
                self._kin.popitem(last=False)
            # `axles` is kept beside its id, or another object might get the same id later.
            self._kin[id(axles)] = axles, (structure(ready), self._road_key(ready))
        return (*self._kin[id(axles)][1], ready.cut)

    def _road_key(self, ready: Prepared) -> tuple[Any, ...]:
        vehicle = ready.setup.kin
        tyres = tuple((axle.tyre.radius, axle.tyre.contact_length_driven) for _, axle in vehicle.axles)
        plan = ready.plan
        # The push is sampled together with the road, so a kept road is of one push.
        push = (plan.push.force, plan.push.pressed_s, plan.push.released_s) if plan.push else None
        return tyres, vehicle.wheelbase, plan.duration_s, plan.lead_m, push

    def _road(self, ready: Prepared) -> Input:
        key = self._key(ready)
        if key not in self._roads:
            cut = ready.cut * (2 if self.fine else 1)
            self._roads[key] = self._in_precision(sampled(ready.setup.kin, ready.plan, STEP_S, cut))
            while len(self._roads) > ROADS_KEPT:
                self._roads.popitem(last=False)
        return self._roads[key]

    def _in_precision(self, given: Input) -> Input:
        """Return road and push in the precision in which they are to be run."""
        if self.precision == "double" or float(np.max(np.abs(given.heights))) > HIGHEST_M:
            return given
        return given.narrowed()

    def _block(self, ready: list[Prepared], known: dict[str, Measure], key: Any) -> list[Outcome]:
        try:
            given = self._road(ready[0])
            kind = given.kind
            if kind is np.float64 and len(ready) < LEAST_LANES:
                return [self._single(one) for one in ready]
            # The first block of a kind writes every row that can be asked for, as its measures have read none yet.
            block = Block(ready, self.run, given, self._room, kind, self._watched.get(key, at.WATCHED))
            self._room = block.room
        except JounceError as error:
            # Road and layout are common to the block, so none of it can be run.
            return [not_run(error)] * len(ready)
        whole = block.whole()
        values: list[dict[str, float]] = [{} for _ in ready]
        wanted = [(name, known[name]) for name in self.measures if name in known]
        for name, measure in wanted:
            if measure.many == "lanes":
                every: Any = measure.of(whole)
                # A measure that does not depend on the set-up gives one number for all lanes.
                for lane in range(len(ready)):
                    values[lane][name] = float(every if getattr(every, "ndim", 0) == 0 else every[lane])
        own = [(name, measure) for name, measure in wanted if measure.many != "lanes"]
        # All of a lane's, then the next one's: they share what they read, and what they make of it.
        for lane in range(len(ready) if own else 0):
            alone = within(block.lane(lane), self.band)
            for name, measure in own:
                values[lane][name] = float(measure.of(alone))
        # What these measures have asked for is what the next block writes.
        self._watched[key] = tuple(sorted({*self._watched.get(key, ()), *block.asked}))
        return [Outcome(values[lane], left) for lane, left in enumerate(block.flags)]

    def _single(self, ready: Prepared) -> Outcome:
        try:
            run = once(ready, self.run, "", STEP_S, ready.cut * (2 if self.fine else 1), kink_m=0.0)  # as lanes do
        except JounceError as error:
            return not_run(error)
        return outcome_of(within(run, self.band), self.measures)

    def _driven(self, vehicle: Vehicle) -> Outcome:
        try:
            return outcome_of(within(simulate(vehicle, self.run), self.band), self.measures)
        except JounceError as error:
            return not_run(error)


def outcome_of(run: Run, measures: Sequence[str]) -> Outcome:
    """Return what one finished run says: those of the measures that it has, and how it left what the model is valid for."""
    known = {m.name: m for m in measures_for(run)}
    return Outcome({name: float(known[name].of(run)) for name in measures if name in known}, run.flags)


def band_of(vehicle: Vehicle, run: AnyRun, measures: Sequence[str]) -> RestBand | None:
    """Return within what set-ups count as at rest that are judged against this one; None where no measure asks, or it cannot be run."""
    if not asks_for_rest(measures):
        return None
    try:
        # What drives by its own wheels has a run of its own; of others one of the step that they need is enough.
        if not goes_in_blocks(run):
            return rest_band(simulate(vehicle, run))
        ready = prepared(vehicle, run)
        return rest_band(once(ready, run, "", STEP_S, ready.cut))
    except JounceError:
        return None
