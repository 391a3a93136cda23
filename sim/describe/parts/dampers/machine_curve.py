"""From what a test machine wrote to a curve: points as they are, whole loops as the mean of their two branches.

Signs are found out: a damper takes energy, so force and speed have one sign where it is damped; and gas pushes it out, so the
force at rest tells which sign is compression. Where a file holds neither, the user is asked.
"""

from dataclasses import dataclass
from math import nan

import numpy as np
import numpy.typing as npt

from sim.describe.parts.dampers.machine_csv import Machine
from sim.describe.parts.dampers.machine_loops import Loops, branches, speeds_of
from sim.describe.shown import show, show_short

Array = npt.NDArray[np.float64]

STILL = 5e-3
"""Below this speed [m/s] a machine pulls for friction alone, by a national component standard, read in a public summary."""

LEAST_GAS = 5.0
"""Force at rest [N] below which it tells no direction: a load cell's zero."""


@dataclass(frozen=True)
class Side:
    """One direction of the curve.

    Attributes
    ----------
    speed, force : (n,) array
        Rising from above rest [m/s]; forces [N] positive, without gas and the friction taken off.
    hysteresis : (n,) array
        Force [N] of the loop's wider less its narrower branch at that speed; nan for single points.
    """

    speed: Array
    force: Array
    hysteresis: Array


@dataclass(frozen=True)
class Reduced:
    """A damper as measured.

    Attributes
    ----------
    compression, rebound : Side
    gas, friction : float
        Push at rest and friction either way [N] that were taken off.
    energy : float
        Enclosed by the largest loop [J], nan without loops.
    words : tuple of str
        How it was read: loops or points, signs, what was taken off and why.
    """

    compression: Side
    rebound: Side
    gas: float
    friction: float
    energy: float
    words: tuple[str, ...]


def reduced(machine: Machine, positive: str | None, gas: float | None, friction: float | None) -> Reduced:
    """Return the curve of a test machine's file.

    Parameters
    ----------
    machine : Machine
        The file, read.
    positive : "compression", "rebound" or None
        Sense of the file's positive force; None: to be found out.
    gas, friction : float or None
        Push at rest [N] and friction either way [N] that its forces hold; None: to be found out.

    Raises
    ------
    ValueError
        If directions are not clear, or one is missing.
    """
    notes = []
    loops: Loops | None = None
    # A file that names its directions leaves no sign to find out.
    if _sided(machine):
        speed, force, still = _from_sides(machine)
        notes.append("points, a column for each direction")
    else:
        loops = speeds_of(machine)
        speed = machine.values["speed"] if loops is None else loops.speed
        force = machine.values["force"] if loops is None else loops.force
        notes.append("single points" if loops is None else loops.words)
        # Rest comes first: gas shifts every force the same way, and turns the signs of small ones.
        still = _still(speed, force, loops)
        speed, force, still, words = _signed(machine, speed, force, still, positive)
        notes += words
    if gas is None:
        # A file without rest may have its gas taken off already; a guess would shift the whole curve.
        gas = 0.0 if np.isnan(still) else still
        notes.append(
            "no point at rest: gas force taken as not in the figures"
            if np.isnan(still)
            else f"force at rest {show(still, 'force')}, taken off as gas force"
        )
    else:
        notes.append(f"gas force of {show(gas, 'force')} taken off, as given")
    force = force - gas
    if friction is None:
        # Both branches of a loop hold the same friction at a speed, so loops do not show it.
        friction = 0.0 if loops is not None else _friction(speed, force)
        if friction > 0.0:
            notes.append(
                f"friction of {show(friction, 'force')} from points below {show_short(STILL, 'speed', (3, 1))}, taken off"
            )
    elif friction > 0.0:
        notes.append(f"friction of {show(friction, 'force')} taken off, as given")
    # Rebound is mirrored, so that both sides are worked on with positive speeds and forces.
    sides = {
        name: _side(sense * speed, sense * force, friction, loops, machine.shown, name)
        for name, sense in (("compression", 1.0), ("rebound", -1.0))
    }
    energy = nan if loops is None else loops.energy
    return Reduced(sides["compression"], sides["rebound"], gas, friction, energy, tuple(notes))


def _sided(machine: Machine) -> bool:
    names = set(machine.values)
    return bool({"compression force", "rebound force"} & names) or {"direction", "force", "speed"} <= names


def _from_sides(machine: Machine) -> tuple[Array, Array, float]:
    """Return speeds and forces, compression positive, of a file that names the directions itself."""
    values = machine.values
    if {"direction", "force", "speed"} <= set(values):
        # The direction's word decides, whatever signs the two columns have.
        way = np.sign(values["direction"])
        return way * np.abs(values["speed"]), way * np.abs(values["force"]), nan
    speeds, forces = [], []
    for name, sense in (("compression", 1.0), ("rebound", -1.0)):
        if f"{name} force" not in values:
            raise ValueError(f"{machine.shown}: there is no {name} force: only one direction is in it")
        column = values[f"{name} force"]
        # Both signs in one direction: gas is still in it, and magnitudes would fold the curve over.
        if np.any(column > 0.0) and np.any(column < 0.0):
            raise ValueError(
                f"{machine.shown}: the {name} force changes its sign: a damper pushes one way in {name}. Take the gas force off first"
            )
        # One column of speeds may serve both sides.
        speed = values.get(f"{name} speed", values.get("speed"))
        if speed is None:
            raise ValueError(f"{machine.shown}: there is no speed for the {name} force")
        speeds.append(sense * np.abs(speed))
        forces.append(sense * np.abs(column))
    return np.concatenate(speeds), np.concatenate(forces), nan


def _still(speed: Array, force: Array, loops: Loops | None) -> float:
    """Return the mean force at rest: of points without speed, or where loops turn round; nan if there are none."""
    if loops is not None:
        return loops.force_at_turns
    at_rest = np.abs(speed) < 1e-6  # written as 0, not merely slow
    return float(np.mean(force[at_rest])) if at_rest.any() else nan


def _signed(
    machine: Machine, speed: Array, force: Array, still: float, positive: str | None
) -> tuple[Array, Array, float, list[str]]:
    """Return speed, force and force at rest with compression positive, and how that was found."""
    notes = []
    # Slow points hold mostly friction and noise, whose signs mislead.
    moving = np.abs(speed) > STILL
    if not moving.any():
        raise ValueError(
            f"{machine.shown}: nothing in it moves faster than {show_short(STILL, 'speed', (3, 1))}: check the unit of the speed"
        )
    damped = force - (0.0 if np.isnan(still) else still)
    # Machines may write a magnitude beside a signed column: the one with signs lends them to the other.
    if np.all(speed >= 0.0) and np.any(damped < 0.0) and np.any(damped > 0.0):
        speed = np.abs(speed) * np.sign(damped)
        notes.append("speeds without sign: they take the force's")
    elif np.any(speed < 0.0) and np.all(force >= 0.0) and np.isnan(still):
        force = force * np.sign(speed)
        notes.append("forces without sign: they take the speed's")
    elif np.all(speed[moving] > 0.0):
        raise ValueError(
            f"{machine.shown}: only one direction is in it, or it does not say which is which: give speeds or forces a sign, or a "
            "column for compression force and one for rebound force"
        )
    # A damper takes power: where it seems to give some, one of the columns is turned round.
    elif np.sum(speed[moving] * damped[moving]) < 0.0:
        speed = -speed
        notes.append("speed and force were written with opposite signs")
    sense, why = 1.0, ""
    if positive is not None:
        sense, why = (1.0 if positive == "compression" else -1.0), "as given"
    # Gas pushes the rod out whatever a file calls it, so the force at rest has the sign of compression.
    elif not np.isnan(still) and abs(still) > LEAST_GAS:
        sense, why = float(np.sign(still)), "found from the gas force at rest, which pushes the damper out"
    else:
        raise ValueError(f"{machine.shown}: {_asked(speed, force)}")
    notes.append(f"positive force in the file is {'compression' if sense > 0.0 else 'rebound'}, {why}")
    return sense * speed, sense * force, sense * still, notes


def _asked(speed: Array, force: Array) -> str:
    plus, minus = (float(np.max(np.abs(force[sense * speed > 0.0]), initial=0.0)) for sense in (1.0, -1.0))
    return (
        f"it does not say which sign is compression, and there is no gas force at rest to show it. Positive forces reach {show(plus, 'force')}, negative "
        f"ones {show(minus, 'force')} (rebound is more often the larger): say positive: compression or positive: rebound"
    )


def _friction(speed: Array, force: Array) -> float:
    """Return half the gap [N] between the directions at points below STILL, 0 without such points on both sides."""
    # At rest itself friction has no direction, so points without speed are left out.
    slow = (np.abs(speed) > 1e-6) & (np.abs(speed) <= STILL)
    ends = [np.abs(force[slow & (sense * speed > 0.0)]) for sense in (1.0, -1.0)]
    return float(0.5 * (ends[0].mean() + ends[1].mean())) if all(end.size for end in ends) else 0.0


def _side(speed: Array, force: Array, friction: float, loops: Loops | None, shown: str, name: str) -> Side:
    """Return one side's points, rising, or the mean of its loops' branches."""
    if loops is not None:
        at, wide, narrow = branches(speed, force, loops)
        mean, gap = 0.5 * (wide + narrow), wide - narrow
    else:
        # Points that gave the friction are not points of the curve as well.
        keep = speed > STILL if friction > 0.0 else speed > 1e-6
        # Strokes at the same speed become one point: a table wants rising speeds.
        at = np.unique(speed[keep])
        mean = np.array([force[keep][speed[keep] == v].mean() for v in at])
        gap = np.full_like(at, nan)
    if at.size == 0:
        raise ValueError(f"{shown}: there is nothing in {name}: only one direction is in it")
    # With friction taken off, the slowest points may end below none.
    return Side(at, np.maximum(mean - friction, 0.0), gap)
