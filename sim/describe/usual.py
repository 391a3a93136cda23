"""What numbers of an old solid-axle truck usually are: one table; outside of it a value is possible, but hardly meant."""

from dataclasses import dataclass

from sim.describe.doubt import NO_SOURCE

HARDLY = "possible, but hardly meant"
"""What a notice says of a value outside of what is usual, before why."""


@dataclass(frozen=True)
class Usual:
    """A usual range.

    Attributes
    ----------
    low, high : float
        Its ends [SI].
    of : str
        Whose number it is, in words.
    source : str
        Where the range is from.
    slips : tuple of (factor, words)
        Slips besides one of the unit: the value times the factor, and what was then written instead.
    """

    low: float
    high: float
    of: str
    source: str = NO_SOURCE
    slips: tuple[tuple[float, str], ...] = ()


def _between(low: float, high: float, unit: float, of: str, slips: tuple[tuple[float, str], ...] = ()) -> Usual:
    return Usual(low * unit, high * unit, of, slips=slips)


MM, N_PER_MM, KN_M = 1e-3, 1e3, 1e3
BY_HAND = 1000.0
"""Most that a person pushes down with [N]: about his own weight, of 100 kg here; common practice, no source."""

DROPPED_BY_HAND = 0.1
"""Greatest height [m] from which a truck is dropped off boards as a test; common practice, no source."""

DIAMETER = ((0.5, "the diameter, where the radius is wanted"),)

USUAL_RANGES: dict[str, Usual] = {
    "Vehicle.wheelbase": _between(1.8, 4.3, 1.0, "the wheelbase of such a truck"),
    "Weighed.front": _between(300, 2200, 1.0, "the load of a front axle"),
    "Weighed.rear": _between(250, 3000, 1.0, "the load of a rear axle"),
    "Weighed.front_unsprung": _between(80, 700, 1.0, "an axle with its wheels"),
    "Weighed.rear_unsprung": _between(80, 700, 1.0, "an axle with its wheels"),
    "Lifted.by": _between(200, 1200, MM, "the lift of an axle"),
    "TyreAsMeasured.outside_diameter": _between(560, 1200, MM, "the diameter of a tyre", ((2.0, "the radius, where the diameter is wanted"),)),
    "TyreAsMeasured.pressure": _between(0.5, 6.5, 1e5, "a tyre"),
    "AxleAsMeasured.axle_height": _between(250, 600, MM, "the height of an axle's centre"),
    "AxleAsMeasured.frame_height": _between(300, 1300, MM, "the height of a frame"),
    "StopAsMeasured.height": _between(20, 250, MM, "a bump stop"),
    "CoilAsMeasured.length_at_ride": _between(150, 700, MM, "a coil under its load"),
    "DamperAsMeasured.length_at_ride": _between(200, 1200, MM, "a damper at ride height"),
    "TruckAsMeasured.overall_length": _between(2.5, 6.5, 1.0, "such a truck bumper to bumper"),
    "Body.mass": _between(500, 2800, 1.0, "the body of such a truck without axles and loads"),
    "Body.centre_of_gravity.above_ground": _between(0.5, 1.6, 1.0, "the height of a body's centre of gravity"),
    "Load.mass": _between(0.5, 2000, 1.0, "a load of such a truck"),
    "Housing.mass": _between(80, 700, 1.0, "an axle with its wheels"),
    "Housing.pitch_inertia": _between(1.5, 60, 1.0, "an axle without its wheels"),
    "Tyre.radius": _between(280, 600, MM, "the radius of a tyre", DIAMETER),
    "Tyre.rate": _between(120, 700, N_PER_MM, "one tyre at its working pressure"),
    "Tyre.measured_at": _between(0.5, 6.5, 1e5, "a tyre"),
    "Tyre.pressure": _between(0.5, 6.5, 1e5, "a tyre"),
    "Tyre.damping": _between(20, 2000, 1.0, "one tyre"),
    "Tyre.contact_length": _between(60, 400, MM, "a contact patch"),
    "Tyre.spin_inertia": _between(0.4, 12, 1.0, "one wheel with its tyre"),
    "Coil.rate": _between(10, 150, N_PER_MM, "one coil of such a truck"),
    "Coil.wire_diameter": _between(7, 30, MM, "the wire of a coil"),
    "Coil.coil_diameter": _between(60, 250, MM, "the mean diameter of a coil"),
    "Coil.active_coils": _between(3, 16, 1.0, "the working coils of one spring"),
    "LeafPack.leaves": _between(1, 14, 1.0, "the leaves of one pack"),
    "DamperSet.count": _between(1, 4, 1.0, "the dampers of one axle, both sides together"),
    "Coil.free_length": _between(150, 750, MM, "a coil without load"),
    "Coil.solid_length": _between(60, 400, MM, "a coil whose turns touch"),
    "Coil.spacer": _between(5, 80, MM, "a spacer on a coil"),
    "LeafPack.block": _between(15, 125, MM, "a lift block"),
    "LeafPack.shackle_lift": _between(5, 80, MM, "a lift by longer shackles"),
    "LeafPack.rate": _between(10, 300, N_PER_MM, "one leaf pack"),
    "LeafPack.friction": _between(10, 2000, 1.0, "one leaf pack"),
    "LeafPack.length": _between(600, 1900, MM, "a leaf pack from eye to eye"),
    "LeafPack.clamped": _between(40, 220, MM, "what the U-bolts of a leaf pack hold", ((0.1, "the whole pack from eye to eye, or a digit too many"),)),
    "LeafPack.leaf_width": _between(35, 110, MM, "a leaf"),
    "LeafPack.leaf_thickness": _between(4, 25, MM, "a leaf"),
    "Leaf.fixed_half_length": _between(300, 1100, MM, "half of a leaf pack"),
    "Stop.gap": _between(10, 220, MM, "the gap of a bump stop at ride height"),
    "Stop.squeeze": _between(8, 150, MM, "the squeeze of a bump stop"),
    "Stop.rate_first": _between(3, 600, N_PER_MM, "a bump stop at first touch"),
    "Stop.rate_full": _between(30, 6000, N_PER_MM, "a bump stop fully squeezed"),
    "Strap.length": _between(150, 1200, MM, "a limit strap"),
    "Strap.rate": _between(10, 2000, N_PER_MM, "a limit strap"),
    "DamperSet.length_collapsed": _between(180, 800, MM, "a damper fully in"),
    "DamperSet.length_extended": _between(250, 1300, MM, "a damper fully out"),
    "DamperSet.tube_mass": _between(0.3, 12, 1.0, "a damper's tube"),
    "DamperSet.rod_mass": _between(0.2, 6, 1.0, "a damper's rod"),
    "DamperSet.gas_force": _between(10, 900, 1.0, "the gas push of one damper"),
    "DamperSet.seal_friction": _between(2, 250, 1.0, "the seal of one damper"),
    "DamperSet.bush_rate": _between(0.1, 30, 1e6, "both end bushes of a damper"),
    "Tube.bore": _between(18, 90, MM, "a damper's bore"),
    "Tube.outside_diameter": _between(25, 120, MM, "a damper's tube"),
    "Tube.rod": _between(7, 35, MM, "a damper's rod"),
    "KneeSide.low": _between(0.05, 60, 1e3, "one damper"),
    "KneeSide.high": _between(0.02, 40, 1e3, "one damper"),
    "KneeSide.knee": _between(0.01, 1.5, 1.0, "the knee of a damper"),
    "TableRow.speed": _between(0.001, 3.0, 1.0, "a damper's test"),
    "TableRow.force": _between(1, 20_000, 1.0, "one damper"),
    "WindUp.rate": _between(2, 400, KN_M, "an axle's wind-up"),
    "Engine.idle": _between(400, 1300, 0.10471975511965977, "an engine's idle"),
    "Engine.limit": _between(1800, 8000, 0.10471975511965977, "an engine's limit"),
    "Engine.torque": _between(60, 1200, 1.0, "such an engine"),
    "TorquePoint.torque": _between(30, 1200, 1.0, "such an engine"),
    "Engine.inertia": _between(0.03, 3, 1.0, "an engine's turning parts"),
    "Shafts.rate": _between(1, 100, KN_M, "shafts seen at the wheels"),
    "Brakes.torque": _between(300, 20_000, 1.0, "both brakes of an axle"),
    "Course.speed": _between(2, 150, 1 / 3.6, "a drive over a course"),
    "Drive.speed": _between(2, 150, 1 / 3.6, "a drive over a course"),
    "Brake.speed": _between(4, 160, 1 / 3.6, "a stop"),
    "Push.force": Usual(30.0, BY_HAND, "a push by hand: a person pushes with about his own weight"),
    "Drop.height": Usual(0.01, DROPPED_BY_HAND, "a drop off boards as a test on the truck"),
}  # fmt: skip
"""Usual ranges by part and key: wide, so that a truck out of the ordinary is within, and a slip of a unit mostly is not.

Old 4x4s from the smallest to a loaded three-tonner. Zero is never out of it: it says that there is none.
"""

RIM = _between(10, 24, 25.4 * MM, "the rim of such a truck")
"""Rim in a tyre's size, which is no key by itself."""

PLANNED: dict[str, Usual] = {
    "lift": _between(10, 160, MM, "a lift"),
    "tyres": _between(560, 1200, MM, "the diameter of a tyre"),
    "engine": _between(5, 350, 1.0, "the difference between two engines of such a truck"),
    "winch": _between(10, 160, 1.0, "a bumper and winch"),
    "cargo": _between(5, 1500, 1.0, "cargo of such a truck"),
}  # fmt: skip
"""Usual sizes of what is planned, whichever way: a load may be anything (`Load.mass`), a winch may not."""

PITCH_INERTIA = (0.5, 1.6)
"""Pitch inertia of a body as a share of its mass times the distances of its centre of gravity from both axles: 0.8 to 1 is the usual
first guess (from memory, no source), here with room to both sides."""

FRONT_SHARE = (0.45, 0.65)
"""Share of the whole weight that the front axle of such a truck carries on the scale; common practice, no source."""

NO_HAND_TEST = {
    "Push.force": "no hand test: a person pushes with about his own weight, 400 to 1000 N; the truck's answer to this push is computed, "
    "but nobody can check it by hand",
    "Drop.height": "no hand test: on a truck at most 50 to 100 mm are tried, wheels on boards, chocks on the other axle, nobody underneath; "
    "higher it breaks parts",
}
"""What is said of a run that looks like a test on the truck and is none."""

OTHER_UNITS: dict[str, tuple[tuple[str, float], ...]] = {
    "m": (("mm", 1e-3), ("in", 0.0254), ("cm", 1e-2), ("m", 1.0), ("ft", 0.3048)),
    "kg": (("lb", 0.45359237), ("kg", 1.0)),
    "N": (("N", 1.0), ("lbf", 4.4482216152605), ("kgf", 9.80665), ("kN", 1e3)),
    "N/m": (("N/mm", 1e3), ("lb/in", 175.12683524647636), ("kgf/mm", 9806.65), ("kN/mm", 1e6)),
    "N*s/m": (("N s/m", 1.0), ("kN s/m", 1e3), ("lb s/in", 175.12683524647636)),
    "m/s": (("km/h", 1 / 3.6), ("mph", 0.44704), ("m/s", 1.0), ("in/s", 0.0254), ("mm/s", 1e-3)),
    "kg*m^2": (("kg m^2", 1.0), ("lb ft^2", 0.0421401100938048)),
    "N*m": (("N m", 1.0), ("lbf ft", 1.3558179483314004), ("kgf m", 9.80665)),
    "N*m/rad": (("kN m/rad", 1e3), ("N m/deg", 57.29577951308232), ("lbf ft/deg", 77.68264622747556), ("N m/rad", 1.0)),
    "rad/s": (("rpm", 0.10471975511965977), ("rad/s", 1.0)),
    "Pa": (("bar", 1e5), ("psi", 6894.757293168361), ("kPa", 1e3)),
}
"""Units that are taken for one another, by what they measure, the likeliest first; factors as in `unit_factors.USUAL`."""
