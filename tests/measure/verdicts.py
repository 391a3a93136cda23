"""Comparisons of figures that are given, for tests of what is judged of them."""

from dataclasses import replace
from math import inf, nan
from types import SimpleNamespace

import numpy as np

from sim.integrate.status import Flag
from sim.integrate.traces import DriveTrace, WheelTrace
from sim.measure.comparison import Comparison
from sim.measure.table import Value, evaluate
from sim.measure.verdict import verdict
from tests.synthetic import still_axle, still_run

TIME = np.arange(101) * 1e-3

GRIP = ("front_tyre_load_variation", "rear_tyre_load_variation", "front_tyre_off_ground", "rear_tyre_off_ground")
RIDE = ("ride_wk_driver", "ride_mtvv_driver")
TRAVEL = ("front_left_to_stop", "rear_left_to_stop", "front_stop_hits", "rear_stop_hits")
SETTLING = ("body_settling_time",)

USUAL = {
    **dict.fromkeys(GRIP[:2], 0.40), **dict.fromkeys(GRIP[2:], 0.05),
    RIDE[0]: 1.00, RIDE[1]: 2.00,
    **dict.fromkeys(TRAVEL[:2], 0.030), **dict.fromkeys(TRAVEL[2:], 0.0),
    SETTLING[0]: 1.00,
}  # fmt: skip
"""A truck on a track: two fifths of load variation, 5 % of the time off the ground, 30 mm left to the stops, a second to settle."""

BOTTOMED = Flag("damper_end", 1.0, "front damper 'main'", "The front damper 'main' met its end.")
BROKE = Flag("not_finite", 1.0, "body", "The run blew up.")


def run_of(speed_m_per_s=7.0, flags=(), bare=False):
    run = still_run(TIME, speed_m_per_s=speed_m_per_s, flags=tuple(flags))
    return replace(run, rear=still_axle("rear", TIME, ())) if bare else run


def compared(others, base=USUAL, flags=None, bare=(), reference=None, errors=None, speed_m_per_s=7.0):
    """Return a comparison of set-ups with given figures; `base` is of the set-up "as it is", the others say what differs."""
    figures = {"as it is": base} | {name: base | changes for name, changes in others.items()}
    runs = {name: run_of(speed_m_per_s, (flags or {}).get(name, ()), name in bare) for name in figures}
    values = {}
    for name, run in runs.items():
        given = {
            one: Value(value, (errors or {}).get(one, 1e-9), flagged=False) for one, value in figures[name].items()
        }
        values[name] = evaluate(run) | given
    scenario = SimpleNamespace(name="x", question="", path=None, show=None, reference=reference)
    return Comparison(scenario, runs, values)


def against(changes, doubt=None, **more):
    """Return what one set-up comes to against the usual one."""
    found = verdict(compared({"other": changes}, **more), None if doubt is None else {"other": doubt})
    return found.others["other"]


def said(changes, **more):
    """Return outcome and size by block of one set-up against the usual one."""
    return {
        block: " ".join(dict.fromkeys((part.size, part.outcome)))
        for block, part in against(changes, **more).parts.items()
    }


ALL_SAME = dict.fromkeys(("grip", "ride", "travel", "settling"), "same")

KNOWN = {
    # equal, and what nobody would notice
    "equal": ({}, {}),
    "equal but for 0.1 %": ({name: value * 1.001 for name, value in USUAL.items()}, {}),
    "every share 9 % up": ({name: USUAL[name] * 1.09 for name in (*GRIP, *RIDE)}, {}),
    "half a pair of stop hits": ({"front_stop_hits": 1.0}, {}),
    # ride: 10 %, of the smaller figure
    "ride 9 % rougher": ({RIDE[0]: 1.09}, {}),
    "ride 11 % rougher": ({RIDE[0]: 1.11}, {"ride": "a little worse"}),
    "ride 19 % rougher": ({RIDE[0]: 1.19}, {"ride": "a little worse"}),
    "ride 21 % rougher": ({RIDE[0]: 1.21}, {"ride": "clearly worse"}),
    "ride 39 % rougher": ({RIDE[0]: 1.39}, {"ride": "clearly worse"}),
    "ride 41 % rougher": ({RIDE[0]: 1.41}, {"ride": "much worse"}),
    "ride smoother by 1 / 1.09": ({RIDE[0]: 1 / 1.09}, {}),
    "ride smoother by 1 / 1.11": ({RIDE[0]: 1 / 1.11}, {"ride": "a little better"}),
    "ride smoother by 1 / 1.41": ({RIDE[0]: 1 / 1.41}, {"ride": "much better"}),
    "worst second alone": ({RIDE[1]: 2.30}, {"ride": "a little worse"}),
    "smoother on the whole, a harder worst second": ({RIDE[0]: 0.80, RIDE[1]: 2.30}, {"ride": "clearly mixed"}),
    # grip: 10 % and a point of time off the ground at least
    "load swings 12 % more in front": ({GRIP[0]: 0.448}, {"grip": "a little worse"}),
    "load swings a quarter less behind": ({GRIP[1]: 0.32}, {"grip": "clearly better"}),
    "0.9 points more off the ground": ({GRIP[2]: 0.059}, {}),
    "1.1 points more off the ground": ({GRIP[2]: 0.061}, {"grip": "a little worse"}),
    "off the ground 12 % in place of 5 %": ({GRIP[3]: 0.12}, {"grip": "much worse"}),
    "better in front, worse behind": ({GRIP[0]: 0.30, GRIP[1]: 0.50}, {"grip": "clearly mixed"}),
    # travel: a quarter, a half, a whole inch; the share of a length says nothing
    "6 mm less travel": ({TRAVEL[0]: 0.0240}, {}),
    "7 mm less travel": ({TRAVEL[0]: 0.0230}, {"travel": "a little worse"}),
    "13 mm less travel": ({TRAVEL[1]: 0.0170}, {"travel": "clearly worse"}),
    "26 mm less travel": ({TRAVEL[1]: 0.0040}, {"travel": "much worse"}),
    "26 mm more travel": ({TRAVEL[1]: 0.0560}, {"travel": "much better"}),
    "two stop hits more": ({TRAVEL[2]: 2.0}, {"travel": "a little worse"}),
    "eight stop hits more": ({TRAVEL[2]: 8.0}, {"travel": "much worse"}),
    # settling: 20 %
    "settles 19 % later": ({SETTLING[0]: 1.19}, {}),
    "settles 21 % later": ({SETTLING[0]: 1.21}, {"settling": "a little worse"}),
    "settles in half the time": ({SETTLING[0]: 0.50}, {"settling": "much better"}),
    "settles in twice the time": ({SETTLING[0]: 2.00}, {"settling": "much worse"}),
    "does not settle": ({SETTLING[0]: inf}, {"settling": "much worse"}),
    "settling is not known": ({SETTLING[0]: nan}, {"settling": "same not known"}),
    # all together
    "better everywhere": (
        {**dict.fromkeys(GRIP[:2], 0.30), RIDE[0]: 0.85, TRAVEL[0]: 0.045, SETTLING[0]: 0.70},
        {"grip": "clearly better", "ride": "a little better", "travel": "clearly better", "settling": "clearly better"},
    ),
    "a trade-off": (
        {RIDE[0]: 1.12, SETTLING[0]: 0.52}, {"ride": "a little worse", "settling": "much better"},
    ),
    "worse everywhere": (
        {GRIP[0]: 0.60, RIDE[0]: 1.5, TRAVEL[0]: 0.0, SETTLING[0]: 3.0},
        {"grip": "much worse", "ride": "much worse", "travel": "much worse", "settling": "much worse"},
    ),
    "one figure is not known, the other tells": ({RIDE[0]: nan, RIDE[1]: 2.5}, {"ride": "clearly worse"}),
}  # fmt: skip


def driven(in_gear):
    zero = np.zeros_like(TIME)
    wheel = WheelTrace(zero, zero, zero, zero, zero, zero, zero)
    return still_run(TIME, drive=DriveTrace(zero, zero, zero, zero, wheel, wheel, 0.0, None, in_gear))
