"""Up to sixteen prepared set-ups over the same road at once, and what is seen of them, in the names of a run."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from typing import Any, cast

import numpy as np

from sim.describe.runs import AnyRun
from sim.integrate.channels import PINION_UP, heights_at
from sim.integrate.flags import Seen, Span, are_unflagged, blew_up, flags
from sim.integrate.given import Input
from sim.integrate.line_lengths import is_ever_taut, taut_m
from sim.integrate.on_demand import AxleOnDemand, Later, RunOnDemand
from sim.integrate.result import Run
from sim.integrate.single import Prepared
from sim.integrate.status import Flag
from sim.integrate.traces import Array, AxleTrace, DamperTrace, Energy
from sim.kernel import layout as at
from sim.kernel.integrate import narrow_block, run_block
from sim.kernel.swings import sines_and_cosines
from sim.kernel.watch import upward
from sim.lower.packed import Packed, Precision, aligned, pack
from sim.machine.jit import BLOCK

AXLES = ("front", "rear")
BODY = (at.PITCH, at.COORDINATES + at.PITCH, at.RATE + at.COORDINATES + at.Z, at.RATE + at.COORDINATES + at.PITCH)
"""Rows of which the acceleration of a point of the body is made."""

NO_ENERGY = Energy(0.0, 0.0, {}, 0.0)


class Points(Mapping[str, Array]):
    """Accelerations of the named points, worked out when they are asked for."""

    def __init__(self, block: "Block", lanes: "slice | int") -> None:
        self._block, self._lanes = block, lanes

    def __getitem__(self, key: str) -> Array:
        return self._block.felt(key)[:, self._lanes]

    def __contains__(self, key: object) -> bool:  # a mapping's own way to tell is to look, and so to work it out
        return key == "centre of gravity" or key in self._block.ready[0].setup.points

    def __iter__(self) -> Iterator[str]:
        return iter(("centre of gravity", *self._block.ready[0].setup.points))

    def __len__(self) -> int:
        return 1 + len(self._block.ready[0].setup.points)


class Room:
    """Memory that a block which is done leaves to the next one: to get it anew from the system takes a tenth of the run.

    Attributes
    ----------
    written : array or None
        (rows, outputs, BLOCK), where the run writes.
    """

    def __init__(self) -> None:
        self.written: Array | None = None
        self._doubles: list[Array] = []
        self._taken = 0

    def to_write(self, shape: tuple[int, int, int], kind: Precision) -> Array:
        """Return memory for at least so many rows of just so many outputs."""
        written = self.written
        if written is None or len(written) < shape[0] or written.shape[1:] != shape[1:] or written.dtype != kind:
            self.written = written = aligned(shape, kind)
        self._taken = 0  # of the block before nobody looks at anything any more
        return written

    def double(self, outputs: int) -> Array:
        """Return memory (outputs, BLOCK) in double precision for what is worked out of what was written."""
        if self._taken == len(self._doubles):
            self._doubles.append(aligned((outputs, BLOCK)))
        elif len(self._doubles[self._taken]) != outputs:
            self._doubles[self._taken] = aligned((outputs, BLOCK))
        self._taken += 1
        return self._doubles[self._taken - 1]


class Block:
    """What a block of set-ups did.

    Parameters
    ----------
    ready : sequence of Prepared
        At most BLOCK, of one structure (`structure`), needing the same step.
    run : AnyRun
        The run that they are prepared for.
    given : Input, optional
        Road and push; without it nothing is run, and there are no signals: only names.
    room : Room, optional
        Memory of a block whose signals nobody looks at any more.
    kind : float64 or float32
        Precision of the run; road and push must be given in it (`in_precision`). Measures are worked out in double.
    watched : sequence of int
        Rows of `at.WATCHED` that are written, at each output one after the other. If another is asked for, it is all run
        again with every row.

    Attributes
    ----------
    asked : set of int
        Rows that were asked for.
    """

    def __init__(
        self,
        ready: Sequence[Prepared],
        run: AnyRun,
        given: Input | None,
        room: Room | None = None,
        kind: Precision = np.float64,
        watched: Sequence[int] = at.WATCHED,
    ) -> None:
        self.ready, self.run, self.count = list(ready), run, len(ready)
        self._rows: dict[int, Array] = {}
        self._by_lane: dict[tuple[int, int], Array] = {}
        self._turned: tuple[tuple[int, int], Any] = ((-1, 0), None)
        self._felt: dict[str, Array] = {}
        self._given, self._kind = given, kind
        self.room = Room() if room is None else room
        self.asked: set[int] = set()
        self.time_s: Array = np.zeros(1)
        self._out: dict[int, Array] = {}
        packed = pack([r.setup for r in ready], BLOCK, kind)
        memory = packed.bush_memory()
        if given is not None:
            self._solve(packed, memory, given, watched)
        self.reach = memory.reshape(-1, at.BUSH_ROWS, BLOCK)[:, :, : self.count]
        # Farthest motions begin at zero, so a least is never above it nor a most below it: enough for limits on both sides of it.
        self._last = packed.rows()

    def _solve(self, packed: Packed, memory: Array, given: Input, watched: Sequence[int]) -> None:
        """Run all lanes and keep the watched rows over time, (outputs, BLOCK) each."""
        shape = len(watched), given.steps // given.every + 1, BLOCK
        room = self.room.to_write(shape, self._kind)
        # Spare lanes run the last set-up again: cheaper than a case for them in the kernel.
        starts = [self.ready[min(lane, self.count - 1)].start for lane in range(BLOCK)]
        rows, exact = packed.rows(), np.array(starts).T
        rows[: at.STATES] = exact
        # What single precision cuts off the start is given along (T. J. Dekker 1971; docs/equations.md).
        rows[at.CARRY : at.CARRY + at.MOTION] = (exact - rows[: at.STATES])[: at.MOTION]
        # Single precision is built from the same text when it is first asked for.
        solve = run_block if self._kind is np.float64 else narrow_block()
        solve(
            packed.memory, packed.lines, packed.lines_front, packed.kinds, packed.knots, packed.first_group,
            given.road, given.nominal, self._kind(given.speed_m_per_s), given.push, self._kind(given.step_s), given.steps,
            given.every,
            room, np.array(watched, np.int64), memory,
        )  # fmt: skip
        self._out = dict(zip(watched, room, strict=False))
        self.time_s = np.arange(shape[1], dtype=np.float64) * (given.step_s * given.every)

    def _all(self, row: int) -> Array:
        """Return one row over time (outputs, BLOCK), in the precision of the run."""
        # So that the next block of these measures writes this row at once.
        self.asked.add(row)
        if row not in self._out and self._given is not None:
            # With every row, so that whatever else these measures ask for costs no third run.
            packed = pack([r.setup for r in self.ready], BLOCK, self._kind)
            self.room = Room()  # what has been shown stays what it is
            self._solve(packed, packed.bush_memory(), self._given, at.WATCHED)
        return self._out[row] if self._out else np.zeros((0, BLOCK))

    def row(self, number: int) -> Array:
        """Return one row of memory over time (n, lanes)."""
        if number not in self._rows:
            # Measures sum over thousands of outputs: in double, whatever the run was in.
            every = self._all(number)
            if every.dtype != np.float64:
                every, narrow = self.room.double(len(every)), every
                every[:] = narrow
            self._rows[number] = every[:, : self.count]
        return self._rows[number]

    def signal(self, number: int, lanes: slice | int, first: int = 0) -> Array:
        """Return one row of memory over time, (n, lanes) or of one lane (n,); from the sample `first` on."""
        if isinstance(lanes, slice):
            return self.row(number)[first:, lanes]
        if (number, first) not in self._by_lane:
            # Lane after lane: measures of one lane go over it again and again, and else each number lies in another line of the cache.
            every = self._all(number)[first:, : self.count]
            self._by_lane[number, first] = every.T.astype(np.float64, order="C")
        lane: Array = self._by_lane[number, first][lanes]
        return lane

    def _turn(self, lane: int, first: int) -> tuple[Array, Array]:
        """Return sine and cosine of a lane's pitch from the sample `first` on, kept for its other axle."""
        if self._turned[0] != (lane, first):
            pitch = self.signal(at.PITCH, lane, first)
            small = float(max(-pitch.min(), pitch.max(), 0.0)) <= at.PITCH_LIMIT if pitch.size else False
            self._turned = (lane, first), _turned(pitch) if small else (np.sin(pitch), np.cos(pitch))
        turn: tuple[Array, Array] = self._turned[1]
        return turn

    def felt(self, point: str) -> Array:
        """Return the upward acceleration of a named point over time (n, lanes) [m/s²]."""
        if point not in self._felt:
            here = point == "centre of gravity"
            places = np.zeros((2, BLOCK))
            if not here:
                places[:, : self.count] = np.array([r.setup.points[point] for r in self.ready]).T
            pitch, pitching, rising, turning = map(self._all, BODY)
            accelerations = self.room.double(len(pitch))
            upward(pitch, pitching, rising, turning, places[0], places[1], accelerations)
            self._felt[point] = accelerations[:, : self.count]
        return self._felt[point]

    def whole(self) -> Run:
        """Return all lanes as one run, whose signals are (n, lanes) and whose numbers (lanes,)."""
        return self._seen_run(slice(None))

    def lane(self, number: int) -> Run:
        """Return one lane as a run; it knows nothing of energy, springs and straps."""
        return self._seen_run(number)

    def _seen_run(self, lanes: slice | int) -> Run:
        own = self.ready[lanes] if isinstance(lanes, slice) else [self.ready[lanes]]
        standing = np.array([r.standing.state for r in own]).T
        if isinstance(lanes, int):
            standing = standing[:, 0]  # one lane: numbers, not arrays of one
        # The first speaks for all: lanes share the run and what `structure` compares.
        plan = own[0].plan
        # Most measures of a lane look at one axle only.
        axles = {name: partial(self._axle, index, lanes, own, standing) for index, name in enumerate(AXLES)}
        later: Later = {
            **axles,
            "bounce_m": lambda: self.signal(at.Z, lanes) - standing[at.Z],
            "pitch_nose_up_rad": lambda: standing[at.PITCH] - self.signal(at.PITCH, lanes),
            "vehicle": lambda: own[0].setup.vehicle,
        }
        return RunOnDemand(
            later, setup="", run=self.run, time_s=self.time_s,
            acceleration_m_per_s2=cast(dict[str, Array], Points(self, lanes)),
            energy=NO_ENERGY, flags=(), released_s=min(plan.released_s, float(self.time_s[-1])),
            speed_m_per_s=plan.speed_m_per_s, pushes_back=plan.pushes_back and plan.speed_m_per_s > 0.0,
            surges=plan.free_to_roll, coasts=plan.coasts, acceleration_forward_m_per_s2={}, pitch_acceleration_rad_per_s2=np.zeros(0),
        )  # fmt: skip

    def _axle(self, index: int, lanes: slice | int, ready: Sequence[Prepared], standing: Array) -> AxleTrace:
        name = AXLES[index]
        parts = [getattr(r.setup.kin, name) for r in ready]
        # Blocks write none of these: a measure that needs them makes its set-ups run one by one.
        unknown: Array = np.zeros(0)
        scratch = at.SCRATCH + index * at.SCRATCH_ROWS

        def signal(row: int) -> Callable[[], Array]:
            return lambda: self.signal(row, lanes)

        def hub(first: int = 0) -> Array:
            if not isinstance(lanes, int):
                return unknown
            setup = ready[0].setup
            # What is zero all along need not be written, nor what moves no hub.
            rows = {"z": at.Z, "jounce": at.JOUNCE + 2 * index}
            if setup.axles[name].shift_free:
                rows["give"] = at.SHIFT + index
            if setup.axles[name].seat_above:
                rows["wind_up"] = at.WIND_UP + 2 * index
            # The same formula at rest, so that a hub begins at zero to the last digit.
            stood = {key: standing[row : row + 1] for key, row in rows.items()}
            rest = standing[at.PITCH : at.PITCH + 1]
            now = {key: self.signal(row, lanes, first) for key, row in rows.items()}
            moved = heights_at(setup, name, self._turn(lanes, first), **now)
            return moved - heights_at(setup, name, (np.sin(rest), np.cos(rest)), **stood)

        def each(values: list[Any]) -> Any:
            return None if values[0] is None else np.array(values, float) if isinstance(lanes, slice) else values[0]

        def straps() -> Any:
            taut = [taut_m(r.setup, name) for r in ready]
            return None if None in taut else each(taut)

        later: Later = {
            "jounce_m": signal(at.JOUNCE + 2 * index), "tyre_load_n": signal(scratch + at.LOAD),
            "stop_force_n": signal(scratch + at.STOP),
            "wind_up_rad": lambda: PINION_UP[name] * self.signal(at.WIND_UP + 2 * index, lanes), "wheel_height_m": hub,
            "jounce_at_strap_m": straps, "dampers": lambda: {key: self._damper(name, key, lanes) for key in parts[0].dampers},
        }  # fmt: skip
        return _AxleInLane(
            lambda first: hub(first) - (self.signal(at.JOUNCE + 2 * index, lanes, first) - standing[at.JOUNCE + 2 * index]),
            later, road_height_m=unknown, strap_force_n=unknown, spring_force_n=unknown,
            jounce_rest_m=standing[at.JOUNCE + 2 * index],
            jounce_at_stop_m=each([p.stop.gap if p.stop else None for p in parts]),
            jounce_full_m=each([p.stop.gap + p.stop.squeeze if p.stop else None for p in parts]),
            tyre_load_rest_n=each([r.standing.tyre_load[index] for r in ready]),
        )  # fmt: skip

    def _damper(self, axle: str, name: str, lanes: slice | int) -> DamperTrace:
        """Return a damper of which only the extremes are known."""
        number = self._number(axle, name)
        low, high, closing, opening = self.reach[number, at.LEAST_LENGTH :][:, lanes]
        setup = self.ready[0].setup
        part = getattr(setup.kin, axle).dampers[name]
        return DamperTrace(
            # Extremes in place of a signal: least and greatest of it are right, and blocks are asked for no more.
            axle=axle, name=name, count=part.count, length_m=np.array([low, high]), speed_m_per_s=np.array([opening, closing]),
            force_n=np.zeros((0,)), length_rest_m=0.0, length_collapsed_m=part.length_collapsed,
            length_extended_m=part.length_extended, valving=setup.law(axle, name),
        )  # fmt: skip

    def _number(self, axle: str, name: str) -> int:
        lines = self.ready[0].setup.lines
        return next(n for n, line in enumerate(lines) if (line.axle, line.role, line.name) == (axle, "damper", name))

    @cached_property
    def flags(self) -> tuple[tuple[Flag, ...], ...]:
        """Where each lane left the model's validity; when is not known."""
        # As the kernel itself decides for a single run (`is_lost`): not finite, or far from anywhere.
        last = np.abs(self._last[: at.MOTION]).sum(axis=0)
        found: list[tuple[Flag, ...]] = [() if own < 1e9 else (blew_up(None),) for own in last[: self.count].tolist()]
        for lanes in self._kin([lane for lane, own in enumerate(found) if not own]):
            # Mostly all stay within everything, and then so does what goes as far as the farthest of them.
            if not are_unflagged([self.ready[lane].setup for lane in lanes], self._seen(lanes)):
                for lane in lanes:
                    found[lane] = flags(self._seen([lane]))
        return tuple(found)

    def _kin(self, lanes: Sequence[int]) -> list[list[int]]:
        """Return lanes in groups of those that share all but their dampers' laws."""
        groups: dict[int, list[int]] = {}
        for lane in lanes:
            groups.setdefault(id(self.ready[lane].setup.axles), []).append(lane)
        return list(groups.values())

    def _seen(self, lanes: Sequence[int]) -> Seen:
        """Return how far the farthest of some lanes went that share all but their dampers' laws."""
        ready, own = self.ready[lanes[0]], np.array(lanes)
        # A number that is none is left out: it passes nothing either.
        low, high = np.fmin.reduce(self._last[:, own], axis=1), np.fmax.reduce(self._last[:, own], axis=1)
        reach = self.reach[:, at.LEAST_LENGTH :, own]
        shortest, longest = np.fmin.reduce(reach[:, 0], axis=1), np.fmax.reduce(reach[:, 1], axis=1)
        closing, opening = np.fmax.reduce(reach[:, 2], axis=1), np.fmin.reduce(reach[:, 3], axis=1)
        jounce = [
            Span(np.array([low[at.JOUNCE_LEAST + index], high[at.JOUNCE_MOST + index]])) for index in range(at.AXLES)
        ]
        standing = [float(ready.standing.state[at.JOUNCE + 2 * index]) for index in range(at.AXLES)]
        lines = range(len(ready.setup.lines))
        return Seen(
            ready.setup, tuple(Span(np.array([shortest[n], longest[n]])) for n in lines),
            tuple(Span(np.array([closing[n], opening[n]])) for n in lines),
            Span(np.array([low[at.PITCH_LEAST], high[at.PITCH_MOST]])), (jounce[0], jounce[1]), (standing[0], standing[1]),
        )  # fmt: skip


class _AxleInLane(AxleOnDemand):
    """An axle in a block; what is asked of a part of the run is worked out for that part alone."""

    def __init__(self, rise: Callable[[int], Array], later: Later, **known: Any) -> None:
        super().__init__(later, _rise=rise, **known)

    def body_rise_m(self, first: int = 0) -> Array:
        """Return how far the body is above where it stood over the axle, from a sample on (n - first,) [m]."""
        rise: Array = self.__dict__["_rise"](first)
        return rise


def _turned(pitch: Array) -> tuple[Array, Array]:
    """Return sine and cosine of pitches (n,) [rad] that are within `layout.PITCH_LIMIT`, as the kernel has them."""
    sines, cosines = np.empty(pitch.size), np.empty(pitch.size)
    sines_and_cosines(pitch, sines, cosines)
    return sines, cosines


def structure(ready: Prepared) -> tuple[Any, ...]:
    """Return what set-ups must have in common to run in one block, beside their step; the same for all laws of dampers."""
    vehicle = ready.setup.kin
    lines = tuple((line.axle, line.role, line.name, line.line.bush_give > 0.0) for line in ready.setup.lines)
    fitted = tuple((axle.stop is None, not is_ever_taut(ready.setup, name)) for name, axle in vehicle.axles)
    # What the kernel chooses its text by, for all lanes of a block at once.
    ways = tuple(
        (path.arc.radius_square > 0.0, path.arc.turns, ready.setup.axles[name].wind_up_free)
        for name, path in ready.setup.paths.items()
    )
    return lines, fitted, ways, tuple(vehicle.points)
