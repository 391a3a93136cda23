"""Longer limit straps that are part of a lift: where the lift goes past a strap that nobody measured, and how far the dampers let it go."""

from collections.abc import Mapping

from sim.describe.lowered import Lowered
from sim.describe.shown import show
from sim.describe.to_measure import STRAP_LENGTH, estimated, of_end, to_be_measured, unmeasured
from sim.errors import RunError
from sim.kernel import layout as at
from sim.linear.damper_ends import jounce_at
from sim.linear.droop import STRAP
from sim.linear.standing import Standing
from sim.lower.rest import Rest


def guessed_strap(standing: Standing, axle: str) -> bool:
    """Tell whether an axle's droop ends at a strap whose length nobody measured."""
    return standing.axles[axle].droop.place == STRAP and f"{axle}.strap.length" in estimated(standing.vehicle)


def longer_straps(standing: Standing, raised_m: Mapping[str, float]) -> dict[str, float]:
    """Return the length [m] of the straps that a lift brings along, by axle.

    Only where it goes past a strap that is estimated: perhaps there is none, and nobody is refused a lift by a guess. As much longer as
    the frame comes up they leave the axle the droop that it had. One that was measured stays, and the lift is refused at it.

    Parameters
    ----------
    standing : Standing
        The truck before the lift.
    raised_m : mapping of str to float
        How far the frame is to come up over each axle [m].
    """
    axles = dict(standing.vehicle.axles)
    lengths = {}
    for axle, up in raised_m.items():
        strap = axles[axle].strap
        if strap is not None and guessed_strap(standing, axle) and up >= -standing.axles[axle].droop.jounce:
            lengths[axle] = strap.length + up
    return lengths


def past_the_dampers(setup: Lowered, standing: Rest, raised_m: Mapping[str, float]) -> None:
    """Refuse a lift at which dampers are fully out where the truck is to stand.

    Parameters
    ----------
    setup, standing : Lowered, Rest
        The truck before the lift.

    Raises
    ------
    RunError
        If it would stand on them.
    """
    for axle, up in raised_m.items():
        index = ("front", "rear").index(axle)
        ride, wind_up = (float(standing.state[place + 2 * index]) for place in (at.JOUNCE, at.WIND_UP))
        for line in setup.lines:
            if (line.axle, line.role) != (axle, "damper"):
                continue
            out = jounce_at(setup, line, line.line.length_extended, ride, -up, wind_up)
            if out is not None:
                rests_on = of_end(unmeasured(setup.vehicle, axle, line.name), "extended")
                raise RunError(
                    f"{axle} axle: {show(up, 'length')} above the measured height is past where its '{line.name}' dampers are fully out, "
                    f"{show(-out, 'length')}{to_be_measured([one for one in rests_on if one != STRAP_LENGTH])}: longer dampers come first. Write "
                    f"their lengths into a set-up ({axle}.dampers.{line.name}.length_extended and length_collapsed), or lift it less"
                )


def strap_note(standing: Standing, axle: str, up: float, length: float) -> str:
    """Return that a longer strap is part of a lift, and what it rests on."""
    taut = -standing.axles[axle].droop.jounce
    return (
        f"{axle}: nobody measured its limit straps; those estimated from the dampers' lengths are taut {show(taut, 'length')} above the measured "
        f"height, before the lift is reached. So longer straps are part of this lift, {show(length, 'length')} when just taut, {show(up, 'length')} longer, and "
        "dampers that are long enough for them. If the truck has none, look at how far the dampers let the axle drop."
    )
