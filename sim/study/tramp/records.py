"""What a map of tramp holds: motions and runs at each place and slope, where it tramps, and that in words."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from math import isnan, nan, pi

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import Relaxation
from sim.integrate.status import Flag, once
from sim.study.deciding import between, least_loss
from sim.study.lean import HARDLY
from sim.study.mounts import MOVES, Misfit

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]

WATCH_S, KICK = 3.0, 0.001
"""How long a confirming run is watched [s], and the wind-up from which it starts [rad]."""

MAPPED = ("upper", "both")
"""Ways of moving the mounts that are mapped: the lean alone, and the side of the axle at one lean."""


@dataclass(frozen=True)
class Motion:
    """One way of moving about a steady state.

    Attributes
    ----------
    value : complex
        Eigenvalue [1/s].
    shape : (n,) complex array
        Speeds of its parts.
    shares : dict of str to float
        Share of kinetic energy by name of the part.
    """

    value: complex
    shape: ComplexArray
    shares: dict[str, float]

    @property
    def damping_ratio(self) -> float:
        """-1 where it grows without swinging."""
        return float(-self.value.real / abs(self.value)) if self.value else 1.0

    @property
    def frequency_hz(self) -> float:
        """Undamped frequency [Hz]."""
        return float(abs(self.value)) / 2.0 / pi

    def name(self, wind_up: str) -> str:
        """Return what moves most; of a second motion that is mostly wind-up, what moves with it."""
        ordered = sorted(self.shares, key=lambda part: -self.shares[part])
        return ordered[0] if ordered[0] != wind_up else f"{ordered[1]} with wind-up"


@dataclass(frozen=True)
class Other:
    """A motion beside wind-up."""

    name: str
    damping_ratio: float
    frequency_hz: float
    growth_per_s: float
    nods: bool  # whether the pinion nods along with it


@dataclass(frozen=True)
class Point:
    """The linear model at one place of the mounts on one slope of the slip curve."""

    damping_ratio: float  # of wind-up; negative: it grows, at -1 without even swinging
    frequency_hz: float
    slip: float  # at which the wheels turn steadily
    slip_slope: float  # force by slip there, as a share of the load
    growth_per_s: float  # real part of its eigenvalue
    alike: float  # modal assurance between its shape and that at the point before
    others: tuple[Other, ...]  # least damped first

    def least_other(self, nods: bool) -> float:
        """Return the least damping ratio of the other motions with which the pinion nods, or does not; 1 without one."""
        return min((other.damping_ratio for other in self.others if other.nods == nods), default=1.0)


@dataclass(frozen=True)
class Ran:
    """What a run of the full model did from a small kick."""

    first_rad: float  # size of its swings early on
    last_rad: float  # and at the end
    frequency_hz: float = nan  # of the late swings; nan where they are too small to tell
    flags: tuple[Flag, ...] = ()

    @property
    def tramps(self) -> bool:
        """Whether its swings are kept up, several times as large as the kick that began them: a limit cycle."""
        return self.last_rad > 5.0 * KICK


@dataclass(frozen=True)
class Stretch:
    """Slopes of the slip curve over which something grows: from the first, where the tyres grip more, to the last."""

    first: float
    last: float
    starts_inside: bool  # whether it starts on the map
    ends_inside: bool


@dataclass(frozen=True)
class TrampMap:
    """Stability over places of the mounts (n,) and slopes of the slip curve (m,).

    Attributes
    ----------
    name : str
        The set-up.
    axle : str
        The axle that drives.
    places, slip_slope : arrays
        The grid; places are leans [rad] or lower mounts ahead of the axle's centre [m]; a slope is force by slip as a share of
        the load.
    points : list of list of Point
        By place, then by slope; empty for a place that is left out.
    ran : dict of (int, int) to Ran
        Runs that confirm it, by place on the grid.
    move : str
        What is moved, by its name in `mounts.MOVES`.
    relaxation : str
        How grip follows load.
    left_out : dict of int to Misfit
        Why a place is left out, by its number: a damper does not fit there by what was measured.
    standing : int or None
        The place at which the set-up's file has its dampers; None where it is none of them.
    unsure : dict of int to Misfit
        Places that are mapped all the same, though by an estimate a damper would not fit there.
    """

    name: str
    axle: str
    places: Array
    slip_slope: Array
    points: list[list[Point]]
    ran: dict[tuple[int, int], Ran]
    move: str = "upper"
    relaxation: Relaxation = "at_once"
    left_out: dict[int, Misfit] = field(default_factory=dict)
    standing: int | None = None
    unsure: dict[int, Misfit] = field(default_factory=dict)

    def only(self, kept: Sequence[int]) -> "TrampMap":
        """Return the map over some of its places, by their numbers, without runs."""
        number = {place: i for i, place in enumerate(kept)}
        return replace(
            self, places=self.places[list(kept)], points=[self.points[i] for i in kept], ran={},
            left_out={number[i]: why for i, why in self.left_out.items() if i in number},
            unsure={number[i]: why for i, why in self.unsure.items() if i in number},
            standing=None if self.standing is None else number.get(self.standing),
        )  # fmt: skip

    @property
    def known(self) -> bool:
        """Whether most places were mapped: of fewer nobody can say that it hardly matters where the dampers are."""
        return 2 * len(self.left_out) <= len(self.points)

    def words(self, place: int) -> str:
        """Return a place in words, and that it is where the set-up has its dampers."""
        return MOVES[self.move].words(self.places[place]) + (", as it stands" if place == self.standing else "")

    def grid(self, of: Callable[[Point], float]) -> Array:
        """Return a number of every point (n, m); nan where a place is left out."""
        return np.array([[of(p) for p in row] if row else [nan] * self.slip_slope.size for row in self.points])

    @property
    def damping(self) -> Array:
        """Damping ratios of wind-up (n, m)."""
        return self.grid(lambda point: point.damping_ratio)

    def others(self, nods: bool = True) -> Array:
        """Return the least damping ratios (n, m) of other motions with which the pinion nods, or does not."""
        return self.grid(lambda point: point.least_other(nods))

    @property
    def flags(self) -> tuple[Flag, ...]:
        """One of each kind and part that a run was flagged for."""
        return once(flag for run in self.ran.values() for flag in run.flags)

    def flags_at(self, place: int) -> tuple[Flag, ...]:
        """Return the flags of the runs at a place; empty if none was run there, too."""
        return once(flag for (i, _), run in self.ran.items() if i == place for flag in run.flags)

    def latest(self, sound: bool = True) -> int:
        """Return the place at which it starts to tramp latest: one whose runs are not flagged, if there is one and that is asked for."""
        onsets = np.array([self.onset(place) for place in range(len(self.points))])
        if sound:
            kept = np.array([nan if self.flags_at(place) else onset for place, onset in enumerate(onsets)])
            onsets = onsets if np.isnan(kept).all() else kept
        # Tramp starts as the slope falls from grip to sliding: the lowest onset is the latest.
        return int(np.nanargmin(onsets))

    def stretches(self, row: Array) -> tuple[Stretch, ...]:
        """Return where along the slip curve, from grip to sliding, a row of damping ratios (m,) is not positive."""
        # From the largest slope (grip) to the least (sliding past the peak): the way on which slip grows.
        order = np.argsort(self.slip_slope)[::-1]
        slopes, values = self.slip_slope[order], row[order]
        grows = values <= 0.0
        growing, begun = [], None
        for i, here in enumerate(grows):
            if here and begun is None:
                # What grows at the first slope already began somewhere off the map.
                begun = (float(slopes[0]), False) if i == 0 else (_crossing(slopes, values, i), True)
            if not here and begun is not None:
                growing.append(Stretch(begun[0], _crossing(slopes, values, i), begun[1], True))
                begun = None
        if begun is not None:
            growing.append(Stretch(begun[0], float(slopes[-1]), begun[1], False))
        return tuple(growing)

    def tramping(self, place: int) -> tuple[Stretch, ...]:
        """Return where along the slip curve wind-up grows at a place, or another motion with which the pinion nods."""
        # With either motion the pinion nods, and to who drives it both are tramp.
        rows = (self.damping[place], self.others()[place])
        return _joined(sorted((s for row in rows for s in self.stretches(row)), key=lambda s: -s.first))

    def onset(self, place: int) -> float:
        """Return the slope from which it tramps at a place, from grip on: inf if it always does, -inf if never, nan if left out."""
        return _onset(self.tramping(place)) if self.points[place] else nan

    def wind_up_onset(self, place: int) -> float:
        """Return the same of wind-up itself."""
        return _onset(self.stretches(self.damping[place])) if self.points[place] else nan

    def tramps(self, place: int) -> str:
        """Return in words where along the slip curve it tramps at a place."""
        return in_words(self.tramping(place))

    def first_name(self, place: int) -> str:
        """Return what tramps first at a place, from grip on: wind-up, or another motion with its frequency; empty if nothing."""
        onset = self.onset(place)
        if isnan(onset) or onset == -np.inf:
            return ""
        other = self._first_other(place, True)
        if self.wind_up_onset(place) >= onset or other is None:
            return "wind-up"
        return f"{other.name} ({other.frequency_hz:.1f} Hz), the pinion nods along"

    def also(self, place: int) -> str:
        """Return in words what else grows at a place, with which the pinion does not nod; empty if nothing."""
        other = self._first_other(place, False)
        nodding = {other.name for point in self.points[place] for other in point.others if other.nods}
        if other is None or other.name in nodding:  # what nods the pinion on another slope is reported as tramp
            return ""
        return f"{other.name} ({other.frequency_hz:.1f} Hz) {in_words(self.stretches(self.others(False)[place]))}"

    def _first_other(self, place: int, nods: bool) -> Other | None:
        """Return the other motion that grows first at a place, from grip on, as it is at the first slope where it does."""
        for j in map(int, np.argsort(self.slip_slope)[::-1]):
            for other in self.points[place][j].others:
                if other.damping_ratio <= 0.0 and other.nods == nods:
                    return other
        return None


def _joined(stretches: list[Stretch]) -> tuple[Stretch, ...]:
    """Return stretches, first ones first, with those that overlap as one."""
    joined: list[Stretch] = []
    for stretch in stretches:
        # Slopes fall from `first` to `last`, so two stretches overlap where the later first is above the earlier last.
        if joined and joined[-1].last <= stretch.first:
            if stretch.last < joined[-1].last:
                joined[-1] = replace(joined[-1], last=stretch.last, ends_inside=stretch.ends_inside)
        else:
            joined.append(stretch)
    return tuple(joined)


def _onset(stretches: tuple[Stretch, ...]) -> float:
    if not stretches:
        return -np.inf
    return stretches[0].first if stretches[0].starts_inside else np.inf


def in_words(stretches: tuple[Stretch, ...]) -> str:
    """Return over which slopes of the slip curve something grows: always, never, or from where on."""
    said = []
    for stretch in stretches:
        first, last = _of_grip(stretch.first, STARTS), _of_grip(stretch.last, ENDS)
        if not stretch.starts_inside and not stretch.ends_inside:
            return "always"
        if not stretch.ends_inside:
            said.append(first)
        elif not stretch.starts_inside:
            said.append(last)
        else:
            said.append(f"{first}, {last}")
    return " and ".join(said) or "never"


NEAR = 0.05
"""Slope of the slip curve, as a share of the load, within which the tyres are at their most grip: no foot holds them nearer; ours."""

STARTS = (
    "while the tyres still grip",
    "as the tyres reach their most grip",
    "once the tyres spin past their most grip",
)
ENDS = (
    "until the tyres come near their most grip",
    "until the tyres reach their most grip",
    "until they spin on well past it",
)
"""How it is said where on the way from grip to spinning something starts and stops to grow: short of the peak, at it, past it."""


def _of_grip(slope: float, words: tuple[str, str, str]) -> str:
    """Return where on the way from grip to spinning a slope of the slip curve is, with the slope itself."""
    where = words[0] if slope > NEAR else words[2] if slope < -NEAR else words[1]
    return f"{where} (slope {_number(slope)})"


def _number(slope: float) -> str:
    # A slope of -0.001 would be written -0.00, and its sign taken for a finding.
    return f"{slope + 0.0:.2f}".replace("-0.00", "0.00")


def _crossing(slopes: Array, values: Array, i: int) -> float:
    """Return where damping passes nothing between points i - 1 and i, straight between them."""
    share = values[i - 1] / (values[i - 1] - values[i])
    return float(slopes[i - 1] + (slopes[i] - slopes[i - 1]) * share)


@dataclass(frozen=True)
class Tramp:
    """Maps of one set-up by move and by how grip follows load, the file's first.

    Attributes
    ----------
    maps : tuple of TrampMap
        As they were asked for, confirmed by runs.
    fine : tuple of TrampMap
        The same over FINE places, without runs; empty where none are known: then the maps themselves decide.
    """

    maps: tuple[TrampMap, ...]
    fine: tuple[TrampMap, ...] = ()

    @property
    def relaxation(self) -> Relaxation:
        """As the vehicle's file has it."""
        return self.maps[0].relaxation

    def of(self, move: str) -> tuple[TrampMap, ...]:
        """Return the maps of a move by which it is decided whether the advice turns."""
        return tuple(mapped for mapped in self.fine or self.maps if mapped.move == move)

    def turns(self) -> tuple[str, ...]:
        """Return the moves for which no one place is good both ways that grip can follow load, or for which that is too close to call.

        Good: it does not tramp there before it does at the latest place, within a share HARDLY of the slopes mapped.
        """
        return tuple(move for move in MAPPED if _turns(self.of(move)) or self._close(move))

    def close(self) -> bool:
        """Return whether it is too close to call for every move that turns: half of the places would decide otherwise."""
        return bool(self.turns()) and all(self._close(move) for move in self.turns())

    def _close(self, move: str) -> bool:
        maps = self.of(move)
        halves = tuple(one.only(range(0, len(one.points), 2)) for one in maps)
        return bool(self.fine) and _turns(maps) != _turns(halves)


def _turns(maps: tuple[TrampMap, ...]) -> bool:
    """Return whether even the place that suits all maps best lets it tramp too early on one of them."""
    if len(maps) < 2:
        return False
    losses = []
    for mapped in maps:
        onsets = clipped_onsets(mapped)
        if np.isnan(onsets).all():
            return False
        line = between(onsets)
        # Slope falls as slip grows, so the latest onset is the least slope.
        losses.append((line - np.nanmin(line)) / (HARDLY * float(np.ptp(mapped.slip_slope))))
    # Not a number: nowhere is a damper of both in its place.
    return least_loss(losses) >= 1.0


def clipped_onsets(found: TrampMap) -> Array:
    """Return the slopes (n,) from which it tramps, always and never as the ends of the map; nan where left out."""
    onsets = [found.onset(place) for place in range(len(found.points))]
    clipped: Array = np.clip(np.array(onsets), found.slip_slope.min(), found.slip_slope.max())
    return clipped
