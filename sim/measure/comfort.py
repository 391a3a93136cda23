"""Measures: ride comfort at the named points by ISO 2631-1, seated: upward, fore and aft, pitching, and all together."""

from functools import partial
from math import nan, sqrt
from typing import Any

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import Array
from sim.measure.measure import CENTRE, Carries, Measure, Shown, placed
from sim.measure.signals import mean_square, most, root, share, trapezoids
from sim.measure.weighting import WD, WE, WK, Weighting

RANGES: tuple[tuple[str, float, float], ...] = (
    ("not uncomfortable", 0.0, 0.315),
    ("a little uncomfortable", 0.315, 0.63),
    ("fairly uncomfortable", 0.5, 1.0),
    ("uncomfortable", 0.8, 1.6),
    ("very uncomfortable", 1.25, 2.5),
    ("extremely uncomfortable", 2.0, float("inf")),
)
"""Weighted RMS [m/s²] of ISO 2631-1, annex C; they overlap. Lower limits from memory, upper ones from public transcriptions."""

LONGEST_S = 1.0
"""Length of the window of the running RMS [s]."""


PITCH_M_PER_RAD = 0.4
"""What pitching of the seat counts in the total [m/rad] (ISO 2631-1, comfort of seated persons; from memory)."""

CREST_LIMIT, SECOND_LIMIT, DOSE_LIMIT = 9.0, 1.5, 1.75
"""Crest factor, MTVV over RMS, and VDV over RMS and fourth root of time past which RMS says too little (from memory)."""


def _step_s(run: Run) -> float:
    # one sample has no step, and any will do
    return float(run.time_s[1] - run.time_s[0]) if run.time_s.size > 1 else 1e-3


def _rms(run: Run, weighting: Weighting, acceleration: Array) -> float:
    """Return the RMS over the whole run of what a weighting leaves of an acceleration."""
    if acceleration.ndim == 1 or run.time_s.size < 2:
        return root(mean_square(weighting.filtered(acceleration, _step_s(run)), run.time_s))
    mean: Any = weighting.mean_square(acceleration, _step_s(run), trapezoids(run.time_s))
    return root(mean)


def weighted(run: Run, point: str) -> Array:
    """Return the Wk-weighted upward acceleration at a point [m/s²]."""
    return WK.filtered(run.acceleration_m_per_s2[point], _step_s(run))


def fore_and_aft(run: Run, point: str) -> float:
    """Return the Wd-weighted RMS of the forward acceleration at a point [m/s²]; nan where it is not known."""
    if point not in run.acceleration_forward_m_per_s2:
        return nan
    return _rms(run, WD, run.acceleration_forward_m_per_s2[point])


def pitching(run: Run) -> float:
    """Return the We-weighted RMS of the body's pitch acceleration [rad/s²]; nan where it is not known."""
    # A run that does not keep it has an empty trace.
    if run.pitch_acceleration_rad_per_s2.size != run.time_s.size:
        return nan
    return _rms(run, WE, run.pitch_acceleration_rad_per_s2)


def total(run: Run, point: str) -> float:
    """Return the root of the sum of squares of all that is felt at a point [m/s²]: up, fore and aft, 0.4 m/rad of pitching."""
    # nan goes through: a total of what is known only would look better than it is.
    return sqrt(weighted_rms(run, point) ** 2 + fore_and_aft(run, point) ** 2 + (PITCH_M_PER_RAD * pitching(run)) ** 2)


def jolts(run: Run, point: str) -> bool:
    """Return whether single jolts count for more than the RMS tells: the standard then asks for dose and worst second."""
    rms = weighted_rms(run, point)
    if not rms > 1e-9:  # of nan too
        return False
    return (
        crest(run, point) > CREST_LIMIT
        or _largest(run, point) / rms > SECOND_LIMIT
        # Dose and RMS of a steady shake grow apart by the fourth root of time alone.
        or _dose(run, point) / (rms * float(run.time_s[-1]) ** 0.25) > DOSE_LIMIT
    )


def weighted_rms(run: Run, point: str) -> float:
    """Return the weighted RMS over the whole run [m/s²]."""
    if point not in run.acceleration_m_per_s2:
        return nan
    return _rms(run, WK, run.acceleration_m_per_s2[point])


def dose(signal: Array, step_s: float) -> float:
    """Return the vibration dose value (integral of the fourth power)^(1/4) [m/s^1.75] of a weighted signal."""
    square = np.square(np.asarray(signal, float))
    fourth = square * square  # a general power takes twenty times as long
    # trapezoids, of (n, lanes) for each lane
    value: float = (np.sum(0.5 * (fourth[1:] + fourth[:-1]), axis=0) * step_s) ** 0.25
    return value


def largest_running_rms(signal: Array, step_s: float, window_s: float = LONGEST_S) -> float:
    """Return MTVV, the largest RMS [m/s²] of any second; of the whole signal if it is shorter."""
    count = min(max(round(window_s / step_s), 1), len(signal))
    # Differences of running sums: a window's mean square at every sample for one pass. Lane after lane, as sums over time go quickest.
    squares = np.ascontiguousarray(np.square(np.asarray(signal, float)).T)
    sums = np.zeros((*squares.shape[:-1], len(signal) + 1))
    np.cumsum(squares, axis=-1, out=sums[..., 1:])
    largest: float = (sums[..., count:] - sums[..., :-count]).max(axis=-1)
    return root(largest / count)


def _dose(run: Run, point: str) -> float:
    if point not in run.acceleration_m_per_s2 or run.time_s.size < 2:
        return nan
    return dose(weighted(run, point), float(run.time_s[1] - run.time_s[0]))


def _largest(run: Run, point: str) -> float:
    if point not in run.acceleration_m_per_s2 or run.time_s.size < 2:
        return nan
    return largest_running_rms(weighted(run, point), float(run.time_s[1] - run.time_s[0]))


def crest(run: Run, point: str) -> float:
    """Return the crest factor: weighted peak over weighted RMS; nan where nothing moves."""
    if point not in run.acceleration_m_per_s2:
        return nan
    signal = weighted(run, point)
    rms = root(mean_square(signal, run.time_s))
    return share(most(np.abs(signal)), rms * (rms > 1e-9))  # zero where nothing moves, for lanes as for one run


def range_of(weighted_rms_m_per_s2: float) -> str:
    """Return the standard's words for a weighted RMS [m/s²]; two where its ranges overlap."""
    # Ranges overlap in the standard, so two names may hold at once.
    names = [name for name, low, high in RANGES if low <= weighted_rms_m_per_s2 < high]
    if len(names) > 1 and names[-1] != "uncomfortable":  # "very to extremely uncomfortable"
        names[0] = names[0].removesuffix(" uncomfortable")
    return " to ".join(dict.fromkeys((names[0], names[-1]))) if names else ""


def how_it_surges(run: Run) -> str:
    """Return in words what of fore-and-aft ride a run has in it and what it leaves out."""
    give = [name for name, axle in run.vehicle.axles if axle.fore_and_aft is not None]
    gives = (
        "Axles give fore and aft, front and rear."
        if len(give) == 2
        else f"Fore-and-aft give: {give[0]} axle only, as in the vehicle's file."
        if give
        else "Axles without fore-and-aft give: the vehicle's file has no fore_and_aft."
    )
    if run.speed_m_per_s > 0.0 and not run.pushes_back:
        return "Tyre load upright: bumps do not push back, so this is what pitching alone makes of the height. " + gives
    if run.speed_m_per_s > 0.0 and not run.surges:
        return (
            "Speed held by an ideal force, which keeps the body from surging and shakes axles that give all the more. "
            + gives
        )
    return "The body surges. " + gives


def in_brackets(run: Run) -> str:
    """Return the same in a few words, for a line of a table."""
    gives = any(axle.fore_and_aft is not None for _, axle in run.vehicle.axles)
    words = "axles give" if gives else "axles without give"
    if run.speed_m_per_s > 0.0 and not run.pushes_back:
        return f"{words}, push back left out"
    return f"{words}, surge left out" if run.speed_m_per_s > 0.0 and not run.surges else words


def _of(point: str, surging: str, brackets: str) -> tuple[Measure, ...]:
    return (
        Measure(
            f"ride_wk_{point}", f"Ride at {point}: upward weighted RMS", "acceleration", "less",
            partial(weighted_rms, point=point),
            "ISO 2631-1 (Wk), over the whole run. Below 0.315 m/s² not uncomfortable, above 2 extremely.", "lanes",
        ),
        Measure(
            f"ride_vdv_{point}", f"Ride at {point}: dose", "dose", "less", partial(_dose, point=point),
            "Fourth-power dose of ISO 2631-1 (VDV): single jolts count for more than in the RMS. Grows with time.", "lanes",
        ),
        Measure(
            f"ride_mtvv_{point}", f"Ride at {point}: worst second", "acceleration", "less",
            partial(_largest, point=point), "Largest running RMS of one second of the weighted acceleration (MTVV of ISO 2631-1).",
            "lanes",
        ),
        Measure(
            f"ride_crest_{point}", f"Ride at {point}: crest factor", "number", None, partial(crest, point=point),
            "Weighted peak over weighted RMS; above 9 the RMS alone says too little.", "lanes",
        ),
        Measure(
            f"ride_wd_{point}", f"Ride at {point}: fore and aft, weighted RMS ({brackets})", "acceleration", "less",
            partial(fore_and_aft, point=point),
            f"ISO 2631-1 (Wd). {surging}",
        ),
        Measure(
            f"ride_total_{point}", f"Ride at {point}: all together, weighted RMS ({brackets})", "acceleration", "less",
            partial(total, point=point),
            "Root of the squares of the upward, the fore-and-aft and 0.4 m/rad times the pitching one (ISO 2631-1: Wk, Wd, We); no roll, nothing "
            "sideways. "
            f"Fore and aft: {surging}",
        ),
    )  # fmt: skip


PITCHING = Measure(
    "ride_we_pitch", "Ride: pitching, weighted RMS", "angular_acceleration", "less", pitching,
    "ISO 2631-1 (We), the same at every point of the body.",
)  # fmt: skip


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run: six a point, and the pitching that all points share."""
    # The centre of gravity is nobody's seat; it is in the whole table only.
    named = [point for point in run.acceleration_m_per_s2 if point != CENTRE]
    surging = how_it_surges(run)
    shown = {f"ride_wk_{point}": Shown(table=50, sweep=10, beside=True) for point in named}
    shown |= {f"ride_total_{point}": Shown(beside=True) for point in named}
    # The first point that the vehicle's file names is the one that decides: the driver's seat, as a rule.
    first = next(iter(named), CENTRE)
    every = (
        *(measure for point in run.acceleration_m_per_s2 for measure in _of(point, surging, in_brackets(run))),
        PITCHING,
    )
    return placed(every, shown, _carried(first))


def _carried(point: str) -> dict[str, Carries]:
    return {
        f"ride_wk_{point}": Carries(
            "ride", 10, ("course", "launch", "stop"), "rides {share} smoother", "rides {share} rougher",
            called="weighted RMS", alone=f"shakes the {point} by {{of}} weighted RMS", alone_on=("course",),
        ),
        f"ride_mtvv_{point}": Carries(
            "ride", 20, ("course", "launch", "stop"), "has a worst second {share} smoother", "has a worst second {share} rougher",
            called="worst second",
        ),
    }  # fmt: skip
