"""Which lengths that decide whether a stop is met or a damper fits nobody measured: said beside every answer that rests on them."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

from sim.describe.estimates.coil_seats import OF_COIL
from sim.describe.estimates.damper_mounts import OF_TAPED
from sim.describe.parts.springs import LineSpring

if TYPE_CHECKING:
    from sim.describe.parts.vehicle import Vehicle

AT_RIDE = "the damper eye to eye at ride"
FULLY_IN, FULLY_OUT = "the damper fully in", "the damper fully out"
GAP, STRAP_LENGTH = "the gap to the bump stop", "the length of the limit strap"
MOUNTS = "the places of the damper's mounts"

PLACES: tuple[tuple[str, str], ...] = (
    ("{axle}.dampers.{name}.body.above_ground", AT_RIDE),
    ("{axle}.dampers.{name}.length_collapsed", FULLY_IN),
    ("{axle}.dampers.{name}.length_extended", FULLY_OUT),
    ("{axle}.stop.gap", GAP),
    ("{axle}.strap.length", STRAP_LENGTH),
)
"""By the path of what was estimated, what is to be measured in its place."""

STOP_HEIGHT, STOP_SQUEEZE = "the height of the bump stop", "how far the bump stop squeezes"
"""What is to be measured of a stop whose gap is known: of its height comes the squeeze, within a quarter."""

BUMP_ALONE, DROOP_ALONE = (FULLY_IN, GAP, STOP_HEIGHT, STOP_SQUEEZE), (FULLY_OUT, STRAP_LENGTH)
"""What moves the room at one end of a damper alone: nobody need measure it for the other."""


def of_end(words: Sequence[str], end: str) -> tuple[str, ...]:
    """Return what of a list of things to measure moves the room at an end of a damper, "collapsed" or "extended"."""
    other = DROOP_ALONE if end == "collapsed" else BUMP_ALONE
    return tuple(one for one in words if one not in other)


RATE_OF = ("rate", "wire_diameter", "coil_diameter", "active_coils", "leaves", "leaf_width", "leaf_thickness", "length")
"""Keys of a spring from which its rate comes."""

RATE_WORDS = "the rate of one, or its wire or leaves"

CLAMPED_WORDS = "the rate of one, or how much of its length the U-bolts hold"
FULL_LENGTH_WORDS = "how many leaves reach both eyes"

SEATS = ("body.above_ground", "axle.above")
"""Keys of a coil between which it stands."""

SEATS_WORDS = "its length at ride, end to end, or its free length off the truck"

RESTS_ON = {
    "left_to_stop": ("{axle}.stop.gap", "the gap to the stop"),
    "left_to_strap": ("{axle}.strap.length", "the length of the strap"),
}
"""By the measure's name after its axle: what past its limit rests on, and its words."""


def estimated(vehicle: "Vehicle") -> frozenset[str]:
    """Return the paths of a set-up's numbers that nobody gave.

    A damper's upper mount that follows from its length as taped is not among them.
    """
    return frozenset(one.path for one in vehicle.estimates if one.of != OF_TAPED)


def unmeasured(vehicle: "Vehicle", axle: str, name: str) -> tuple[str, ...]:
    """Return what must be measured before anybody knows whether a damper set fits; nothing where all of it was."""
    paths = estimated(vehicle)
    return tuple(words for path, words in PLACES if path.format(axle=axle, name=name) in paths)


def spring_unmeasured(vehicle: "Vehicle", axle: str, name: str) -> tuple[str, ...]:
    """Return what must be measured before a spring can be ordered by its rate and its free length; nothing where all of it was."""
    paths, spring, place = estimated(vehicle), dict(vehicle.axles)[axle].springs[name], f"{axle}.springs.{name}."
    # A pack's length that is the sum of its halves was taped.
    keys = tuple(key for key in RATE_OF if key != "length" or getattr(spring, "halves", None) is None)
    said = [RATE_WORDS] if any(place + key in paths for key in keys) else []
    if not said and place + "clamped" in paths and getattr(spring, "clamped", None):
        said.append(CLAMPED_WORDS)
    # By the leaves a pack is the stiffer the more of them reach the eyes.
    if not said and getattr(spring, "leaves", None) is not None and place + "full_length_leaves" in paths:
        said.append(FULL_LENGTH_WORDS)
    # A leaf pack is ordered by the arch that it has more than at ride, whatever its seats.
    known = _length_known(vehicle, axle, name) or _taped(vehicle, place + SEATS[0])
    if isinstance(spring, LineSpring) and not known and any(place + key in paths for key in SEATS):
        said.append(SEATS_WORDS)
    return tuple(said)


def _length_known(vehicle: "Vehicle", axle: str, name: str) -> bool:
    """Tell whether a coil's free length was measured.

    One that a set-up brings in place of a coil whose length nobody measured is reckoned from that: how high it stands is no better known.
    """
    measured = dict(vehicle.reference.axles)[axle].springs.get(name)
    return all(
        getattr(one, "free_length", None) is not None for one in (dict(vehicle.axles)[axle].springs[name], measured)
    )


def _taped(vehicle: "Vehicle", seat: str) -> bool:
    """Tell whether a coil's upper seat was put so that the coil has the length that was taped: then both seats are as good as measured."""
    return any(one.path == seat and one.of == OF_COIL for one in vehicle.estimates)


def listed(words: Sequence[str]) -> str:
    """Return words with commas and an `and` before the last."""
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)


def rests_on_estimate(paths: frozenset[str], measures: Sequence[str]) -> list[str]:
    """Return what measures past a limit rest on that nobody measured, each once.

    Parameters
    ----------
    paths : frozenset of str
        As of `estimated`.
    measures : sequence of str
        Names, such as "front_left_to_stop".
    """
    rests_on = []
    for measure in measures:
        axle, _, what = measure.partition("_")
        path, words = RESTS_ON.get(what, ("", ""))
        if path and path.format(axle=axle) in paths:
            rests_on.append(words)
    return list(dict.fromkeys(rests_on))


def to_be_measured(words: Sequence[str]) -> str:
    """Return in brackets, after a blank, that what a sentence rests on is estimated; empty where all of it was measured."""
    if not words:
        return ""
    return f" ({listed(words)} {'are estimated: measure them' if len(words) > 1 else 'is estimated: measure it'})"
