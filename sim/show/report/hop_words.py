"""Whether an axle winds up and hops, in words: the first sentence on a launch, whether or not there is anything to compare it with."""

from sim.describe.good import GOOD
from sim.describe.shown import show_short
from sim.measure.driving import STILL
from sim.measure.hopping import WindUp
from sim.measure.judged import Verdict
from sim.show.report.brief import brief
from sim.show.report.naming import Naming, listed

NEAR = 0.95
"""From this share of the usual limit on a figure is at it: no protractor tells it from the limit."""


def wound(found: WindUp) -> str:
    """Return what the axle does that winds up most: "the rear axle hops: it winds up by 9.8 deg (...)"; how it swings is said by `swings`."""
    far = f"{brief(found.most_rad, 'angle')} ({_usual(found.most_rad)})"
    if found.hop is None:
        return f"the {found.axle} axle winds up by {far}, steadily: it does not hop"
    return f"the {found.axle} axle hops: it winds up by {far}"


def swings(found: WindUp) -> str:
    """Return how an axle that hops swings: "its pinion swings to and fro by 9.6 deg, 6 times a second, for 1.4 s"; empty for one that does not."""
    if found.hop is None:
        return ""
    hop = found.hop
    return f"its pinion swings to and fro by {brief(hop.swing_rad, 'angle')}, {hop.frequency_hz:.0f} times a second, for {brief(hop.time_s, 'time')}"


def others_hop(verdict: Verdict, naming: Naming) -> str:
    """Return, as the end of the sentence on the reference, whether the others hop; empty where it has none."""
    own = verdict.at_once.hops(verdict.reference)
    others = [name for name in verdict.at_once.wind_ups if name != verdict.reference]
    if own is None or not others:
        return ""
    hop, still = ([name for name in others if verdict.at_once.hops(name) == wanted] for wanted in (True, False))
    if not still:
        every = "the other one hops" if len(others) == 1 else "all others hop"
        return f"; {every}{' too' if own else ''}"
    if not hop:
        return (
            "; the other one does not hop" + ("" if own else " either") if len(others) == 1 else "; no other one hops"
        )
    unlike = still if own else hop
    does = ("does not hop" if len(unlike) == 1 else "do not hop") if own else ("hops" if len(unlike) == 1 else "hop")
    return f"; {listed([naming(name) for name in unlike])} {does}"


def stays(verdict: Verdict, naming: Naming) -> str:
    """Return which set-ups do not pull away in a launch, and how fast they roll back at most; empty where all do."""
    ends = verdict.at_once.stays
    if not ends:
        return ""
    back = -min(ends.values())
    rolls = f"back at {show_short(back, 'road_speed', (1, 1))}" if back > STILL else ""
    most = " or less" if rolls and len(ends) > 1 else ""
    one, several = (f"rolls {rolls}", f"roll {rolls}") if rolls else ("stands still", "stand still")
    if len(ends) == 1:
        return f"{naming(next(iter(ends)))} does not pull away: at the end it {one}"
    if len(ends) == len(verdict.setups):
        return f"No set-up pulls away: at the end the truck {one}{most}"
    return f"{listed([naming(name) for name in ends])} do not pull away: at the end they {several}{most}"


def _usual(most_rad: float) -> str:
    limit = GOOD["wind_up"].usual[1]
    words = brief(limit, "angle")
    if most_rad >= limit:
        return f"more than the usual {words}"
    return f"at the usual limit of {words}" if most_rad >= NEAR * limit else f"usual is up to {words}"
