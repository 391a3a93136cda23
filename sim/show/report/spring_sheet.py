"""Rows of the sheet that a spring is ordered by, and of the sheet that proposes a damper."""

from collections.abc import Mapping
from math import isfinite

from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.parts.springs.wire import wahl_factor
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short
from sim.linear.standing import Standing
from sim.show.report.sheet import SPREAD
from sim.show.report.sheet_rows import Row, Rows
from sim.study.dyno import TOLERANCE
from sim.study.fit import LEAST_MARGIN, Fit
from sim.study.propose import BEYOND, DEAD_LENGTH, HIGH_RATIO, KNEE, LOW_RATIO, Proposal
from sim.study.spring_order import Pressed, SpringOrder

PRACTICE = "common practice, no source"

SPRING_CAUTIONS = (
    "A compressed coil holds the energy above and throws itself or the tool when it gets free: use a spring compressor that is rated "
    "for it, both hooks seated, with a chain or cage round it; stand aside, nobody in line with it.",
    "Leaf packs open when the centre bolt or U-bolts come off: hold the pack in clamps. U-bolts are renewed and checked again after "
    "160 km (100 mi) and 800 km (500 mi); common practice, no source.",
    "Lower the axle on a jack until the spring is loose; truck on stands under its frame, wheels chocked, nobody under it.",
    "Cycle the axle before ordering: hoses, shafts, brake lines, steering. Local rules on ride height and licensed practice come first.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it approves nothing.",
)


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
            made.add_value(section, f"{place}: stress in the wire, its bend counted (Wahl)", pressed.stress, "stress")


def spring_rows(setup: str, used: str, order: SpringOrder, standing: Standing) -> list[Row]:
    """Return the sheet of one spring."""
    made = Rows()
    axle, spring = standing.axles[order.axle], dict(standing.vehicle.axles)[order.axle].springs[order.name]
    _spring_job(made, setup, used, order, standing)
    now = "2 As it is"
    what = "free length" if order.coil else "free camber (drop of the seat without load)"
    made.add_value(now, "rate of one", order.rate, "stiffness")
    made.add_value(now, what, order.free, "length")
    _pressed(made, now, order.places, order.coil)
    if order.coil:
        wire, coil = getattr(spring, "wire_diameter", None), getattr(spring, "coil_diameter", None)
        made.add_value(now, "wire diameter", wire or float("nan"), "length")
        made.add_value(now, "mean diameter of the coil", coil or float("nan"), "length")
        if wire and coil:
            made.add(
                now,
                "coil diameter over wire diameter; Wahl factor (its bend)",
                f"{coil / wire:.2f}; {wahl_factor(coil / wire):.3f}",
            )
            for steel, limit in zip(STEELS, order.bears, strict=True):
                made.add_value(now, f"wire bears, {steel} (handbook, from memory)", limit, "stress")
        if spacer := getattr(spring, "spacer", 0.0):
            made.add_value(now, "spacer on it", spacer, "length")
        made.add_value(now, "solid length", getattr(spring, "solid_length", None) or float("nan"), "length")
    made.add_value(now, "frame stands above the measured height", order.stands, "length")
    made.add(now, "ride frequency of this end", f"{axle.ride_frequency:.2f} Hz")
    buy = f"3 Order this {'coil' if order.coil else 'pack'}"
    as_set_up = ", as this set-up stands" if order.as_set_up else ""
    made.add_value(buy, f"wanted height above the measured one{as_set_up}", order.wanted, "length")
    made.add(buy, "quantity", f"{order.count}")
    made.add_value(buy, "rate of one (+/- 5 %)", order.rate, "stiffness")
    made.add_value(buy, f"{what}, +/- {show_short(LENGTH_TOLERANCE, 'length', (0, 2))}", order.order, "length")
    if not order.coil:
        made.add_value(buy, "arch without load, more than measured at ride by", order.arch, "length")
    made.add_value(buy, "height that it gives above the measured one", order.gives, "length")
    _pressed(made, buy, order.then, order.coil)
    made.add(buy, "the same rate, so the same frequency", "more height is more length, not more rate")
    if order.coil:
        for label in (
            "ends: ground, tangent, pigtail",
            "inside diameter, seat to seat",
            "wound left or right",
            "finish",
        ):
            made.add(buy, label)
    else:
        for label in ("eyes, bushes", "halves ahead, behind", "centre bolt, width"):
            made.add(buy, label)
    return made.made


def _spring_job(made: Rows, setup: str, used: str, order: SpringOrder, standing: Standing) -> None:
    job, vehicle, axle = "1 Job", standing.vehicle, standing.axles[order.axle]
    made.add(job, "truck, set-up", f"{vehicle.name}, {setup}")
    made.add(job, "place, how many on this axle", f"{order.axle} axle, '{order.name}', {order.count} on the axle")
    made.add(job, "computed for (road, speed)", used)
    made.add_value(job, "axle load on the ground", axle.load, "load")
    made.add_value(job, "sprung mass of this axle", axle.sprung_mass, "mass")
    made.add(job, "loads aboard", loads_words(vehicle))


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
        lengths, "margin rule, both ends", f"{room} past full bump and past the end of droop, 1/2 to 1 in; {PRACTICE}"
    )
    strap = dict(standing.vehicle.axles)[fit.axle].strap
    if strap is not None:
        made.add(
            lengths,
            "limit strap's stretch, to be added",
            f"up to {show(strap.length / 12.0, 'length')} (1 in per foot) when hit hard; {PRACTICE}",
        )
    made.add(lengths, "dead length rule", f"collapsed less stroke is {show(DEAD_LENGTH, 'length')} or more; {PRACTICE}")
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
        f"{offer.now:.2f}, {offer.ratio:.2f}; {LOW_RATIO:g} to {HIGH_RATIO:g} are usual; {PRACTICE}",
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
        f"2 to 1; from {show(KNEE, 'speed')} the slope is {100 * BEYOND:.0f} %; {PRACTICE}",
    )
    return made.made
