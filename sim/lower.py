"""From what people wrote to what the kernel gets: plain SI records, then blocks of arrays."""

from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, prod
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt

from sim.errors import RunError
from sim.kernel import layout as at
from sim.parts.axle import Axle
from sim.parts.dampers.damper_set import FREE_OIL_LEAN
from sim.parts.guides.series import Path
from sim.parts.places import SprungPlace
from sim.parts.springs import Coil, LeafPack
from sim.parts.stop import Stop
from sim.parts.vehicle import Vehicle
from sim.stance import (
    GRAVITY,
    AxleStance,
    Preload,
    axle_mass,
    axle_stances,
    preload,
    sprung_mass,
)

Array = npt.NDArray[np.float64]
"""Numbers; of single precision only where a block is packed so (`pack`)."""

Precision = type[np.float64] | type[np.float32]

CACHE_LINE = 64
"""Bytes that the processor fetches at a time."""


UNWATCHED = np.zeros(0, np.int64)
"""What a run watches that writes its whole time history: nothing besides."""


class NamedLine(NamedTuple):
    """One line of the kernel with the part that it stands for."""

    axle: str
    role: str  # "coil", "damper" or "strap"
    name: str
    line: at.Line
    knots: tuple[at.Knot, ...]


@dataclass(frozen=True)
class Lowered:
    """One set-up in plain SI: what the kernel needs, and what it is called."""

    vehicle: Vehicle
    body: at.Body
    axles: dict[str, at.Axle]
    paths: dict[str, Path]
    lines: tuple[NamedLine, ...]  # the front axle's first
    points: dict[str, tuple[float, float]]  # forward and up of the centre of gravity [m]
    height: float  # of the centre of gravity above the ground the truck was measured on [m]
    place: SprungPlace


def lower(vehicle: Vehicle, gravity: float = GRAVITY) -> Lowered:
    """Lower a set-up; its springs are those of the truck as measured unless it brings its own.

    Raises
    ------
    RunError
        If the truck cannot stand, or a spring's free length is not known.
    """
    measured = _measured(vehicle.reference)
    sprung = sprung_mass(vehicle)
    body = at.Body(
        mass=sprung.mass,
        pitch_inertia=sprung.pitch_inertia,
        gravity=gravity,
        free_to_roll=0.0,
        push_forward=0.0,
        push_up=0.0,
    )
    axles, paths, lines = {}, {}, []
    for name, axle in vehicle.axles:
        stance, held = measured[name]
        paths[name] = _path(name, vehicle, stance, sprung.place)
        axles[name] = _axle(name, axle, stance, held, paths[name], sprung.place)
        lines += _lines(name, axle, vehicle, stance, held, sprung.place)
    points = {key: (sprung.place.forward(p), sprung.place.up(p)) for key, p in vehicle.points.items()}
    return Lowered(vehicle, body, axles, paths, tuple(lines), points, sprung.place.cg_above_ground, sprung.place)


Measured = dict[str, tuple[AxleStance, Preload]]

_KEPT = 32
_known_trucks: OrderedDict[int, tuple[Vehicle, Measured]] = OrderedDict()
_known_paths: OrderedDict[tuple[Any, ...], tuple[Any, Path]] = OrderedDict()
"""Trucks as measured and paths of guides, kept for the next set-up: with the object, so that its id stays its own."""


def _measured(reference: Vehicle) -> Measured:
    """Return how the axles of the truck as measured stand, and what holds them there."""
    if id(reference) not in _known_trucks:
        made: Measured = {}
        place = sprung_mass(reference).place
        for name, stance in axle_stances(reference).items():
            made[name] = stance, preload(name, reference, _path(name, reference, stance, place), stance)
        _keep(_known_trucks, id(reference), (reference, made))
    return _known_trucks[id(reference)][1]


def _path(name: str, vehicle: Vehicle, stance: AxleStance, place: SprungPlace) -> Path:
    guide = getattr(vehicle, name).guide
    forward = place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    up = stance.centre_height - place.cg_above_ground
    key = id(guide), place.cg_behind_front_axle, place.cg_above_ground, forward, up
    if key not in _known_paths:
        try:
            made = guide.lower(place, forward, up)
        except ValueError as error:
            raise RunError(f"{name} guide: {error}") from error
        _keep(_known_paths, key, (guide, made))
    path: Path = _known_paths[key][1]
    return path


def _keep(known: OrderedDict[Any, Any], key: Any, value: Any) -> None:
    known[key] = value
    while len(known) > _KEPT:
        known.popitem(last=False)


def _axle(name: str, axle: Axle, stance: AxleStance, held: Preload, path: Path, place: SprungPlace) -> at.Axle:
    mass = axle_mass(axle)
    packs = {key: s for key, s in axle.springs.items() if isinstance(s, LeafPack)}
    friction_travels = {p.friction_travel for p in packs.values() if p.friction > 0.0}
    if len(friction_travels) > 1:
        raise RunError(f"{name} axle: its leaf packs must share one friction_travel.")
    wind_up_rate, coupling = _wind_up(name, axle, list(packs.values()))
    support = 0.0
    for key, pack in packs.items():
        if pack.free_camber is not None:
            support += pack.count * pack.rate_n_per_m * pack.free_camber
        elif key in held.leaf_support:
            support += held.leaf_support[key]
        else:
            raise RunError(f"{name} spring '{key}' is not on the truck as measured, so its free_camber must be given.")
    stop = axle.stop
    wind_up = axle.guide.wind_up
    return at.Axle(
        mass=mass.mass, pitch_inertia=mass.pitch_inertia, gravity_forward=mass.forward, gravity_up=mass.up,
        centre_up=stance.centre_height - place.cg_above_ground,
        jounce_middle=path.middle, jounce_scale=path.scale,
        wind_up_rate=wind_up_rate, wind_up_damping=wind_up.damping,
        wind_up_preload=held.wind_up_moment, wind_up_free=1.0 if wind_up.is_free else 0.0,
        leaf_rate=sum(p.count * p.rate_n_per_m for p in packs.values()), leaf_preload=support,
        friction=sum(p.count * p.friction for p in packs.values()),
        friction_build_up=1.0 / friction_travels.pop() if friction_travels else 1.0,
        **_stop(stop),
        tyre_radius=axle.tyre.radius, tyre_rate=axle.tyre.count * stance_rate(axle, stance),
        tyre_rate_rise=axle.tyre.count * stance.tyre_rate_rise,
        tyre_damping=axle.tyre.count * axle.tyre.damping,
        leaf_coupling=coupling,
    )  # fmt: skip


def _wind_up(name: str, axle: Axle, packs: list[LeafPack]) -> tuple[float, float]:
    """Return the rate against wind-up [N m/rad] and the coupling of wind-up with jounce [N/rad] of an axle.

    A rate as measured is of the whole axle, so the packs then add no coupling that nobody measured.
    """
    wind_up = axle.guide.wind_up
    if wind_up.rate != "from_leaves":
        return wind_up.rate_n_m_per_rad, 0.0
    rates = [(pack.count, pack.wind_up) for pack in packs]
    if not rates or any(own is None for _, own in rates):
        raise RunError(
            f"{name} axle: wind_up rate 'from_leaves' needs leaf packs with their halves: halves: {{ahead: 610 mm, behind: 700 mm}}"
        )
    return (
        sum(count * own.by_turn for count, own in rates if own is not None),
        sum(count * own.coupling for count, own in rates if own is not None),
    )


def stance_rate(axle: Axle, stance: AxleStance) -> float:
    """Return the rate of one tyre at no deflection [N/m]: a set-up's own tyre, or the measured truck's."""
    return stance.tyre_rate if axle.tyre.rate_at_twice_the_load is not None else axle.tyre.rate


def _stop(stop: Stop | None) -> dict[str, float]:
    if stop is None:
        return {
            "stop_gap": 1e3, "stop_rate": 0.0, "stop_cubic": 0.0, "stop_loss": 0.0,
            "stop_forward": 0.0, "stop_up": 0.0,
        }  # fmt: skip
    return {
        "stop_gap": stop.gap, "stop_rate": stop.count * stop.rate_first, "stop_cubic": stop.count * stop.cubic,
        "stop_loss": stop.loss, "stop_forward": stop.meets.ahead, "stop_up": stop.meets.above,
    }  # fmt: skip


def _lines(
    name: str, axle: Axle, vehicle: Vehicle, stance: AxleStance, held: Preload, place: SprungPlace
) -> list[NamedLine]:
    lines = []
    for key, spring in axle.springs.items():
        if isinstance(spring, Coil):
            free = spring.free_length if spring.free_length is not None else held.free_length.get(key)
            if free is None:
                raise RunError(
                    f"{name} spring '{key}' is not on the truck as measured, so its free_length must be given."
                )
            lines.append(NamedLine(name, "coil", key, spring.lower(place, free), ()))
    forward = place.cg_behind_front_axle - vehicle.axle_behind_front_m(name)
    up = stance.centre_height - place.cg_above_ground
    for key, damper in axle.dampers.items():
        length = damper.length_at_ride_m(place, forward, up)
        low, high = damper.length_collapsed or 0.0, damper.length_extended or 1e3
        if not low < length < high:
            raise RunError(
                f"{name} damper set '{key}' is {length * 1e3:.0f} mm long between its mounts at ride height, outside "
                f"its stroke of {low * 1e3:.0f} to {high * 1e3:.0f} mm. Check mounts and lengths."
            )
        lean = damper.lean_at_ride(place, forward, up)
        if damper.built == "twin_tube" and lean > FREE_OIL_LEAN:
            raise RunError(
                f"{name} damper set '{key}' leans {degrees(lean):.0f} deg at ride height; a twin-tube with a free oil surface takes in "
                f"its gas past {degrees(FREE_OIL_LEAN):.0f} deg. Stand it up, or fit one with a gas cell or a monotube."
            )
        line, knots = damper.lower(place, length)
        lines.append(NamedLine(name, "damper", key, line, knots))
    if axle.wind_up_link is not None:
        spring_line, bush_line = axle.wind_up_link.lower(place, forward, up)
        lines.append(NamedLine(name, "link", "wind_up_link", *spring_line))
        lines.append(NamedLine(name, "link bushes", "wind_up_link", *bush_line))
    if axle.strap is not None:
        line, knots = axle.strap.lower(place)
        lines.append(NamedLine(name, "strap", "strap", line, knots))
    return lines


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
        memory[:, at.LEAST_LENGTH * self.lanes : at.MOST_LENGTH * self.lanes] = np.inf
        return memory


def aligned(shape: tuple[int, ...], kind: Precision = np.float64) -> Array:
    """Return zeros whose first element starts a cache line, so that no row of lanes straddles two."""
    size = prod(shape)
    raw: Any = np.zeros(size + CACHE_LINE // 4, kind)
    start = -raw.ctypes.data // raw.itemsize % (CACHE_LINE // raw.itemsize)
    made: Array = raw[start : start + size].reshape(shape)
    return made


def pack(setups: Sequence[Lowered], lanes: int, kind: Precision = np.float64) -> Packed:
    """Lay out up to `lanes` set-ups side by side, in numbers of one precision; spare lanes repeat the last one."""
    filled = [setups[min(i, len(setups) - 1)] for i in range(lanes)]
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
    slots, lines_front = _slots(filled)
    lines = aligned((len(slots), at.LINE_ROWS * lanes), kind)
    tables = [_ramp_tables([n.knots if n else () for n in slot]) for slot in slots]
    first_group = np.concatenate([[0], np.cumsum([len(table) for table in tables])]).astype(np.int64)
    knots = aligned((max(int(first_group[-1]), 1), at.GROUP_ROWS * lanes), kind)
    for number, slot in enumerate(slots):
        lines[number].reshape(at.LINE_ROWS, lanes)[:] = _columns([n.line if n else NOTHING for n in slot])
        knots[first_group[number] : first_group[number + 1]] = tables[number].reshape(-1, at.GROUP_ROWS * lanes)
    kinds = np.array([_kind(slot) for slot in slots], np.int64)
    return Packed(lanes, memory, lines, lines_front, kinds, knots, first_group)


def _columns(records: Sequence[Sequence[float]]) -> Array:
    """Return records (rows, lanes) side by side; one column if all lanes have the very same."""
    first = records[0]
    if all(record is first for record in records):
        return np.array(first, np.float64)[:, None]
    return np.array(records, np.float64).T


def _slots(filled: Sequence[Lowered]) -> tuple[list[list[NamedLine | None]], int]:
    """Return what stands in each place for a line, by lane, and how many of these places are the front axle's."""
    first = filled[0].lines
    if all(len(s.lines) == len(first) for s in filled):
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
                slots.append([found[i] if i < len(found) else None for found in of_role])
        lines_front = len(slots) if name == "front" else lines_front
    return slots, lines_front


def _ramp_tables(knots: Sequence[tuple[at.Knot, ...]]) -> Array:
    """Return the ramps of one line in all lanes (groups, GROUP_ROWS, lanes)."""
    known: dict[int, tuple[list[at.Knot], list[at.Knot]]] = {}
    for own in knots:
        if id(own) not in known:
            known[id(own)] = both_sides(own)
    groups = -(-max(len(side) for pair in known.values() for side in pair) // at.GROUP)
    made: Array = np.zeros((groups, at.GROUP_ROWS, len(knots)))
    if len(known) == 1:
        _lay_out(known[id(knots[0])], made)
    else:
        for lane, own in enumerate(knots):
            _lay_out(known[id(own)], made[:, :, lane])
    return made


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
            ramps[group, at.OFFSET] -= knot.sense * knot.start * knot.slope


def _kind(slot: list[NamedLine | None]) -> int:
    """Return what is left out for a line in a block."""
    entries = [entry for entry in slot if entry is not None]
    if entries[0].role in ("damper", "link bushes"):
        return at.BUSHED if any(entry.line.bush_give > 0.0 for entry in entries) else at.DAMPER
    return at.STRAP if entries[0].role == "strap" else at.SPRING
