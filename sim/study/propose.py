"""A damper proposed for a place that has none good: lengths and stroke from the travel, valving from a damping ratio at the wheel."""

from dataclasses import dataclass
from math import inf, isfinite, nan, sqrt

from sim.integrate.damper_room import LEAST_MARGIN
from sim.linear.damper_cure import no_length as none_so_long
from sim.linear.standing import AxleStanding
from sim.study.fit import Fit

RATIO = 0.30
"""Damping ratio at the wheel that is aimed at; 0.2 to 0.4 are usual of a body on the road (from memory; common practice, no source)."""

LOW_RATIO, HIGH_RATIO = 0.2, 0.4

REBOUND_SHARE = 2.0 / 3.0
"""Share of rebound in both forces: 2 to 1, of 1 to 1 up to 5 to 1 that are in use; common practice, no source."""

KNEE, BEYOND = 0.13, 0.5
"""Speed [m/s] (5 in/s) past which the slope is half as steep, so that sharp hits are let through; common practice, no source."""

STOCKED = 0.0127
"""Steps [m] (1/2 in) in which the lengths of stocked dampers go; common practice, no source."""


@dataclass(frozen=True)
class Proposal:
    """What to order for one damper set.

    Attributes
    ----------
    collapsed, extended : float
        At most so long collapsed, at least so long extended [m], with the trade's margins; nan if an end of the travel is not known.
    travel, used : float
        Of the axle, and what of a damper's stroke it uses [m].
    critical, at_wheel : float
        Damping of the whole axle [N s/m]: critical, and the ratio's share.
    ratio : float
        Damping ratio aimed at, the friction of the seals in it: counted as `jounce stand` counts it.
    now : float
        Damping ratio as the set-up has it.
    seals : float
        What the friction of the seals adds to either; the proposed dampers are taken to have the same.
    slope : float
        Mean of compression and rebound of one damper [N s/m] below the knee.
    no_length, no_valving : str
        Why no damper is so long and so short, and what to change; why none damps so. Empty if one may be.
    """

    collapsed: float
    extended: float
    travel: float
    used: float
    critical: float
    at_wheel: float
    ratio: float
    now: float
    seals: float
    slope: float
    no_length: str = ""
    no_valving: str = ""

    @property
    def cannot(self) -> str:
        """Why no damper is so; empty if one may be."""
        return ". ".join(text for text in (self.no_valving, self.no_length) if text)

    @property
    def stroke(self) -> float:
        """Least stroke [m]."""
        return self.extended - self.collapsed

    def slopes(self) -> tuple[float, float]:
        """Return the slopes [N s/m] of one in compression and in rebound below the knee; their mean is `slope`."""
        return 2.0 * (1.0 - REBOUND_SHARE) * self.slope, 2.0 * REBOUND_SHARE * self.slope

    def forces(self, speed: float) -> tuple[float, float]:
        """Return the forces [N] of one in compression and in rebound at a speed [m/s], without gas and seal."""
        worth = min(speed, KNEE) + BEYOND * max(speed - KNEE, 0.0)
        compression, rebound = self.slopes()
        return compression * worth, rebound * worth


def proposed(fit: Fit, axle: AxleStanding, ratio: float = RATIO) -> Proposal:
    """Return what to order for one damper set.

    All sets of the axle are valved alike, so that count times motion ratio squared, summed, turns slope into damping at the wheel.

    Parameters
    ----------
    fit : Fit
        Its lengths over the travel.
    axle : AxleStanding
        Its axle where the set-up stands.
    ratio : float
        Damping ratio aimed at: c / (2 sqrt(k m)), springs' rate and sprung mass of this axle alone; valving and seals together.
    """
    known = "bump stop squeezed" in fit.places and fit.droop.place != ""
    collapsed = fit.least - LEAST_MARGIN if known else nan
    extended = fit.most + LEAST_MARGIN if known else nan
    travel = fit.places["bump stop squeezed"].jounce - fit.droop.jounce if known else nan
    critical = 2.0 * sqrt(axle.wheel_rate * axle.sprung_mass)
    worth = sum(damper.count * damper.motion_ratio**2 for damper in axle.dampers)
    valving = ratio - axle.friction_ratio
    slope = valving * critical / worth if worth > 1e-6 and valving > 0.0 else nan
    no_length = no_valving = ""
    if valving <= 0.0:
        no_valving = (
            f"No valving gives a damping ratio of {ratio:.2f}: the friction of the seals alone is {axle.friction_ratio:.2f}. Aim higher with "
            "--damping-ratio, or draw the dampers by hand and write seal_friction as it is"
        )
    if known:
        no_length = none_so_long(fit.least, fit.most, fit.droop.place)
    return Proposal(
        collapsed, extended, travel, fit.most - fit.least if known else nan, critical, ratio * critical, ratio,
        axle.damping_ratio, axle.friction_ratio, slope, no_length, no_valving,
    )  # fmt: skip


def wanted(fit: Fit, axle: AxleStanding) -> str:
    """Return why a damper should be proposed for a place; empty if the one that it has is within the rules."""
    reasons = []
    # What is merely not measured yet is no reason: a proposal from the same estimates would be no better known.
    if fit.problems or fit.asks:
        may = "it may not fit" if fit.verdict.startswith("may") else "it does not fit"
        reasons.append(may if fit.problems else "whether it fits is not known")
    # Short by less than half a step, the nearest damper that is stocked is as long as the one that it has.
    # A strap that is missing is set to the damper, which leaves it all the room that it needs outwards.
    elif min(fit.margin_in, inf if fit.strap else fit.margin_out) < LEAST_MARGIN - 0.5 * STOCKED and isfinite(
        fit.margin_in
    ):
        reasons.append("less room at an end than usual")
    if not LOW_RATIO <= axle.damping_ratio <= HIGH_RATIO:
        reasons.append(f"damping ratio {axle.damping_ratio:.2f}, {LOW_RATIO:g} to {HIGH_RATIO:g} are usual")
    return "; ".join(reasons)
