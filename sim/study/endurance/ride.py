"""The kernel over hours: a piece of the road after the other, each from the exact state in which the one before ended."""

from dataclasses import dataclass, field, replace
from math import ceil

import numpy as np

from sim.describe.lowered import Lowered
from sim.describe.runs.course import keeper_gain
from sim.describe.runs.track import Drive, Track
from sim.describe.shown import show
from sim.errors import RunError
from sim.integrate.given import Input
from sim.integrate.ridden import Ridden, channels_of
from sim.integrate.traces import Array
from sim.kernel import layout as at
from sim.kernel.integrate import run_single
from sim.lower.packed import UNWATCHED, Packed, pack
from sim.lower.rest import Rest
from sim.lower.road.lap import Circuit

KINK_M = 1e-7
"""Coarser than a single run's (`sim.integrate.single`): over hours the errors of kinks even out, and time counts (docs/decisions/steps.md)."""

BESIDE_M, BESIDE_SHARE = 10.0, 0.05
"""How far a truck may fall behind or get ahead within a piece [m], and as a share of its length; so much more of the road is at
hand on both sides."""


@dataclass
class Ride:
    """The kernel from piece to piece."""

    setup: Lowered
    standing: Rest
    run: Track
    name: str
    packed: Packed | None = None
    lost_steps: int = 0  # by which the truck is behind one that holds its speed exactly, whole ones
    bushes: Array | None = None
    # Of one piece after the other, as the system takes long to give so much memory anew: what the kernel writes, and what is taken out of it.
    written: Array = field(default_factory=lambda: np.empty((0, 0)))
    columns: Array = field(default_factory=lambda: np.empty((0, 0)))

    def set_off(self) -> None:
        """Stand still, before a drive."""
        # A drive begins standing on level ground: its motion starts anew, the heat of the dampers goes on.
        self.packed = self.bushes = None
        self.lost_steps = 0

    def over(self, road: Circuit, stage: Drive, first: int, steps: int, cut: int) -> Input:
        """Return the road for some steps of a drive from one of its steps on."""
        spacing = stage.speed * road.step_s
        beside = ceil((_beside_m(steps * spacing) + 0.5) / spacing) if stage.pushes_back else 0
        heights, rates = road.cut(first - self.lost_steps, steps, beside)
        speed = stage.speed if stage.pushes_back else 0.0
        return Input.of(road.step_s, steps, cut, heights, rates, np.zeros(steps + 1), speed, beside)

    def piece(self, setup: Lowered, given: Input) -> Ridden:
        """Ride on with dampers as they are now; return what was ridden, which holds until the next piece."""
        # Packed anew for each piece, since warm dampers have other ramps; the motion is taken over below.
        # A driver who keeps the speed; nothing slows a truck down whose loads are upright.
        keeps = given.speed_m_per_s > 0.0
        body = setup.body._replace(free_to_roll=float(keeps), keeper_gain=keeper_gain(setup) if keeps else 0.0)
        packed = pack([replace(setup, body=body)], 1)
        if self.packed is None:
            packed.memory[: at.STATES] = self.standing.state
            self.bushes = packed.bush_memory()
        else:
            # PAST and on: the formulas (5.1) and (5.2) go by the rates of the steps before. CONTINUED: how many those are.
            packed.memory[: at.MOTION] = self.packed.memory[: at.MOTION]
            packed.memory[at.PAST :] = self.packed.memory[at.PAST :]
            packed.memory[at.CONTINUED] = self.packed.memory[at.CONTINUED]
        packed.memory[at.KINK] = KINK_M
        assert self.bushes is not None
        outputs = given.steps // given.every + 1  # the start is an output too
        shape = outputs, at.TRACE_LINES + at.LINE_CHANNELS * packed.lines.shape[0]
        if self.written.shape != shape:
            self.written, self.columns = np.empty(shape), np.empty((channels_of(setup).size, outputs))
        wrote = run_single(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
            given.road, given.nominal, given.speed_m_per_s, given.push, given.step_s, given.steps, given.every,
            self.written, UNWATCHED, self.bushes,
        )  # fmt: skip
        packed.memory[at.CONTINUED] += given.steps
        spacing = given.speed_m_per_s * given.step_s
        if spacing > 0.0:
            # Its frame goes on where the truck really is, in whole steps, so that it never leaves the road that a piece has.
            if abs(packed.memory[at.X]) > _beside_m(given.speed_m_per_s * given.step_s * given.steps):
                raise RunError(
                    f"The truck does not keep its speed of {show(given.speed_m_per_s, 'road_speed')} over this road: bumps slow it down by "
                    f"{show(-packed.memory[at.COORDINATES + at.X], 'road_speed')}. Drive slower, or write tyre_load: upright."
                )
            gone = int(np.floor(packed.memory[at.X] / spacing))
            packed.memory[at.X] -= gone * spacing
            self.lost_steps -= gone
        self.packed = packed
        # Fewer outputs than asked for: the ride blew up there.
        return Ridden.of(setup, self.written[:wrote], self.columns)


def _beside_m(length_m: float) -> float:
    return BESIDE_M + BESIDE_SHARE * length_m
