"""Whether a launch or a stop makes an axle wind up and hop: what is answered before anything is compared."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from sim.integrate.result import Run
from sim.measure.driving import STILL, final_speed, pinion_down, pinion_up
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


@dataclass(frozen=True)
class AtOnce:
    """What the runs of a launch or a stop are run to ask, by set-up; a run that blew up is in none.

    Attributes
    ----------
    hops : mapping of str to bool
        Whether an axle hops.
    stays : mapping of str to float
        Set-ups that do not pull away in a launch, with their speed at the end [m/s]; below zero they roll back.
    """

    hops: Mapping[str, bool] = field(default_factory=dict)
    stays: Mapping[str, float] = field(default_factory=dict)


def at_once(runs: Mapping[str, Run]) -> AtOnce:
    """Return which set-ups hop, and which do not pull away."""
    found = {name: hopping(run) for name, run in runs.items()}
    pulling = [
        name for name, run in runs.items() if found[name] is not None and run.drive is not None and run.drive.in_gear
    ]
    ends = {name: final_speed(runs[name]) for name in pulling}
    return AtOnce(
        {name: one.hop is not None for name, one in found.items() if one is not None},
        {name: speed for name, speed in ends.items() if speed <= STILL},
    )


def hopping(run: Run) -> WindUp | None:
    """Return what the axle does that hops longest, or else winds up most; None of a run that neither drives nor brakes, or blew up."""
    if run.drive is None or any(flag.kind == "not_finite" for flag in run.flags):
        return None
    most = pinion_up if run.drive.in_gear else pinion_down
    both = [WindUp(axle, most(run, axle), hop_of(run.time_s, axle_of(run, axle).wind_up_rad)) for axle in AXLES]
    return max(both, key=lambda one: (one.hop.time_s if one.hop else 0.0, one.most_rad))
