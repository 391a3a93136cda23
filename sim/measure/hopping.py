"""Whether a launch or a stop makes an axle wind up and hop: what is answered before anything is compared."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from sim.integrate.result import Run
from sim.measure.driving import STILL, final_speed, wound_up
from sim.measure.hop import Hop, hop_of
from sim.measure.signals import AXLES, axle_of


@dataclass(frozen=True)
class WindUp:
    """What the axle does that winds up most, of those that hop if any does.

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
    wind_ups : mapping of str to WindUp
        What the axle does that winds up most.
    stays : mapping of str to float
        Set-ups that do not pull away in a launch, with their speed at the end [m/s]; below zero they roll back.
    """

    wind_ups: Mapping[str, WindUp] = field(default_factory=dict)
    stays: Mapping[str, float] = field(default_factory=dict)

    def hops(self, setup: str) -> bool | None:
        """Tell whether an axle of a set-up hops; None where that is not known."""
        found = self.wind_ups.get(setup)
        return None if found is None else found.hop is not None


def at_once(runs: Mapping[str, Run]) -> AtOnce:
    """Return how far set-ups wind up and which of them hop, and which do not pull away."""
    wind_ups = {name: found for name, run in runs.items() if (found := hopping(run)) is not None}
    ends = {name: final_speed(runs[name]) for name in wind_ups if _pulls(runs[name])}
    return AtOnce(wind_ups, {name: speed for name, speed in ends.items() if speed <= STILL})


def _pulls(run: Run) -> bool:
    return run.drive is not None and run.drive.in_gear


def hopping(run: Run) -> WindUp | None:
    """Return what the axle does that winds up most, of those that hop if any does; None of a run that neither drives nor brakes, or blew up."""
    if run.drive is None or any(flag.kind == "not_finite" for flag in run.flags):
        return None
    both = [WindUp(axle, wound_up(run, axle), hop_of(run.time_s, axle_of(run, axle).wind_up_rad)) for axle in AXLES]
    return max(both, key=lambda one: (one.hop is not None, one.most_rad))
