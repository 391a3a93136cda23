"""Set-ups side by side in the arrays that the kernel takes."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import prod
from typing import Any, Literal

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered, NamedLine
from sim.kernel import layout as at

Array = npt.NDArray[np.float64]
"""Numbers; of single precision only where a block is packed so (`pack`)."""

Precision = type[np.float64] | type[np.float32]

PrecisionName = Literal["single", "double"]

CACHE_LINE = 64
"""Bytes that the processor fetches at a time."""

UNWATCHED = np.zeros(0, np.int64)
"""What a run watches that writes its whole time history: nothing besides."""

ROLES = ("coil", "damper", "link", "link bushes", "strap")
"""What lines are for, in the order in which every axle has them."""

NOTHING = at.Line(
    number=0.0, body_forward=0.0, body_up=1.0, axle_forward=0.0, axle_up=0.0, sideways=1.0,
    rate=0.0, length_free=0.0, force_least=0.0, force_constant=0.0, force_rate=0.0, force_length=0.0,
    length_collapsed=0.0, length_extended=1e3, end_rate=0.0, end_loss=0.0, bush_give=0.0,
)  # fmt: skip
"""A line that does nothing: fills the place where one set-up of a block has a part and another has none."""


@dataclass
class Packed:
    """The arrays of one block of set-ups, as `sim.kernel.integrate` takes them."""

    lanes: int
    memory: Array  # (MEMORY_ROWS * lanes,)
    lines: Array  # (lines, LINE_ROWS * lanes)
    lines_front: int
    kinds: npt.NDArray[np.int64]
    knots: Array  # (groups, GROUP_ROWS * lanes)
    first_group: npt.NDArray[np.int64]

    def rows(self) -> Array:
        """Return the memory as (rows, lanes); a view."""
        return self.memory.reshape(-1, self.lanes)

    @property
    def kind(self) -> Precision:
        """Precision of its numbers."""
        kind: Precision = self.memory.dtype.type
        return kind

    def bush_memory(self) -> Array:
        """Return fresh memory for the end bushes, and for how far lines go."""
        memory = aligned((self.lines.shape[0], at.BUSH_ROWS * self.lanes), self.kind)
        # A first length must be the least so far; zero is below any greatest one.
        memory[:, at.LEAST_LENGTH * self.lanes : at.MOST_LENGTH * self.lanes] = np.inf
        return memory


def aligned(shape: tuple[int, ...], kind: Precision = np.float64) -> Array:
    """Return zeros whose first element starts a cache line, so that no row of lanes straddles two."""
    size = prod(shape)
    # Numbers have four bytes or eight, so this is a cache line to spare, or two.
    raw: Any = np.zeros(size + CACHE_LINE // 4, kind)
    start = -raw.ctypes.data // raw.itemsize % (CACHE_LINE // raw.itemsize)
    view: Array = raw[start : start + size].reshape(shape)
    return view


def pack(setups: Sequence[Lowered], lanes: int, kind: Precision = np.float64) -> Packed:
    """Lay out up to `lanes` set-ups side by side, in numbers of one precision; spare lanes repeat the last one."""
    filled = [setups[min(i, len(setups) - 1)] for i in range(lanes)]
    first = filled[0]
    # Thousands that differ in laws of dampers alone share every other record: what those make is laid out once.
    kin = lanes > 1 and all(s.axles is first.axles and s.body is first.body and s.paths is first.paths for s in filled)
    if not kin:
        return _laid_out(filled, *_slots(filled), lanes, kind)
    key = id(first.axles), id(first.body), id(first.paths), lanes, kind
    if key in _known and all(_same_lines(one, _known[key].of) for one in filled):
        return _with_ramps(_known[key], list(zip(*(one.lines for one in filled), strict=True)))
    slots, lines_front = _slots(filled)
    packed = _laid_out(filled, slots, lines_front, lanes, kind)
    # Only if lines stand in the order of its own, by which they are found again.
    if [slot[0] for slot in slots] == list(first.lines):
        if len(_known) >= KNOWN:
            _known.clear()
        _known[key] = _Known(first, replace(packed, memory=packed.memory.copy()))
    return packed


KNOWN = 16
"""So many layouts are kept."""


@dataclass(frozen=True)
class _Known:
    """A set-up with its layout as it was before any run: the set-up with it, so that the ids of its records stay its own."""

    of: Lowered
    packed: Packed


_known: dict[tuple[Any, ...], _Known] = {}


def _same_lines(one: Lowered, other: Lowered) -> bool:
    """Tell whether two set-ups have the very same lines but for their ramps."""
    return len(one.lines) == len(other.lines) and all(
        a is b or a.line is b.line for a, b in zip(one.lines, other.lines, strict=True)
    )


def _with_ramps(known: _Known, slots: Sequence[Sequence[NamedLine]]) -> Packed:
    """Return a known layout with the ramps of other laws; slots : lines of all lanes, by place."""
    packed = known.packed
    groups = packed.first_group.tolist()
    tables = []
    for number, (slot, own) in enumerate(zip(slots, known.of.lines, strict=True)):
        if all(line.knots is own.knots for line in slot):
            tables.append(packed.knots[groups[number] : groups[number + 1]].reshape(-1, at.GROUP_ROWS, packed.lanes))
        else:
            tables.append(_ramp_tables([line.knots for line in slot]))
    memory = aligned(packed.memory.shape, packed.kind)
    memory[:] = packed.memory
    knots, first_group = _in_groups(tables, packed.lanes, packed.kind)
    return replace(packed, memory=memory, knots=knots, first_group=first_group)


def _in_groups(tables: Sequence[Array], lanes: int, kind: Precision) -> tuple[Array, npt.NDArray[np.int64]]:
    """Return the ramps of all lines one after the other, and where those of each begin."""
    first_group = np.cumsum([0, *map(len, tables)]).astype(np.int64)
    knots = aligned((max(int(first_group[-1]), 1), at.GROUP_ROWS * lanes), kind)
    for first, table in zip(first_group.tolist(), tables, strict=False):
        knots[first : first + len(table)] = table.reshape(-1, at.GROUP_ROWS * lanes)
    return knots, first_group


def _laid_out(
    filled: Sequence[Lowered], slots: list[list[NamedLine | None]], lines_front: int, lanes: int, kind: Precision
) -> Packed:
    memory = aligned((at.MEMORY_ROWS * lanes,), kind)
    rows = memory.reshape(-1, lanes)
    rows[at.BODY : at.AXLE] = _columns([setup.body for setup in filled])
    for index, name in enumerate(("front", "rear")):
        start = at.AXLE + index * at.AXLE_ROWS
        rows[start : start + at.AXLE_ROWS] = _columns([setup.axles[name] for setup in filled])
        paths = [setup.paths[name] for setup in filled]
        arc = at.ARC + index * at.ARC_ROWS
        rows[arc : arc + at.ARC_ROWS] = _columns([path.arc for path in paths])
        rows[at.TURNS + index] = _columns([(float(any(path.turn)),) for path in paths])
        for table, coefficients in ((at.PATH, [p.place for p in paths]), (at.TURN, [p.turn for p in paths])):
            start = table + index * (at.DEGREE + 1)
            rows[start : start + at.DEGREE + 1] = _columns(coefficients)
    lines = aligned((len(slots), at.LINE_ROWS * lanes), kind)
    tables = [_ramp_tables([n.knots if n else () for n in slot]) for slot in slots]
    knots, first_group = _in_groups(tables, lanes, kind)
    for number, slot in enumerate(slots):
        lines[number].reshape(at.LINE_ROWS, lanes)[:] = _columns([n.line if n else NOTHING for n in slot])
    kinds = np.array([_kind(slot) for slot in slots], np.int64)
    return Packed(lanes, memory, lines, lines_front, kinds, knots, first_group)


def _columns(records: Sequence[Sequence[float]]) -> Array:
    """Return records (rows, lanes) side by side; one column if all lanes have the very same."""
    first = records[0]
    # Set-ups that differ elsewhere share the very record; NumPy then copies one column to all lanes.
    if all(record is first for record in records):
        return np.array(first, np.float64)[:, None]
    return np.array(records, np.float64).T


def _slots(filled: Sequence[Lowered]) -> tuple[list[list[NamedLine | None]], int]:
    """Return what stands in each place for a line, by lane, and how many of these places are the front axle's."""
    first = filled[0].lines
    if all(len(s.lines) == len(first) for s in filled):
        # The usual block: everyone has the same parts, in the kernel's order ("front" sorts before "rear").
        words = [[n[:3] for n in setup.lines] for setup in filled]
        if all(one == words[0] for one in words) and words[0] == sorted(
            words[0], key=lambda n: (n[0], ROLES.index(n[1]))
        ):
            front = sum(line.axle == "front" for line in first)
            return [list(slot) for slot in zip(*(s.lines for s in filled), strict=True)], front
    slots: list[list[NamedLine | None]] = []
    lines_front = 0
    for name in ("front", "rear"):
        for role in ROLES:  # a slot holds lines of one role, whatever the set-ups have
            of_role = [[n for n in s.lines if n.axle == name and n.role == role] for s in filled]
            for i in range(max(map(len, of_role))):
                slots.append([lines[i] if i < len(lines) else None for lines in of_role])
        lines_front = len(slots) if name == "front" else lines_front
    return slots, lines_front


def ramp_table(knots: tuple[at.Knot, ...]) -> Array:
    """Return the ramps of one line of one set-up as the kernel takes them (groups, GROUP_ROWS); equal starts have equal places."""
    return _ramp_tables([knots])[:, :, 0]


def _ramp_tables(knots: Sequence[tuple[at.Knot, ...]]) -> Array:
    """Return the ramps of one line in all lanes (groups, GROUP_ROWS, lanes)."""
    side_by_side = _side_by_side(knots)
    if side_by_side is not None:
        knots = [side_by_side] * len(knots)
    known: dict[int, tuple[list[at.Knot], list[at.Knot]]] = {}
    for own in knots:
        # Set-ups that share a damper share its knots: many lanes, few curves.
        if id(own) not in known:
            known[id(own)] = both_sides(own)
    # As many groups as the longest curve needs; shorter ones are filled up with flat ramps.
    groups = -(-max(len(side) for pair in known.values() for side in pair) // at.GROUP)
    ramps: Array = np.zeros((groups, at.GROUP_ROWS, len(knots)))
    if len(known) == 1:
        _lay_out(known[id(knots[0])], ramps)
    else:
        for lane, own in enumerate(knots):
            _lay_out(known[id(own)], ramps[:, :, lane])
    return ramps


def _side_by_side(knots: Sequence[tuple[at.Knot, ...]]) -> tuple[at.Knot, ...] | None:
    """Return the ramps of lanes that begin at the same speeds as ramps whose slopes are arrays (lanes,); None if they do not, or are the same."""
    first = knots[0]
    if all(own is first for own in knots) or any(len(own) != len(first) for own in knots):
        return None
    every = np.array(knots, np.float64).reshape(len(knots), -1, len(at.Knot._fields))
    if not np.array_equal(every[:, :, :2], np.broadcast_to(every[0, :, :2], every[:, :, :2].shape)):
        return None
    # The type says a number: what is done with slopes is the same for an array of them.
    slopes: list[Any] = list(every[:, :, 2].T)
    return tuple(at.Knot(knot.sense, knot.start, slope) for knot, slope in zip(first, slopes, strict=True))


def both_sides(knots: tuple[at.Knot, ...]) -> tuple[list[at.Knot], list[at.Knot]]:
    """Return the ramps of each side, compression first, those that begin at one speed made one."""
    sides = []
    for sense in (1.0, -1.0):
        slopes: dict[float, float] = {}
        for knot in knots:
            if knot.sense == sense:
                slopes[knot.start] = slopes.get(knot.start, 0.0) + knot.slope
        sides.append([at.Knot(sense, start, slope) for start, slope in slopes.items()])
    return sides[0], sides[1]


def _lay_out(sides: tuple[list[at.Knot], list[at.Knot]], ramps: Array) -> None:
    """Write the ramps of one lane, or of all alike, into their groups (groups, GROUP_ROWS) or (groups, GROUP_ROWS, lanes)."""
    for side, start, slope in (
        (sides[0], at.COMPRESSION_START, at.COMPRESSION_SLOPE),
        (sides[1], at.EXTENSION_START, at.EXTENSION_SLOPE),
    ):
        for index, knot in enumerate(side):
            group, place = divmod(index, at.GROUP)
            ramps[group, place * at.PAIR_ROWS + start] = knot.sense * knot.start
            ramps[group, place * at.PAIR_ROWS + slope] = knot.slope
            # A ramp runs on at its start below it; the offset takes that off, so that the curve is zero at rest.
            ramps[group, at.OFFSET] -= knot.sense * knot.start * knot.slope


def _kind(slot: list[NamedLine | None]) -> int:
    """Return what is left out for a line in a block."""
    entries = [entry for entry in slot if entry is not None]
    if entries[0].role in ("damper", "link bushes"):
        # One lane on bushes makes all take that way; rigid ones have a give of zero there.
        return at.BUSHED if any(entry.line.bush_give > 0.0 for entry in entries) else at.DAMPER
    return at.STRAP if entries[0].role == "strap" else at.SPRING
