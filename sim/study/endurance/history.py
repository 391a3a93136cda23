"""What a set-up gives back that went through hours of track: moments, histories of its dampers, what is kept of the ride."""

from dataclasses import dataclass, field
from math import nan

import numpy as np

from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.heat import Heat
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs.track import Track
from sim.integrate.status import Flag
from sim.measure.tally import Tally

FORCE_SPEED = 0.3
"""Speed at which the force left is stated if a valving states it by itself [m/s]: an old test speed of the trade."""

Key = tuple[str, str]
"""Axle and name of a damper set."""


@dataclass(frozen=True)
class Moment:
    """Where everything stands at the end of a piece.

    Attributes
    ----------
    time_s, distance_m : float
        From the start [s], [m].
    stage : int
        Number of the stage, from 0.
    oil, metal : dict
        Temperatures of each set that has a tube [K].
    power : dict
        Work rate of one damper of each set in the piece [W].
    force_share : dict
        Force left, as a share of that at the law's temperature.
    """

    time_s: float
    distance_m: float
    stage: int
    oil: dict[Key, float]
    metal: dict[Key, float]
    power: dict[Key, float]
    force_share: dict[Key, float]


@dataclass
class SetHistory:
    """What one damper set went through; temperatures [K], nan without a tube.

    Attributes
    ----------
    work : float
        Of one damper [J].
    driven_s : float
        Time in which it worked [s].
    heat : Heat or None
        Where its heat is at the end.
    hottest, hottest_metal, coldest : float
        Oil, metal; oil.
    least_force, most_force : float
        Force left at the hottest and at the coldest, as shares.
    hot_s : float
        Time above the limit [s].
    settled, settled_metal, settled_force : float
        Where oil, metal and force would stay if the last drive never ended, at the power of its end.
    """

    damper: DamperSet
    work: float = 0.0
    driven_s: float = 0.0
    heat: Heat | None = None
    # nan until seen, and for ever without a tube: any number would pass for a temperature.
    hottest: float = nan
    hottest_metal: float = nan
    coldest: float = nan
    least_force: float = nan
    most_force: float = nan
    hot_s: float = 0.0
    settled: float = nan
    settled_metal: float = nan
    settled_force: float = nan

    @property
    def power(self) -> float:
        """Mean work rate of one damper while driving [W]."""
        # Stops are left out of the time: a mean over them would say less the longer the breaks.
        return self.work / self.driven_s if self.driven_s > 0.0 else nan

    @property
    def margin(self) -> float:
        """How far the hottest oil stayed below its limit [K]."""
        return self.damper.tube.hot_limit - self.hottest if self.damper.tube is not None else nan


@dataclass(frozen=True)
class Endured:
    """One set-up through a track.

    Attributes
    ----------
    setup : str
    vehicle : Vehicle
    run : Track
    sets : dict of (axle, name) to SetHistory
    tally : Tally
        Sums, extremes and counts of the ride.
    counts : dict of axle to dict of class to cycles
        Of travel, by rainflow counting.
    flags : tuple of Flag
    energy_open_share : float
        What the energy balance of the ride leaves open, as a share of what went through it.
    heat_open_share : float
        What the balances of heat leave open.
    crossings : dict of axle to dict of level to crossings
        Of travel, by level-crossing counting.
    distance_m : float
        Really driven [m]: bumps slow a truck down, so that its driver does not hold the asked speed to the last bit.
    """

    setup: str
    vehicle: Vehicle
    run: Track
    sets: dict[Key, SetHistory]
    tally: Tally
    counts: dict[str, dict[int, float]]
    flags: tuple[Flag, ...]
    energy_open_share: float
    heat_open_share: float
    crossings: dict[str, dict[int, int]] = field(default_factory=dict)
    distance_m: float = 0.0


def force_left(damper: DamperSet, kelvin: float) -> float:
    """Return a damper's force with oil at a temperature [K], as a share of that at its law's temperature."""
    # Without a tube no temperature is known, so the force stays that of the sheet.
    if damper.tube is None:
        return 1.0
    # A law of valve parts gives itself at any temperature; for others viscosity and density say the share.
    warm, known = damper.valving.at_temperature(kelvin), damper.valving.at_temperature(damper.tube.valving_temperature)
    if warm is None or known is None:
        return damper.tube.force_share(kelvin)
    # One figure for the set is the mean of both ways: compression and rebound valves need not lose alike.
    speeds = np.array([FORCE_SPEED, -FORCE_SPEED])
    return float(np.mean(np.abs(warm.force(speeds))) / np.mean(np.abs(known.force(speeds))))
