"""Where the dampers of an axle are mounted: their ends moved along frame and axle, by one number each way of moving them."""

from collections.abc import Callable
from dataclasses import dataclass
from math import atan2, degrees, hypot, isnan, nan, tan

from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.slip import Relaxation
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import replaced, with_values
from sim.describe.shown import show_short
from sim.describe.to_measure import of_end
from sim.errors import RunError
from sim.lower.stance import axle_stances
from sim.study.fit import Fit, fits, without_cure

LEAST_RISE = 0.05
"""Height of an upper mount over its lower one [m] below which a damper lies too flat to be leaned."""


def offset_of(vehicle: Vehicle, axle: str, name: str) -> tuple[float, float]:
    """Return how far a set's upper mount is ahead of and above its lower one at the measured ride height [m]."""
    damper = getattr(vehicle, axle).dampers[name]
    # The file gives the upper end from front axle and ground, the lower one from its axle's centre.
    lower_behind = vehicle.axle_behind_front_m(axle) - damper.axle.ahead
    lower_up = axle_stances(vehicle.reference)[axle].centre_height + damper.axle.above
    return lower_behind - damper.body.behind_front_axle, damper.body.above_ground - lower_up


def lean_of(vehicle: Vehicle, axle: str, name: str) -> float:
    """Return the lean of a damper set in side view at the measured ride height [rad], forward positive."""
    # Ahead over rise, not rise over ahead: a lean counts from upright.
    return atan2(*offset_of(vehicle, axle, name))


def _ahead_of(vehicle: Vehicle, axle: str, name: str) -> float:
    """Return how far a set's lower mount is ahead of the axle's centre [m]."""
    return float(getattr(vehicle, axle).dampers[name].axle.ahead)


def _placed(vehicle: Vehicle, axle: str, name: str, lower_ahead_m: float, upper_ahead_m: float) -> DamperSet:
    """Return a set with its ends elsewhere: lower from the axle's centre, upper from the lower, both at their heights.

    The damper is taken as much longer or shorter as its ends are then apart, with the stroke that it has.
    """
    part: DamperSet = getattr(vehicle, axle).dampers[name]
    ahead, rise = offset_of(vehicle, axle, name)
    # At so small a rise a usual lean would leave a damper a few centimetres long.
    if rise <= LEAST_RISE:
        raise RunError(
            f"{axle} damper set '{name}' has its upper mount hardly above its lower one; it cannot be leaned."
        )
    behind = vehicle.axle_behind_front_m(axle) - lower_ahead_m - upper_ahead_m
    # Rise and the distance across stay, so only what is ahead changes the length.
    flat = hypot(rise, part.lean_inward)
    longer = hypot(upper_ahead_m, flat) - hypot(ahead, flat)
    changes: dict[tuple[str, ...], float] = {("axle", "ahead"): lower_ahead_m, ("body", "behind_front_axle"): behind}
    # Both ends alike: another damper with the same stroke is bought, the old one is not stretched.
    for end in ("length_collapsed", "length_extended"):
        value = getattr(part, end)
        if value is not None:
            changes[end,] = value + longer
    for path, value in changes.items():
        part = replaced(part, path, value, ".".join((axle, "dampers", name, *path)))
    return part


def _with(vehicle: Vehicle, axle: str, dampers: dict[str, DamperSet]) -> Vehicle:
    return with_values(vehicle, {f"{axle}.dampers": dampers}) if dampers else vehicle


def leaned(vehicle: Vehicle, axle: str, lean_rad: float) -> Vehicle:
    """Return the set-up with all dampers of an axle leaned alike: upper mounts moved along the frame, at their height."""
    moved = {}
    for name in getattr(vehicle, axle).dampers:
        _, rise = offset_of(vehicle, axle, name)
        moved[name] = _placed(vehicle, axle, name, _ahead_of(vehicle, axle, name), rise * tan(lean_rad))
    return _with(vehicle, axle, moved)


def lower_moved(vehicle: Vehicle, axle: str, ahead_m: float) -> Vehicle:
    """Return the set-up with all lower mounts of an axle so far ahead of its centre; upper mounts stay, so the lean changes."""
    moved = {}
    for name in getattr(vehicle, axle).dampers:
        ahead, _ = offset_of(vehicle, axle, name)
        # What the lower end goes ahead the upper falls back behind it: in space the upper end stays.
        moved[name] = _placed(vehicle, axle, name, ahead_m, ahead + _ahead_of(vehicle, axle, name) - ahead_m)
    return _with(vehicle, axle, moved)


def both_moved(vehicle: Vehicle, axle: str, ahead_m: float) -> Vehicle:
    """Return the set-up with all lower mounts so far ahead of the axle's centre, and the upper ones moved along: the lean stays."""
    moved = {}
    for name in getattr(vehicle, axle).dampers:
        moved[name] = _placed(vehicle, axle, name, ahead_m, offset_of(vehicle, axle, name)[0])
    return _with(vehicle, axle, moved)


def staggered(vehicle: Vehicle, axle: str, apart_m: float) -> Vehicle:
    """Return the set-up with half of the dampers so far ahead of the axle's centre and half as far behind it.

    Those ahead keep their lean; those behind are their mirror image about the upright through the centre, so that both pull as
    hard against bounce and turn the housing opposite ways.

    Raises
    ------
    RunError
        If a set cannot be halved.
    """
    moved = {}
    for name, part in getattr(vehicle, axle).dampers.items():
        if part.count % 2:
            raise RunError(
                f"{axle} damper set '{name}' has {part.count} damper{'' if part.count == 1 else 's'}; one ahead and one behind needs "
                "an even count."
            )
        lean = offset_of(vehicle, axle, name)[0]  # [m], the upper end ahead of the lower one, not an angle
        # The half ahead keeps the name of the set, so that changes which name it still find it.
        for said, sense in ((name, 1.0), (f"{name} behind", -1.0)):
            half = _placed(vehicle, axle, name, sense * apart_m, sense * lean)
            moved[said] = replaced(half, ["count"], part.count // 2, f"{axle}.dampers.{name}.count")
    return _with(vehicle, axle, moved)


@dataclass(frozen=True)
class Move:
    """One way of moving the mounts of an axle's dampers.

    Attributes
    ----------
    label, subject : str
        What is moved, and the same as a sentence begins with it.
    quantity : str
        "angle" [rad] or "length" [m] of the number that it takes.
    of : callable
        From set-up, axle and that number to the set-up so mounted.
    stands : callable or None
        From set-up, axle and a damper set's name to that number as the file has it; None where the file's place is none of them.
    """

    label: str
    subject: str
    quantity: str
    of: Callable[[Vehicle, str, float], Vehicle]
    stands: Callable[[Vehicle, str, str], float] | None

    def stands_at(self, vehicle: Vehicle, axle: str) -> float | None:
        """Return where the set-up's file has it; None with several sets that differ, or where it is none of these places."""
        if self.stands is None:
            return None
        # Rounded to 0.1 mm or 0.1 mrad: sets that were measured alike may differ in their last digit.
        places = {round(self.stands(vehicle, axle, name), 4) for name in getattr(vehicle, axle).dampers}
        return places.pop() if len(places) == 1 else None

    def words(self, place: float) -> str:
        """Return a place in words, from the axle's centre; nan is where the set-up's file has it."""
        if isnan(place):
            return "as they stand"
        if self.quantity == "angle":
            lean = round(degrees(place), 1)
            return "upright" if lean == 0.0 else f"leaned {abs(lean):g} deg {'forward' if lean > 0.0 else 'back'}"
        if abs(place) < 5e-4:  # it would be written as 0 mm
            return "at the axle"
        far = show_short(abs(place), "length", (0, 1))
        if self.stands is None:
            return f"{far} to either side of the axle"
        return f"{far} {'ahead of' if place > 0.0 else 'behind'} the axle"


MOVES: dict[str, Move] = {
    "upper": Move("upper mounts (lean alone)", "lean alone", "angle", leaned, lean_of),
    "lower": Move("lower mounts", "where the lower mounts are", "length", lower_moved, _ahead_of),
    "both": Move("both mounts", "where both mounts are", "length", both_moved, _ahead_of),
    "staggered": Move("one ahead, one behind", "one ahead and one behind", "length", staggered, None),
}
"""By name; a new way of moving mounts is a function and its place here."""


@dataclass(frozen=True)
class Misfit:
    """That a damper does not fit where it is mounted.

    Attributes
    ----------
    reason : str
        What would break, and the cure.
    short : float
        By how much it is too long or too short [m]; nan where that is not what is wrong.
    measure : tuple of str
        What was estimated, and must be measured before anybody knows; empty: it does not fit by what was measured.
    """

    reason: str
    short: float = nan
    measure: tuple[str, ...] = ()

    @property
    def estimated(self) -> bool:
        """Whether an estimate alone says so."""
        return bool(self.measure)


def unfit(vehicle: Vehicle, axle: str, file: Vehicle | None = None) -> Misfit | None:
    """Return why a damper of an axle does not fit where it is, over the axle's whole travel; None if all do.

    Of several that do not, one that does not by what was measured, if there is one. Of a set-up whose mounts were moved, `file` is the
    one that its file has: there stands what was estimated.
    """
    # This axle's alone: what does not fit at the other end is so at every place, and would leave out all.
    try:
        own = [fit for fit in fits(vehicle, file) if fit.axle == axle]
    # Such as a coil that would have to pull: a place that nobody can build, and not the end of the command.
    except RunError as error:
        return Misfit(str(error))
    # Half of a set that was parted has the other half's estimates.
    open_ = tuple(dict.fromkeys(words for fit in own for words in fit.unmeasured))
    found = [_misfit(fit, open_) for fit in own if fit.problems]
    return min(found, key=lambda misfit: misfit.estimated, default=None)


def _misfit(fit: Fit, unmeasured: tuple[str, ...]) -> Misfit:
    ends = [room for room in (fit.margin_in, fit.margin_out) if room < 0.0]
    # A lean past what its oil bears is no length: measuring changes nothing of it.
    if not ends or len(fit.problems) > len(ends):
        return Misfit(without_cure(fit.problems[0]), -min(ends, default=nan))
    # What decides one end says nothing of the other; what is short at both is open only if both are.
    decides = [
        of_end(unmeasured, "collapsed" if inwards else "extended")
        for inwards, room in ((True, fit.margin_in), (False, fit.margin_out))
        if room < 0.0
    ]
    measure = tuple(dict.fromkeys(words for each in decides for words in each)) if all(decides) else ()
    # What to order for it is of no use where nothing is to be mounted.
    return Misfit(without_cure(fit.problems[0]), -min(ends), measure)


def relaxation_of(vehicle: Vehicle, axle: str) -> Relaxation:
    """Return how the grip of an axle's tyres follows load, by the vehicle's file."""
    slip = getattr(vehicle, axle).tyre.slip
    return slip.relaxation if slip else "at_once"


def relaxed(vehicle: Vehicle, relaxation: Relaxation) -> Vehicle:
    """Return the set-up with the grip of all its tyres following load in one way."""
    # Only where grip is described: a value cannot be put into a part that is not there.
    paths = [f"{name}.tyre.slip.relaxation" for name, axle in vehicle.axles if axle.tyre.slip]
    return with_values(vehicle, dict.fromkeys(paths, relaxation))
