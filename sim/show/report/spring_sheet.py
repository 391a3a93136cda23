"""Rows of the sheet that a spring is ordered by, and of the sheet that proposes a damper."""

from collections.abc import Mapping
from math import isfinite, nan, pi

from sim.describe.doubt import NO_SOURCE
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.parts.springs.base import SpringDescription
from sim.describe.parts.springs.wire import wahl_factor
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short
from sim.describe.to_measure import RATE_OF, estimated, listed
from sim.integrate.cures import DEAD_LENGTH
from sim.integrate.damper_room import LEAST_MARGIN
from sim.linear.droop import FREE_COIL, HANGING
from sim.linear.standing import Standing
from sim.show.report.sheet import SPREAD
from sim.show.report.sheet_rows import Row, Rows
from sim.study.dyno import TOLERANCE
from sim.study.fit import Fit
from sim.study.ordered_length import show_ordered
from sim.study.pressed import Pressed
from sim.study.propose import BEYOND, HIGH_RATIO, KNEE, LOW_RATIO, Proposal
from sim.study.spring_order import SpringOrder

COIL_CAUTIONS = (
    "A compressed coil holds the energy above and throws itself or the tool when it gets free: use a spring compressor that is rated "
    "for it, both hooks seated, with a chain or cage round it; stand aside, nobody in line with it.",
)
LEAF_CAUTIONS = (
    "Leaf packs open when the centre bolt or U-bolts come off: hold the pack in clamps. U-bolts are renewed and checked again after "
    "160 km (100 mi) and 800 km (500 mi); common practice, no source.",
)
SPRING_CAUTIONS = (
    "Lower the axle on a jack until the spring is loose; truck on stands under its frame, wheels chocked, nobody under it.",
    "Cycle the axle before ordering: hoses, shafts, brake lines, steering. Local rules on ride height and licensed practice come first.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it approves nothing.",
)


STRAP_TO = "the strap is to be taut before the damper is fully out"


def cautions_of(order: SpringOrder) -> tuple[str, ...]:
    """Return what can hurt somebody at one spring: of its own kind first, then what holds for both."""
    return (*(COIL_CAUTIONS if order.coil else LEAF_CAUTIONS), *SPRING_CAUTIONS)


LENGTH_TOLERANCE = 3e-3
"""Within which a spring's free length is ordered [m]; common practice, no source."""

STEELS = "oil-tempered, as wound", "oil-tempered, preset", "chrome-silicon, preset"


def _pressed(made: Rows, section: str, places: Mapping[str, Pressed], coil: bool) -> None:
    """Add length, load, energy and stress of one spring at the places of its axle's travel."""
    for place, pressed in places.items():
        if coil:
            made.add_value(section, f"{place}: length", pressed.length, "length")
        if pressed.force == 0.0:  # a loose coil has no load to tell
            continue
        made.add_value(section, f"{place}: load of one", pressed.force, "force")
        # A pack at the end of droop is pulled by the axle's weight: nothing that could fly off.
        if pressed.force > 0.0:
            made.add_value(section, f"{place}: energy that one holds", pressed.energy, "spring_energy")
        if isfinite(pressed.stress):
            # The factor takes the bend of the wire into account (A. M. Wahl), which makes its inside work harder.
            label = (
                "stress in the wire, its bend counted (Wahl)" if coil else "stress in its leaves, all alike (Khurmi)"
            )
            if pressed.stress > 0.0:
                made.add_value(section, f"{place}: {label}", pressed.stress, "stress")


def _to_order(made: Rows, section: str, label: str, length: float, inches: bool) -> None:
    """Add a length to order: of a truck in inches by the marks of a tape."""
    if not isfinite(length):
        made.add(section, label)
        return
    metric, _, inch = show_ordered(length, inches).partition(" (")
    made.add(section, label, metric, inch.rstrip(")"))


def _turned(made: Rows, section: str, axle: str, turn: float) -> None:
    """Add what the height costs of castor, or of the pinion, and what brings the measured one back [rad]."""
    if not abs(turn) >= LEAST_TURN:
        return
    # As on the parts list and by `jounce lift`: castor is against the ground, and a shaft turns with the frame.
    what, against, gained, lost = (
        ("castor", "measured", "forward", "back") if axle == "front" else ("pinion upwards", "frame", "down", "up")
    )
    made.add_value(section, f"{what} then, against the {against}, with loads as measured", turn, "angle")
    way = gained if turn > 0.0 else lost
    of = "top of the axle" if axle == "front" else "pinion"
    made.add_value(section, f"to have it back, turn the {of} {way} by", abs(turn), "angle")


LEAST_TURN = 0.1 * pi / 180.0
"""Turn of a housing [rad] that an angle gauge does not show."""


def spring_rows(setup: str, used: str, order: SpringOrder, standing: Standing, turn: float = nan) -> list[Row]:
    """Return the sheet of one spring; with how far the axle's housing turns with it [rad], its front upwards, if that is known."""
    made = Rows()
    axle, spring = standing.axles[order.axle], dict(standing.vehicle.axles)[order.axle].springs[order.name]
    _spring_job(made, setup, used, order, standing)
    now = "2 As it is"
    guessed = estimated(standing.vehicle)

    def mark(*keys: str) -> str:
        """Return what is said beside a number that nobody gave; a length that is the sum of two halves was taped."""
        keys = tuple(key for key in keys if key != "length" or getattr(spring, "halves", None) is None)
        return ", estimated" if any(f"{order.axle}.springs.{order.name}.{key}" in guessed for key in keys) else ""

    def dimensions(section: str) -> None:
        for one in spring.dimensions:
            label = one.label + mark(one.key)
            if one.quantity == "length":
                made.add_value(section, label, one.value, "length")
            else:
                made.add(section, label, f"{one.value:g}")

    # Of leaves the rate comes with how many reach the eyes.
    rate = mark(*RATE_OF, *(one.key for one in spring.dimensions if one.key == "full_length_leaves"))
    made.add_value(now, f"rate of one{rate}", order.rate, "stiffness")
    of = f"the {'coil' if order.coil else 'pack'} that was measured: the set-up gives another rate, and no other {'length' if order.coil else 'arch'}"
    if order.coil:
        made.add_value(now, "free length", order.free, "length")
    else:
        made.add_value(now, ARCH_MORE, order.free, "length")
    if order.keeps:
        made.add(now, f"{'free length' if order.coil else 'arch without load'}, of which spring", of)
    if not order.coil:
        made.add(now, ARCH_AT_RIDE)
    _pressed(made, now, order.places, order.coil)
    dimensions(now)
    if order.coil:
        if both := getattr(spring, "wire", None):
            wire, coil = both
            made.add(
                now,
                "coil diameter over wire diameter; Wahl factor (its bend)",
                f"{coil / wire:.2f}; {wahl_factor(coil / wire):.3f}",
            )
            for steel, limit in zip(STEELS, order.bears, strict=True):
                made.add_value(now, f"wire bears, {steel} (handbook, from memory)", limit, "stress")
        if spacer := getattr(spring, "spacer", 0.0):
            made.add_value(now, "spacer on it", spacer, "length")
        _solid(made, now, spring)
    made.add_value(now, "frame stands above the measured height over the axle", order.stands, "length")
    made.add(now, "ride frequency of this end", f"{axle.ride_frequency:.2f} Hz")
    if order.kept:
        made.add("3 Nothing to order", "it stays as it is: the height is changed by", order.kept.removeprefix("by "))
        made.add_value("3 Nothing to order", "height that this gives above the measured one", order.stands, "length")
        _turned(made, "3 Nothing to order", order.axle, turn)
        return made.made
    buy = f"3 Order this {'coil' if order.coil else 'pack'}"
    as_set_up = ", as this set-up stands" if order.as_set_up else ""
    made.add_value(buy, f"wanted height above the measured one{as_set_up}", order.wanted, "length")
    made.add(buy, "quantity", f"{order.count}")
    made.add_value(buy, f"rate of one (+/- 5 %){rate}", order.rate, "stiffness")
    within = f"+/- {show_short(LENGTH_TOLERANCE, 'length', (0, 2))}"
    if order.coil:
        _to_order(made, buy, f"free length, {within}", order.order, order.inches)
    else:
        # How it lies at ride nobody has said: a pack is as good flat as arched there.
        made.add(buy, ARCH_AT_RIDE)
        _to_order(made, buy, ARCH_MORE, order.arch, order.inches)
        made.add(buy, "that arch within", within)
        made.add(buy, "whole arch without load, the sum of both")
    made.add_value(buy, "height that it gives above the measured one", order.gives, "length")
    _turned(made, buy, order.axle, turn)
    _pressed(made, buy, order.then, order.coil)
    _against_measured(made, buy, order)
    dimensions(buy)
    if order.coil:
        _solid(made, buy, spring)
        blanks: tuple[str, ...] = ("ends: ground, tangent, pigtail", "seat to seat", "wound left or right", "finish")
        if both:
            made.add_value(buy, "inside diameter", both[1] - both[0], "length")
        else:
            blanks = ("inside diameter", *blanks)
    else:
        known = {one.key for one in spring.dimensions}
        blanks = ("eyes, bushes", *(() if "halves" in known else ("halves ahead, behind",)), "centre bolt")
        blanks += () if "leaf_width" in known else ("width of a leaf",)
    for label in blanks:
        made.add(buy, label)
    return made.made


def _solid(made: Rows, section: str, spring: SpringDescription) -> None:
    """Add the length at which a coil is solid: as measured, or as wire and turns have it."""
    given = getattr(spring, "binds_at", None)
    reckoned = None if given else getattr(spring, "solid_by_wire", None)
    made.add_value(
        section,
        "solid length, from wire and turns" if reckoned else "solid length",
        given or reckoned or float("nan"),
        "length",
    )


ARCH_MORE = "arch without load, more than at ride as measured"
"""What a pack is ordered by, in one name everywhere (`free_camber`): not the whole arch."""

ARCH_AT_RIDE = "arch as measured at ride, eyes to main leaf: tape it"
"""A line to be filled in by hand."""


def _against_measured(made: Rows, section: str, order: SpringOrder) -> None:
    """Add what becomes of the ride frequency: by the rate of the spring that the truck was measured on."""
    if isfinite(order.measured_rate) and abs(order.rate - order.measured_rate) > 1e-3 * order.measured_rate:
        made.add_value(
            section, "another rate, so another frequency: as measured it was", order.measured_rate, "stiffness"
        )
    elif isfinite(order.measured_rate):
        what = "length" if order.coil else "arch"
        made.add(section, "the same rate, so the same frequency", f"more height is more {what}, not more rate")


def _spring_job(made: Rows, setup: str, used: str, order: SpringOrder, standing: Standing) -> None:
    job, vehicle, axle = "1 Job", standing.vehicle, standing.axles[order.axle]
    made.add(job, "truck, set-up", f"{vehicle.name}, {setup}")
    made.add(job, "place, how many on this axle", f"{order.axle} axle, '{order.name}', {order.count} on the axle")
    made.add(job, "computed for (road, speed)", used)
    made.add_value(job, "axle load on the ground", axle.load, "load")
    made.add_value(job, "sprung mass of this axle", axle.sprung_mass, "mass")
    made.add(job, "loads aboard", loads_words(vehicle))


def spring_words(spring: SpringOrder) -> str:
    """Return what to order of a spring, in a sentence."""
    fitted = (
        f"free length as fitted {show(spring.free, 'length')}"
        if spring.coil
        else f"{ARCH_MORE}: {show(spring.free, 'length')}"
    )
    if spring.kept:
        return f"nothing to order: it stays as it is, and the truck's height is changed {spring.kept}"
    if not isfinite(spring.order):
        return f"what to order for the measured height is not known; {fitted}"
    where = f"{show(spring.wanted, 'length')} above the measured height" if spring.wanted else "the measured height"
    if spring.as_set_up:
        where += " (as this set-up does)"
    # The trade orders a pack by its arch, and measures that from the eyes: how it lay at ride nobody has said.
    length = (
        f"free length {show_ordered(spring.order, spring.inches)}"
        if spring.coil
        else f"{ARCH_MORE}: {show_ordered(spring.arch, spring.inches)} (tape the arch at ride and add it)"
    )
    figures = f"{show(spring.rate, 'stiffness')}, {length}; the frame then stands {show(spring.gives, 'length')} above the measured height over the axle"
    if spring.keeps and not spring.as_set_up and abs(spring.stands - spring.wanted) >= LENGTH_TOLERANCE:
        figures += f"; as long without load as the one before, as in this set-up, it stands {show(spring.stands, 'length')} above it"
    if spring.unmeasured:
        return f"do not order it yet: measure {listed(spring.unmeasured)}. As far as estimates say, to stand at {where}: {figures}"
    return f"to stand at {where} order {figures}"


def loads_words(vehicle: Vehicle) -> str:
    """Return the loads aboard in words."""
    return ", ".join(f"{name} {show(load.mass, 'mass')}" for name, load in vehicle.loads.items()) or "none"


def proposal_rows(setup: str, fit: Fit, standing: Standing, offer: Proposal, why: str) -> list[Row]:
    """Return the sheet that proposes one damper."""
    made = Rows()
    job, axle = "1 Why, and for what", standing.axles[fit.axle]
    made.add(job, "truck, set-up", f"{standing.vehicle.name}, {setup}")
    made.add(job, "place", f"{fit.axle} axle, set '{fit.name}', {fit.count} on the axle")
    made.add(job, "why another is proposed", why)
    made.add(job, "loads aboard", loads_words(standing.vehicle))
    made.add_value(job, "springs' rate at the axle (both sides)", axle.wheel_rate, "stiffness")
    made.add_value(job, "sprung mass of this axle", axle.sprung_mass, "mass")
    lengths = "2 Lengths and stroke"
    made.add_value(lengths, "wheel travel, full bump to end of droop", offer.travel, "length")
    made.add(lengths, "motion ratio at ride (damper per wheel)", f"{fit.places['ride'].motion_ratio:.3f}")
    made.add_value(lengths, "travel x motion ratio", offer.travel * fit.places["ride"].motion_ratio, "length")
    made.add_value(lengths, "stroke that this uses, with wind-up", offer.used, "length")
    made.add_value(lengths, "collapsed, at most", offer.collapsed, "length")
    made.add_value(lengths, "extended, at least", offer.extended, "length")
    made.add_value(lengths, "stroke, at least", offer.stroke, "length")
    room = show(LEAST_MARGIN, "length")
    made.add(
        lengths, "margin rule, both ends", f"{room} past full bump and past the end of droop, 1/2 to 1 in; {NO_SOURCE}"
    )
    strap = dict(standing.vehicle.axles)[fit.axle].strap
    if strap is not None:
        made.add(
            lengths,
            "limit strap's stretch, to be added",
            f"up to {show(strap.length / 12.0, 'length')} (1 in per foot) when hit hard; {NO_SOURCE}",
        )
    elif fit.droop.place == FREE_COIL:
        # No damper holds an axle whose coil is loose: who orders by this sheet alone must read it here.
        made.add_value(lengths, "limit strap, to be ordered with it: taut at most at", fit.most, "length")
        made.add(lengths, "why", f"there is none, and a coil that is loose carries nothing of the axle: {STRAP_TO}")
    elif fit.droop.place == HANGING:
        made.add(
            lengths,
            "limit strap",
            f"none is there; the axle hangs on its springs, and swings past that on a crest: {STRAP_TO}",
        )
    made.add(
        lengths, "dead length rule", f"collapsed less stroke is {show(DEAD_LENGTH, 'length')} or more; {NO_SOURCE}"
    )
    forces = "3 Force of one, without gas and seal"
    # Where no valving is so, there is no force to order; why stands among the warnings.
    for speed in TEST_SPEEDS if isfinite(offer.slope) else ():
        at = show(speed, "speed")
        for way, force in zip(("compression", "rebound"), offer.forces(speed), strict=True):
            metric, inch = made.both(force, "force")
            spread = f"{SPREAD}{100 * TOLERANCE:.0f} %"
            made.add(forces, f"{way} at {at}", metric + spread, inch + spread, table=(way, at))
    made.add_value(forces, "critical damping (it just does not swing)", offer.critical, "damping")
    made.add_value(forces, "damping at the wheel aimed at", offer.at_wheel, "damping")
    made.add(
        forces,
        "damping ratio: now, aimed at",
        f"{offer.now:.2f}, {offer.ratio:.2f}; {LOW_RATIO:g} to {HIGH_RATIO:g} are usual; {NO_SOURCE}",
    )
    if offer.seals >= 0.005:
        made.add(
            forces,
            "of either: friction of the seals",
            f"{offer.seals:.2f}, as of the dampers now; valving {offer.ratio - offer.seals:.2f}",
        )
    if isfinite(offer.slope):
        made.add(
            forces,
            "damping of one (by count and motion ratio squared)",
            show(offer.slope, "damping") + ", mean of both ways",
        )
    made.add(
        forces,
        "rebound to compression; knee",
        f"2 to 1; from {show(KNEE, 'speed')} the slope is {100 * BEYOND:.0f} %; {NO_SOURCE}",
    )
    return made.made
