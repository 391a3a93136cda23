"""Within what the body counts as at rest: 5 % of a largest swing; of set-ups that are compared, that of the one they are judged against.

Of its own largest swing a set-up that swings less would be asked for a smaller rest than the others, and look slower than it is.
"""

from collections.abc import Iterable, Mapping
from copy import copy

from sim.integrate.result import Run
from sim.measure.free_motion import BAND, SIGNALS, decay_of

RestBand = Mapping[str, float]
"""Half of the band about rest, by motion (`sim.measure.free_motion.Signal.name`) [m] or [rad]."""

JUDGED = "at rest within one band"
"""Part of what notes of runs are known by, so that those of another judgement do not answer."""

ENDINGS = ("_settling_time", "_cycles")
"""How the names of those measures end that ask for it."""


def rest_band(run: Run) -> dict[str, float]:
    """Return 5 % of the largest swing of each motion of a run after release; nothing of one too small to be judged."""
    decays = ((signal.name, decay_of(run, signal)) for signal in SIGNALS)
    return {name: BAND * decay.size for name, decay in decays if decay is not None}


def within(run: Run, band: RestBand | None) -> Run:
    """Return a run that is judged at rest within a band; without one it is judged by its own largest swings."""
    if not band:
        return run
    # A copy, as others may hold the same run; by itself, as a run that works its channels out later knows more than its fields.
    judged = copy(run)
    judged.__dict__["rests_within"] = dict(band)
    if run.coarse is not None:
        judged.__dict__["coarse"] = within(run.coarse, band)
    return judged


def asks_for_rest(measures: Iterable[str]) -> bool:
    """Return whether one of these measures, by name, depends on the band."""
    return any(name.endswith(ENDINGS) for name in measures)
