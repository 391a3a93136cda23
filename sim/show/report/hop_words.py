"""Whether an axle winds up and hops, in words: the first sentence on a launch, whether or not there is anything to compare it with."""

from sim.describe.good import GOOD
from sim.measure.hopping import WindUp
from sim.show.report.brief import brief

NEAR = 0.95
"""From this share of the usual limit on a figure is at it: no protractor tells it from the limit."""


def wound(found: WindUp) -> str:
    """Return what the axle does that winds up most: "the rear axle hops: it winds up by 9.8 deg (...) and swings to and fro 6 times a second"."""
    if found.hop is None:
        return f"the {found.axle} axle winds up by {brief(found.most_rad, 'angle')} ({_usual(found.most_rad)}), steadily: it does not hop"
    hop = found.hop
    return (
        f"the {found.axle} axle hops: it winds up by {brief(found.most_rad, 'angle')} ({_usual(found.most_rad)}) and its pinion swings to and fro by "
        f"{brief(hop.swing_rad, 'angle')}, {hop.frequency_hz:.0f} times a second, for {brief(hop.time_s, 'time')}"
    )


def _usual(most_rad: float) -> str:
    limit = GOOD["wind_up"].usual[1]
    words = brief(limit, "angle")
    if most_rad >= limit:
        return f"more than the usual {words}"
    return f"at the usual limit of {words}" if most_rad >= NEAR * limit else f"usual is up to {words}"
