"""Whether a launch or a stop makes an axle wind up and hop: what is answered before anything is compared."""

from dataclasses import dataclass

from sim.integrate.result import Run
from sim.measure.driving import pinion_down, pinion_up
from sim.measure.hop import Hop, hop_of
from sim.measure.signals import AXLES, axle_of


@dataclass(frozen=True)
class WindUp:
    """What the axle does that winds up most.

    Attributes
    ----------
    axle : str
    most_rad : float
        How far it winds up, the way that shafts or brakes wind it [rad].
    hop : Hop or None
        How it hops; None where it winds up steadily.
    """

    axle: str
    most_rad: float
    hop: Hop | None


def hopping(run: Run) -> WindUp | None:
    """Return what the axle does that hops longest, or else winds up most; None of a run that neither drives nor brakes, or blew up."""
    if run.drive is None or any(flag.kind == "not_finite" for flag in run.flags):
        return None
    most = pinion_up if run.drive.in_gear else pinion_down
    both = [WindUp(axle, most(run, axle), hop_of(run.time_s, axle_of(run, axle).wind_up_rad)) for axle in AXLES]
    return max(both, key=lambda one: (one.hop.time_s if one.hop else 0.0, one.most_rad))
