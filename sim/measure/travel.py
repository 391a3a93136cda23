"""Measures: travel used each way, and what is left to the stop and to the strap."""

from functools import partial
from math import nan

from sim.integrate.result import Run
from sim.measure.measure import Carries, Measure, Shown, placed
from sim.measure.signals import AXLES, axle_of, least, most, positive, share, time_mean


def bump_used(run: Run, axle: str) -> float:
    """Return the most upward travel of an axle from where it stood [m]."""
    trace = axle_of(run, axle)
    # from where this set-up stands, as a change of springs moves that too
    return positive(most(trace.jounce_m) - trace.jounce_rest_m)


def droop_used(run: Run, axle: str) -> float:
    """Return the most downward travel of an axle from where it stood [m]."""
    trace = axle_of(run, axle)
    return positive(trace.jounce_rest_m - least(trace.jounce_m))


def left_to_stop(run: Run, axle: str) -> float:
    """Return the bump travel left [m], negative if it was squeezed; nan without one."""
    trace = axle_of(run, axle)
    if trace.jounce_at_stop_m is None:
        return nan
    return trace.jounce_at_stop_m - most(trace.jounce_m)


def left_to_strap(run: Run, axle: str) -> float:
    """Return the droop travel left [m], negative if it was stretched; nan without one."""
    trace = axle_of(run, axle)
    if trace.jounce_at_strap_m is None:
        return nan
    # Jounce is upwards, so the strap lies at the low end of it.
    return least(trace.jounce_m) - trace.jounce_at_strap_m


def bump_share(run: Run, axle: str) -> float:
    """Return the upward travel used as a share of that to the bump stop's first touch.

    nan without a stop, or if the set-up stands on it.
    """
    trace = axle_of(run, axle)
    if trace.jounce_at_stop_m is None:
        return nan
    # Over 1 once the stop is being squeezed.
    return share(bump_used(run, axle), trace.jounce_at_stop_m - trace.jounce_rest_m)


def droop_share(run: Run, axle: str) -> float:
    """Return the downward travel used as a share of that to the taut strap.

    nan without a strap, or if the set-up stands on it.
    """
    trace = axle_of(run, axle)
    if trace.jounce_at_strap_m is None:
        return nan
    return share(droop_used(run, axle), trace.jounce_rest_m - trace.jounce_at_strap_m)


def droop_at_ride(run: Run, axle: str) -> float:
    """Return how far an axle can drop from where the set-up stands until its limit strap is taut [m]; nan without a strap."""
    trace = axle_of(run, axle)
    return nan if trace.jounce_at_strap_m is None else trace.jounce_rest_m - trace.jounce_at_strap_m


def ride_height_drift(run: Run, axle: str) -> float:
    """Return by how much the truck rides lower over the rough part of a run than it stood [m]; negative: it jacks up.

    The mean of the axle's travel until the run is released (the course's last edge); nan where that is not some time.
    """
    trace = axle_of(run, axle)
    # After the last edge the truck only comes to rest, which would pull the mean towards rest.
    rough = run.time_s <= run.released_s
    # A mean over less than half a second is a swing, not a height.
    if run.released_s <= 0.5 or rough.sum() < 2:
        return nan
    return time_mean(trace.jounce_m[rough], run.time_s[rough]) - trace.jounce_rest_m  # jounce up is the body down


SHOWN = {
    "front_left_to_stop": Shown(key=50, table=130, table_driven=220, sweep=40),
    "front_left_to_strap": Shown(table=150, table_driven=240),
    "front_ride_height_drift": Shown(beside=True),
    "rear_left_to_stop": Shown(key=60, key_driven=80, table=140, table_driven=230),
    "rear_left_to_strap": Shown(table=160, table_driven=250),
    "rear_ride_height_drift": Shown(beside=True),
}


CARRIED = {
    f"{axle}_left_to_stop": Carries(
        "travel", place, ("course", "spot", "launch", "stop"),
        f"leaves {{change}} more travel to its {axle} bump stops", f"leaves {{change}} less travel to its {axle} bump stops",
        called=f"{axle} bump travel left",
        # A stop that is squeezed leaves no travel, more or less.
        below=(f"squeezes its {axle} bump stops {{change}} less", f"squeezes its {axle} bump stops {{change}} more"),
        across=(
            f"stays {{to}} short of its {axle} bump stops, not {{of}} into them",
            f"runs {{to}} into its {axle} bump stops, not {{of}} short of them",
        ),
    )
    for place, axle in ((10, "front"), (11, "rear"))
} | {
    # What a lift or a softer spring takes at one end of the travel it gives at the other: both are said.
    f"{axle}_droop_at_ride": Carries(
        "travel", place, ("course", "spot", "launch", "stop"),
        f"has {{change}} more {axle} droop at ride height", f"has {{change}} less {axle} droop at ride height",
        called=f"{axle} droop at ride height",
        # More droop by a load alone is no gift: the bump travel is as much less.
        by_load=(f"stands {{change}} lower {where} (more droop, less bump travel)", f"stands {{change}} higher {where} (more bump travel, less droop)"),
    )
    for place, axle, where in ((40, "front", "in front"), (41, "rear", "behind"))
}  # fmt: skip


def _of(axle: str) -> tuple[Measure, ...]:
    label = axle.capitalize()
    from_rest = "From where the set-up stands, along the guide."
    return (
        Measure(
            f"{axle}_bump_used", f"{label} bump travel used", "length", None,
            partial(bump_used, axle=axle), from_rest, "lanes",
        ),
        Measure(
            f"{axle}_droop_used", f"{label} droop travel used", "length", None,
            partial(droop_used, axle=axle), from_rest, "lanes",
        ),
        Measure(
            f"{axle}_left_to_stop", f"{label} bump travel left", "length", "more",
            partial(left_to_stop, axle=axle),
            "Negative: the bump stop was squeezed by that much.", "lanes", limit=0.0, beyond="runs into its {axle} bump stops",
        ),
        Measure(
            f"{axle}_left_to_strap", f"{label} droop travel left", "length", "more",
            partial(left_to_strap, axle=axle),
            "Negative: the limit strap was stretched by that much.", "lanes", limit=0.0, beyond="draws its {axle} limit straps taut",
        ),
        Measure(
            f"{axle}_droop_at_ride", f"{label} droop at ride height", "length", "more",
            partial(droop_at_ride, axle=axle), "From where the set-up stands down to its limit strap.", "lanes",
        ),
        Measure(
            f"{axle}_left_to_extended", f"{label} dampers: least room to their extended end", "length", "more",
            partial(left_to_extended, axle=axle),
            "Eye to eye, over the whole run; without a limit strap it is what says whether the axle may drop further.",
        ),
        Measure(
            f"{axle}_left_to_collapsed", f"{label} dampers: least room to their collapsed end", "length", "more",
            partial(left_to_collapsed, axle=axle),
            "Eye to eye, over the whole run; below nothing a damper was solid, whatever its bump stop did.",
        ),
        Measure(
            f"{axle}_bump_share", f"{label} bump travel used, share of that to the bump stop", "percent",
            "less", partial(bump_share, axle=axle), "Over 100 %: into the bump stop.", "lanes",
        ),
        Measure(
            f"{axle}_ride_height_drift", f"{label} jacking: lower while driving by", "length", None,
            partial(ride_height_drift, axle=axle),
            "Mean travel over the rough part. More damping in rebound than in compression pulls the truck down (jacking down, packing); "
            "negative: it rides higher.", "lanes",
        ),
        Measure(
            f"{axle}_droop_share", f"{label} droop travel used, share of that to the limit strap",
            "percent", "less", partial(droop_share, axle=axle), "Over 100 %: into the limit strap.", "lanes",
        ),
    )  # fmt: skip


def left_to_extended(run: Run, axle: str) -> float:
    """Return the least room [m] of an axle's dampers to their extended end; nan if none of their lengths is known."""
    rooms = [
        damper.length_extended_m - float(damper.length_m.max())
        for damper in axle_of(run, axle).dampers.values()
        if damper.length_extended_m is not None
    ]
    return min(rooms, default=nan)


def left_to_collapsed(run: Run, axle: str) -> float:
    """Return the least room [m] of an axle's dampers to their collapsed end; nan if none of their lengths is known."""
    rooms = [
        float(damper.length_m.min()) - damper.length_collapsed_m
        for damper in axle_of(run, axle).dampers.values()
        if damper.length_collapsed_m is not None
    ]
    return min(rooms, default=nan)


def measures(run: Run) -> tuple[Measure, ...]:
    """Return the measures of this family for a run."""
    shown = dict(SHOWN)
    for axle in AXLES:
        trace = axle_of(run, axle)
        # Without a strap there is no droop to it: the room of the dampers stands in its place.
        if trace.jounce_at_strap_m is None and trace.dampers:
            shown[f"{axle}_left_to_extended"] = shown.pop(f"{axle}_left_to_strap")
        # Likewise without a bump stop; in tables alone, as sweeps would run every set-up by itself for it.
        if trace.jounce_at_stop_m is None and trace.dampers:
            place = shown.pop(f"{axle}_left_to_stop")
            shown[f"{axle}_left_to_collapsed"] = Shown(table=place.table, table_driven=place.table_driven)
    return placed((measure for axle in AXLES for measure in _of(axle)), shown, CARRIED)
