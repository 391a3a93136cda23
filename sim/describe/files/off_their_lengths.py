"""Lengths that were taped twice and do not agree: a leaf pack in parts and as a whole, a damper between its eyes and by its mounts."""

from math import hypot, sqrt

from sim.describe.doubt import NO_SOURCE
from sim.describe.estimates.truck import Truck
from sim.describe.estimates.weights import centre_height
from sim.describe.files.hardly_meant import Notice, head_of, written_at
from sim.describe.files.reader import Document, Place
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.springs.base import AlongLeaf
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.describe.usual import HARDLY, USUAL_RANGES

SHARE = 0.03
"""How far the parts of a pack may be off the whole, as a share of it: what a tape along a rusty pack may be off (common practice, no source). The rate
goes with the third power of the length, so that this is a tenth of it already."""

FAR = 0.025
"""How far a damper's length may be off the distance between its mounts [m]: four places of mounts and the axle's height are taped for that,
each to 10 mm under a truck (common practice, no source)."""


def off_their_lengths(vehicle: Vehicle, document: Document) -> tuple[Notice, ...]:
    """Return a notice for every leaf pack and damper of which two measurements say two lengths; of a set-up's own parts none."""
    truck, notices = Truck(document.data), []
    reference = dict(vehicle.reference.axles)
    for axle, part in vehicle.axles:
        for name, spring in part.springs.items():
            if spring.along is not None and reference[axle].springs.get(name) == spring:
                notices += _pack(spring.along, document, (axle, "springs", name))
        for name, damper in part.dampers.items():
            if reference[axle].dampers.get(name) == damper:
                notices += _damper(damper, truck, document, (axle, "dampers", name))
    return tuple(notices)


def _given(document: Document, place: Place) -> bool:
    """Tell whether somebody gave the number at a place, and it is no estimate."""
    return written_at(document, place) is not None and place not in document.estimates


def _pack(pack: AlongLeaf, document: Document, place: Place) -> list[Notice]:
    whole = (*place, "length")
    sides = (*place, "halves", "ahead"), (*place, "halves", "behind")
    if not all(_given(document, one) for one in (whole, *sides)):
        return []
    both = pack.ahead + pack.behind
    held = USUAL_RANGES["LeafPack.clamped"]
    known = _given(document, (*place, "clamped"))
    # What nobody measured may be whatever is usual.
    low, high = (pack.clamped, pack.clamped) if known else (held.low, held.high)
    between = pack.length - both
    if low - SHARE * pack.length <= between <= high + SHARE * pack.length:
        return []
    ahead, behind = show(pack.ahead, "length"), show(pack.behind, "length")
    if known:
        share = ((both / (pack.length - pack.clamped)) ** 3 - 1.0) * 100.0
        made = f"its halves, {ahead} and {behind}, and {show(pack.clamped, 'length')} held by the U-bolts make {show(both + pack.clamped, 'length')}"
        made += f"; its rate, which goes by the whole, is {abs(share):.0f} % {'more' if share > 0.0 else 'less'} than it is by these"
    else:
        made = f"its halves, {ahead} and {behind}, leave {show(between, 'length')} to be held by the U-bolts"
    lines = (
        f"{HARDLY}: {made}",
        f"given: {show(pack.length, 'length')} eye to eye",
        "usual: both halves, and what the U-bolts hold between them, make the length eye to eye",
        "try: tape it again along the main leaf; a half ends at the nearer U-bolt, not at the centre bolt",
    )
    return [Notice(whole, head_of(document, whole), lines)]


def _damper(damper: DamperSet, truck: Truck, document: Document, place: Place) -> list[Notice]:
    taped_at = (*place, "length_at_ride")
    mounts = [(*place, end, key) for end, key in MOUNTS]
    taped = truck.si("length", *map(str, taped_at))
    if taped is None or not all(_given(document, one) for one in mounts):
        return []
    axle = str(place[0])
    along = damper.body.behind_front_axle - truck.behind(axle) + damper.axle.ahead
    height = truck.si("length", axle, "axle_height") or centre_height(truck, axle)
    seen = hypot(along, damper.body.above_ground - height - damper.axle.above)
    # Nobody taped how far it leans across: as far as makes it as long as it was taped.
    across = damper.lean_inward if _given(document, (*place, "lean_inward")) else sqrt(max(taped**2 - seen**2, 0.0))
    between = hypot(seen, across)
    if abs(between - taped) <= FAR:
        return []
    lines = (
        f"{HARDLY}: between the mounts as they were taped it would be {show(between, 'length')} long, and so it is taken",
        f"given: {show(taped, 'length')} eye to eye as the truck stands",
        f"usual: the same length both ways, to {show(FAR, 'length')} ({NO_SOURCE})",
        "try: tape the damper again, then each mount: heights from the ground, the lower one from the axle's centre",
    )
    return [Notice(taped_at, head_of(document, taped_at), lines)]


MOUNTS = (("body", "behind_front_axle"), ("body", "above_ground"), ("axle", "ahead"), ("axle", "above"))
