"""Measures: how far the tyre loads swing, least to most."""

from functools import partial

from sim.integrate.result import Run
from sim.measure.measure import Carries, Measure, Shown
from sim.measure.signals import AXLES, axle_of, least, most


def swing(run: Run, axle: str) -> float:
    """Return the most less the least load of an axle's tyres [N]."""
    load = axle_of(run, axle).tyre_load_n
    return most(load) - least(load)


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    return tuple(
        Measure(
            f"{axle}_load_swing", f"{axle.capitalize()} tyres: swing of their load", "force", "less", partial(swing, axle=axle),
            "Most less least, of all tyres of the axle.", "lanes",
            Shown(key=25, key_driven=75, table=25, table_driven=185, sweep=15, beside=True),
            carries=Carries(
                "grip", 5, ("course",), f"swings its {axle} tyres through {{change}} less", f"swings its {axle} tyres through {{change}} more"
            ),
        )
        for axle in AXLES
    )  # fmt: skip
