"""The doubt of how set-ups stand: heights, frequencies, ratios with their bands."""

from collections.abc import Callable, Mapping
from fnmatch import fnmatchcase
from math import inf, isfinite, nan

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.describe.to_measure import estimated
from sim.errors import JounceError
from sim.linear.modes import named_like
from sim.linear.standing import Standing, stand
from sim.measure.band import Band
from sim.study.damper_travel import travels
from sim.study.doubt.bands import ENDS
from sim.study.doubt.lanes import Drawn
from sim.study.doubt.study import Outputs
from sim.study.doubt.unknowns import Unknown, at_shares, draws, unknowns

Array = npt.NDArray[np.float64]

DRAWS = 64
"""A standing truck answers smoothly, and each draw takes some hundredths of a second where the physics runs as plain Python."""

Quantities = dict[tuple[str, ...], float]
"""Numbers of a standing set-up [SI] by where they stand: ("front", "ride_frequency"), ("rear", "main", "motion_ratio")."""


def quantities(standing: Standing, like: Standing | None = None) -> Quantities:
    """Return every number of a standing set-up by where it stands; motions of the body are named as those of another one, if given."""
    found: Quantities = {
        ("", key): getattr(standing, key)
        for key in ("sprung_mass", "pitch_inertia", "cg_behind_front_axle", "cg_above_ground", "nose_up")
    }
    for name, axle in standing.axles.items():
        # Where droop ends is a place, with its length as a number of its own.
        found |= {(name, key): value for key, value in vars(axle).items() if isinstance(value, float)}
        found[name, "frame_up"] = axle.frame_up
        for damper in axle.dampers:
            for key, value in vars(damper).items():
                if key not in ("name", "count"):
                    found[name, damper.name, key] = value
    # By what moves, as a doubt may put one above another in frequency.
    for mode in standing.modes if like is None else named_like(standing.modes, like.modes):
        found["mode", mode.name, "frequency"] = mode.frequency_hz
        found["mode", mode.name, "damping_ratio"] = mode.damping_ratio
    return found


Bands = dict[str, dict[tuple[str, ...], Band]]
"""By set-up and by where a number stands."""


def doubted_standing(setups: Mapping[str, Vehicle], count: int = DRAWS) -> tuple[tuple[Unknown, ...], Bands]:
    """Return the numbers in doubt, and the bands of every number of every standing set-up that moves with them."""
    own: list[Standing] = []

    def said(vehicle: Vehicle) -> Quantities:
        # A set-up itself comes before its draws: their motions bear its names, and their travel ends where its own does.
        if any(vehicle is one for one in setups.values()):
            own[:] = [stand(vehicle)]
            return quantities(own[0], own[0])
        standing = stand(vehicle, estimated(own[0].vehicle))
        return quantities(standing, own[0])

    return doubted_quantities(setups, said, count)


def doubted_quantities(
    setups: Mapping[str, Vehicle], of_vehicle: Callable[[Vehicle], Quantities], count: int = DRAWS
) -> tuple[tuple[Unknown, ...], Bands]:
    """Return the numbers in doubt, and the bands of whatever is asked of set-ups and moves with them.

    Draws that cannot stand are left out; a set-up of which fewer than half stand has no bands.
    """
    of = unknowns(setups)
    if not of:
        return (), {}
    _, values = draws(of, count)
    drawn = Drawn(setups, of, values)
    bands: Bands = {}
    for name, vehicle in setups.items():
        keys = [key for key, value in of_vehicle(vehicle).items() if isfinite(value)]
        found = np.full((count, len(keys)), nan)
        for draw in range(count):
            try:
                said = of_vehicle(drawn.vehicle(name, draw))
            except JounceError:
                continue
            found[draw] = [said.get(key, nan) for key in keys]
        if np.isfinite(found).any(axis=1).sum() < count // 2:
            continue
        words = ["\n".join(key) for key in keys]
        own = Outputs(of, values, {name: found}, words, name).bands()[0][name]
        bands[name] = {
            key: own[word]
            for key, word in zip(keys, words, strict=True)
            if word in own and own[word].high - own[word].low > _rounding(own[word])
        }
    return of, bands


FORCE_SPEEDS = (0.1, 0.52)
"""Speeds [m/s], of body and of ripples, at which the doubt of an order's forces is said."""


def ordered(vehicle: Vehicle) -> Quantities:
    """Return what the order of each damper rests on: lengths, room at its ends, forces of one."""
    found: Quantities = {}
    for one in travels(vehicle):
        where = one.line.axle, one.line.name
        found |= {(*where, "length", place): placed.length for place, placed in one.places.items()}
        found[*where, "room", "to collapsed"] = one.inside
        found[*where, "room", "to extended"] = one.outside
        law = dict(vehicle.axles)[one.line.axle].dampers[one.line.name].valving
        for speed in FORCE_SPEEDS:
            found[*where, "compression", f"{speed:g} m/s"] = float(law.force(speed))
            found[*where, "rebound", f"{speed:g} m/s"] = -float(law.force(-speed))
    return found


GEOMETRY = ("*.dampers.*.body.*", "*.dampers.*.axle.*", "*.dampers.*.lean_inward", "*.dampers.*.length_*", "*.stop.gap", "*.stop.squeeze",
            "*.strap.length", "*.strap.*.*", "*.guide.*", "*.springs.*", "*.housing.mass", "*.tyre.r*", "body.*", "loads.*")  # fmt: skip
"""Numbers that can move the lengths of a damper, by their paths."""

DECIDES = 0.2
"""Least share of what moves the room at a damper's end that makes a number worth measuring first; ours, no source."""


def deciding(name: str, vehicle: Vehicle) -> dict[tuple[str, str, str], tuple[str, ...]]:
    """Return the paths of the numbers in doubt that decide the room at each end of each damper, the first decides most.

    Each is moved by itself to the ends of its own doubt; shares are of the squares of what that moves.

    Parameters
    ----------
    name : str
        The set-up's.
    vehicle : Vehicle

    Returns
    -------
    dict of (str, str, str) to tuple of str
        By axle, set and end, "collapsed" or "extended".
    """
    of = [one for one in unknowns({name: vehicle}) if any(fnmatchcase(one.path, path) for path in GEOMETRY)]
    if not of:
        return {}
    middle = np.array([float(at_shares(one.what, np.array([0.5]))[0]) for one in of])
    values = np.tile(middle, (2 * len(of), 1))
    for column, one in enumerate(of):
        values[2 * column : 2 * column + 2, column] = at_shares(one.what, np.array(ENDS))
    drawn = Drawn({name: vehicle}, of, values)
    moved: dict[tuple[str, str, str], np.ndarray] = {}
    for column in range(len(of)):
        try:
            low, high = (travels(drawn.vehicle(name, 2 * column + side)) for side in (0, 1))
        except JounceError:
            continue
        for least, most in zip(low, high, strict=True):
            ends = {"collapsed": most.inside - least.inside, "extended": most.outside - least.outside}
            for end, by in ends.items():
                moved.setdefault((least.line.axle, least.line.name, end), np.zeros(len(of)))[column] = by
    decides = {}
    for where, each in moved.items():
        squares = np.where(np.isfinite(each), each, 0.0) ** 2
        shares = squares / (squares.sum() or 1.0)
        decides[where] = tuple(of[n].path for n in np.argsort(-shares) if shares[n] >= DECIDES)
    return decides


def _rounding(band: Band) -> float:
    """Return a width that is none: of a number that no draw has moved."""
    largest = max(abs(band.low), abs(band.high))
    return 1e-9 * largest if largest < inf else inf
