"""What the numbers of a truck are called, in the order in which a shop measures them, with plain labels and how each is measured.

A row stands for a key of both axles, or of the truck; `*` stands for a name that people choose (a spring, a damper set, a load).
"""

from dataclasses import dataclass
from fnmatch import fnmatchcase

Place = tuple[str, ...]
AXLES = ("front", "rear")


@dataclass(frozen=True)
class Row:
    """A key that is asked for.

    Attributes
    ----------
    keys : str
        Dotted, `{axle}` for both axles, `*` for a name.
    label : str
        What it is, in the words of a shop.
    how : str
        How it is measured, with what.
    always : bool
        It is asked for whether the file has it or not; `*` then stands for every name that the file has there.
    taken : str
        What is taken where it is left empty, as somebody would write it.
    of_a_shop : bool
        It is asked for so of a truck as a shop measures it alone, of which what nobody gives is estimated.
    """

    keys: str
    label: str
    how: str = ""
    always: bool = False
    taken: str = ""
    of_a_shop: bool = False


@dataclass(frozen=True)
class Section:
    """A step of the form.

    Attributes
    ----------
    name : str
        Its name in the page's addresses.
    title, hint : str
        What is done in it, and what to mind.
    rows : tuple of Row
    """

    name: str
    title: str
    hint: str
    rows: tuple[Row, ...]


SECTIONS = (
    Section(
        "truck", "The truck",
        "Tyres at working pressure, tanks full, driver in the seat (say so under “Who and what was aboard”), bed empty. Hard, level ground, wheels chocked.",
        (
            Row("name", "Name", "What you call it.", True),
            Row("wheelbase", "Wheelbase", "Tape from the front wheel's centre to the rear wheel's, both sides, and take the mean.", True),
            Row("overall_length", "Length over all", "Bumper to bumper."),
        ),
    ),
    Section(
        "scale", "On the scale",
        "One axle at a time, brakes off, twice. Roll it to and fro and let it settle first.",
        (
            Row("weighed.front", "Front axle on the scale", "Front wheels on the scale, rear ones level beside it; the mean of two weighings."),
            Row("weighed.rear", "Rear axle on the scale", "Rear wheels on the scale, front ones level beside it; the mean of two weighings."),
            Row("weighed.aboard", "Who and what was aboard", "driver and passenger count as loads, driver 95 kg with his own weight; other words (half a tank) are a part of the body."),
            Row("weighed.front_unsprung", "Moves with the front axle", "The axle itself (its housing), wheels and tyres, brakes, half of springs and arms, on a scale."),
            Row("weighed.rear_unsprung", "Moves with the rear axle", "The axle itself (its housing), wheels and tyres, brakes, half of springs and arms, on a scale."),
            Row("body.mass", "Body above the springs", "Both axle loads, less both axles with wheels, less driver and dampers."),
            Row("{axle}.housing.mass", "Axle with wheels", "The axle itself (its housing), brakes, wheels and tyres, half of springs and arms, without dampers."),
            Row("loads.*.mass", "Load", "What is aboard: the person or thing on a scale."),
            Row("loads.*.place.behind_front_axle", "Load: behind front axle", "Level, from above the front axle back to its middle."),
            Row("loads.*.place.above_ground", "Load: above ground", "Of its middle."),
            Row("loads.*.pitch_inertia", "Load: against pitching", "Only for long loads."),
        ),
    ),
    Section(
        "tyres", "Tyres",
        "Wheel off the ground for its radius: the truck on stands under its frame, never on a jack alone.",
        (
            Row("{axle}.tyre.size", "Size on the wall", "As it stands on the wall: 235/85R16, 33x12.50R15, 7.50-16."),
            Row("{axle}.tyre.outside_diameter", "Outside diameter", "Wheel off the ground, tape across the tread."),
            Row("{axle}.tyre.pressure", "Pressure", "Cold, by gauge."),
            Row("{axle}.tyre.measured_at", "Pressure at which its rate was measured", "Cold, by gauge."),
            Row("{axle}.tyre.radius", "Radius, off the ground", "Half of the diameter with the wheel off the ground."),
            Row("{axle}.tyre.rate", "Rate of one tyre", "One wheel on a scale, two loads: difference of loads over difference of axle heights, each read after a minute."),
            Row("{axle}.tyre.damping", "Damping of one tyre", "Not measured in a shop; it matters little beside the dampers."),
            Row("{axle}.tyre.contact_length", "Length on the ground", "Chalk ahead of and behind the patch."),
            Row("{axle}.tyre.jacked.load", "One wheel: two loads", "Jack and scale, the tyre at its pressure: two loads with a comma between."),
            Row("{axle}.tyre.jacked.height", "Axle height under each", "Read after a minute, two heights with a comma between."),
            Row("{axle}.tyre.*", "Tyre", ""),
            Row("{axle}.axle_height", "Axle above ground", "Tape to the middle of the hub."),
            Row("{axle}.frame_height", "Frame above ground", "To the lower edge of the rail, over the axle."),
        ),
    ),
    Section(
        "springs", "Springs",
        "A coil at ride height holds enough energy to kill: rated compressor, and stand aside.",
        (
            Row("{axle}.springs", "Coils or leaf packs", "Which of the two hold this end up."),
            Row("{axle}.springs.*.rate", "Rate of one", "From the maker, or in a press: load for each inch or 10 mm."),
            Row("{axle}.springs.*.count", "How many"),
            Row("{axle}.springs.*.wire_diameter", "Wire", "Calliper on the bare wire."),
            Row("{axle}.springs.*.coil_diameter", "Diameter, outside less one wire", "Calliper over the coil, less one wire: to the middle of the wire on both sides."),
            Row("{axle}.springs.*.active_coils", "Coils that work", "All coils less those that lie on their seats."),
            Row("{axle}.springs.*.leaves", "Leaves"),
            Row("{axle}.springs.*.full_length_leaves", "Leaves of full length"),
            Row("{axle}.springs.*.leaf_width", "Width of a leaf", "Calliper."),
            Row("{axle}.springs.*.leaf_thickness", "Thickness of a leaf", "Calliper, away from the worn tips."),
            Row("{axle}.springs.*.halves.ahead", "Front eye to nearer U-bolt", "Along the main leaf, to where the U-bolts and their plate begin to hold it."),
            Row("{axle}.springs.*.halves.behind", "Rear eye to nearer U-bolt", "Along the main leaf, to where the U-bolts and their plate begin to hold it."),
            Row("{axle}.springs.*.block", "Lift block", "Thickness of what stands between the pack and the axle; a thicker one lifts the truck where the pack lies on top of the axle, and lowers it where the pack lies under it."),
            Row("{axle}.springs.*.seat_above", "Main leaf over the axle's centre", "At the U-bolts, from its middle to the axle's centre, without a block; a minus where the pack lies under the axle. About there the housing winds up."),
            Row("{axle}.springs.*.shackle_lift", "Lift by longer shackles", "How much higher the frame stands by them than it was measured; the shackle itself is longer by more."),
            Row("{axle}.springs.*.length", "Eye to eye", "Along the main leaf, loaded."),
            Row("{axle}.springs.*.clamped", "Held by the U-bolts", "What does not bend: from where the U-bolts and their plate begin to hold the pack to where they end."),
            Row("{axle}.springs.*.rate_factor", "Rate weighed, over that of its wire or leaves", "Weighed it? Write the rate in place of the wire or the leaves."),
            Row("{axle}.springs.*.length_at_ride", "Length as the truck stands", "End to end, settled, without a spacer. It decides what coil is ordered."),
            Row("{axle}.springs.*.free_length", "Length without load", "Off the truck, standing on its end without load."),
            Row("{axle}.springs.*.free_camber", "Arch without load, more than at ride as measured", "Not the whole arch: tape that at ride, eyes to main leaf, and add this. By as much the seat drops without load."),
            Row("{axle}.springs.*.spacer", "Spacer on the coil", "Thickness of what is put between the coil and its upper seat; a set-up with a thicker one lifts the truck."),
            Row("{axle}.springs.*.solid_length", "Length wire on wire", "All coils times the wire."),
            Row("{axle}.springs.*.friction", "Friction of one pack", "Push the end down and let it up slowly, then lift and let down slowly: half of the gap between both heights times the rate."),
            Row("{axle}.springs.*.friction_travel", "Travel in which it builds up", "Not measured in a shop."),
            Row("{axle}.springs.*.body.behind_front_axle", "Upper seat: behind front axle"),
            Row("{axle}.springs.*.body.above_ground", "Upper seat: above ground"),
            Row("{axle}.springs.*.axle.ahead", "Lower seat: ahead of axle", "Behind it: write a minus."),
            Row("{axle}.springs.*.axle.above", "Lower seat: above axle centre", "Below it: write a minus."),
            Row("{axle}.springs.*.*", "Spring"),
        ),
    ),
    Section(
        "guides", "What locates the axles",
        "Leaf packs do both. Arms and links: where they turn.",
        (
            Row("{axle}.guide.pivot.behind_front_axle", "Arm's pivot: behind front axle"),
            Row("{axle}.guide.pivot.above_ground", "Arm's pivot: above ground"),
            Row("{axle}.guide.fixed_half_length", "Fixed eye to U-bolts", "From the eye without shackle to the nearer U-bolt."),
            Row("{axle}.guide.wind_up.rate", "Rate against wind-up", "A bar on the pinion flange and a dial: moment for each degree."),
            Row("{axle}.guide.wind_up.damping", "Damping of wind-up", "Not measured in a shop."),
            Row("{axle}.guide.*", "Guide"),
        ),
    ),
    Section(
        "travel", "Travel: bump stops and straps",
        "From where it stands. Nobody under the truck while it is let down.",
        (
            Row("{axle}.stop.gap", "Gap to the bump stop", "Standing as it was measured: from the stop to what it meets. It counts from there after a lift too: to keep 75 mm there, lifted 60 mm, write 15 mm. No stop: write none."),
            Row("{axle}.stop.height", "Height of the stop", "Free, without load. Of a taller one in the same place make the gap smaller too, by as much."),
            Row("{axle}.stop.squeeze", "How far it squeezes", "In a press, from touch until it is solid; or from what is left of its height with the axle hard up. Rubber 30 to 50 % of its height, foam 60 to 75 % (common practice, no source).", of_a_shop=True),
            Row("{axle}.stop.count", "Stops on this axle"),
            Row("{axle}.stop.rate_first", "Stop's rate at first touch", "In a press."),
            Row("{axle}.stop.rate_full", "Stop's rate squeezed", "In a press."),
            Row("{axle}.stop.*", "Stop"),
            Row("{axle}.strap.length", "Strap, taut", "Length pulled straight by hand. No strap: write none."),
            Row("{axle}.strap.rate", "Strap's rate", "It stretches about an inch a foot under the axle's weight (common practice, no source)."),
            Row("{axle}.strap.body.behind_front_axle", "Strap, frame end: behind front axle"),
            Row("{axle}.strap.body.above_ground", "Strap, frame end: above ground"),
            Row("{axle}.strap.axle.ahead", "Strap, axle end: ahead of axle", "Behind it: write a minus."),
            Row("{axle}.strap.axle.above", "Strap, axle end: above axle centre", "Below it: write a minus."),
            Row("{axle}.strap.*", "Strap"),
        ),
    ),
    Section(
        "dampers", "Dampers",
        "Gas dampers throw their rods out: no heat, welding or drilling. Support the axle before one is taken off.",
        (
            Row("{axle}.dampers.*.count", "How many on the axle", "", True),
            Row("{axle}.dampers.*.length_collapsed", "Eye to eye, fully in", "Off the truck, pushed in by hand."),
            Row("{axle}.dampers.*.length_extended", "Eye to eye, fully out", "Off the truck, pulled out by hand."),
            Row("{axle}.dampers.*.length_at_ride", "Eye to eye, standing", "On the truck, settled."),
            Row("{axle}.dampers.*.body.behind_front_axle", "Upper mount: behind front axle", "Plumb line from the mount, tape from below the front axle. Ahead of it: write a minus."),
            Row("{axle}.dampers.*.body.above_ground", "Upper mount: above ground", "To the middle of the bolt."),
            Row("{axle}.dampers.*.axle.ahead", "Lower mount: ahead of axle", "Behind the axle's centre: write a minus."),
            Row("{axle}.dampers.*.axle.above", "Lower mount: above axle centre", "Below it: write a minus."),
            Row("{axle}.dampers.*.lean_inward", "Across, seen from behind", "Level distance between upper and lower mount."),
            Row("{axle}.dampers.*.tube_end", "Tube end"),
            Row("{axle}.dampers.*.construction", "Built as"),
            Row("{axle}.dampers.*.gas_force", "Push of the gas", "Pressed on a scale, at the length at which it stands on the truck."),
            Row("{axle}.dampers.*.seal_friction", "Friction of the seal", "Half of the difference between pushing in and letting out slowly."),
            Row("{axle}.dampers.*.tube_mass", "Weight of the tube half"),
            Row("{axle}.dampers.*.rod_mass", "Weight of the rod half"),
            Row("{axle}.dampers.*.valving", "Valving, in a word", "By hand: stroke a damper that you took off, upright, and compare it with one that you know. Worn: old, with little force left."),
            Row("{axle}.dampers.*.valving.compression.low", "Compression, slow: force by speed", "From the maker's force at a slow speed, divided by that speed."),
            Row("{axle}.dampers.*.valving.compression.knee", "Compression: valve opens at"),
            Row("{axle}.dampers.*.valving.compression.high", "Compression, past that: force by speed"),
            Row("{axle}.dampers.*.valving.rebound.low", "Rebound, slow: force by speed"),
            Row("{axle}.dampers.*.valving.rebound.knee", "Rebound: valve opens at"),
            Row("{axle}.dampers.*.valving.rebound.high", "Rebound, past that: force by speed"),
            Row("{axle}.dampers.*.valving.*", "Valving"),
            Row("{axle}.dampers.*.tube.*", "Tube"),
            Row("{axle}.dampers.*.*", "Damper"),
        ),
    ),
    Section(
        "centre", "Centre of gravity",
        "Hard to measure, so mostly estimated. Lifting an axle: suspension blocked, one axle chocked, nobody underneath.",
        (
            Row("body.centre_of_gravity.behind_front_axle", "Body's centre: behind front axle", "From both axle loads."),
            Row("body.centre_of_gravity.above_ground", "Body's centre: above ground", "Lift one axle by 600 mm (24 in) or so, suspension blocked, tyres hard, and weigh the other."),
            Row("weighed.lifted.axle", "Axle that was lifted", "On the scale, the other axle chocked; suspension blocked, tyres hard."),
            Row("weighed.lifted.by", "Lifted by", "600 mm (24 in) or so, at the wheels' centre."),
            Row("weighed.lifted.other", "Scale under the other axle then"),
            Row("body.pitch_inertia", "Body against pitching", "Its pitch inertia: how hard its nose is to swing up and down. Its mass times the distances of its centre from both axles, times 0.8 to 1 (from memory, no source)."),
            Row("{axle}.housing.pitch_inertia", "Axle against being turned", "Its pitch inertia about the wheels' centre: swung about a bar, or scaled with its mass."),
            Row("{axle}.housing.*", "Axle itself"),
            Row("points.*.behind_front_axle", "Where ride is judged: behind front axle"),
            Row("points.*.above_ground", "Where ride is judged: above ground"),
        ),
    ),
    Section(
        "clearances", "Clearances: what touches first",
        "Not needed to drive: what is not taped is not looked at. Wheels straight ahead; full lock and a crossed axle come nearer: cycle the axle before wings are cut or wheels ordered.",
        (
            Row("outline.under.front_end.behind_front_axle", "Lowest ahead of the front tyres: behind front axle", "Under bumper, winch or hitch. Ahead of the front axle: write a minus.", True),
            Row("outline.under.front_end.above_ground", "Lowest ahead of the front tyres: above ground", "", True),
            Row("outline.under.belly.behind_front_axle", "Lowest between the axles: behind front axle", "Gearbox guard, crossmember, exhaust or step.", True),
            Row("outline.under.belly.above_ground", "Lowest between the axles: above ground", "", True),
            Row("outline.under.rear_end.behind_front_axle", "Lowest behind the rear tyres: behind front axle", "Under bumper, tank or tow hitch.", True),
            Row("outline.under.rear_end.above_ground", "Lowest behind the rear tyres: above ground", "", True),
            Row("outline.under.*.behind_front_axle", "Another low point: behind front axle"),
            Row("outline.under.*.above_ground", "Another low point: above ground"),
            Row("outline.front_wing.edge.behind_front_axle", "Front wing, nearest to the tyre: behind front axle", "The edge of the opening, or what stands in it. Ahead of the front axle: write a minus.", True),
            Row("outline.front_wing.edge.above_ground", "Front wing, nearest to the tyre: above ground", "", True),
            Row("outline.rear_wing.edge.behind_front_axle", "Rear wing, nearest to the tyre: behind front axle", "The edge of the opening, or what stands in it.", True),
            Row("outline.rear_wing.edge.above_ground", "Rear wing, nearest to the tyre: above ground", "", True),
            Row("outline.*.*.behind_front_axle", "Another point of a wing: behind front axle"),
            Row("outline.*.*.above_ground", "Another point of a wing: above ground"),
        ),
    ),
    Section(
        "driveline", "Engine, gears and shafts: for pulling away",
        "Only wind-up and hop as it pulls away need these. To count turns by hand: ignition off, this axle on stands, the other wheels chocked.",
        (
            Row("driveline.engine.torque", "Engine: greatest torque", "From the manual, at full throttle. Of a curve its points, torque and speed: 245 N m at 900 rpm, 310 N m at 1600 rpm.", True),
            Row("driveline.engine.limit", "Engine: governed or greatest speed", "From the manual, or by tachometer; past it the engine pulls no more.", True),
            Row("driveline.engine.idle", "Engine: idle", "By tachometer, warm. Below it the clutch or converter slips.", True, "764 rpm"),
            Row("driveline.engine.inertia", "Engine: what turns, against being spun up", "Inertia of crank, flywheel and clutch. 0.15 to 0.4 kg m² (common practice, no source).", True),
            Row("driveline.engine.drag", "Engine: drag with its throttle shut", "From a dyno sheet: the torque that it takes to turn it. Only for a foot that leaves the throttle.", True, "0 N m"),
            Row("driveline.gear", "Gear that is in: ratio", "Plate or manual; or the engine's turns by hand for one turn of the propshaft, in that gear, in high. More than 0, up to 100.", True),
            Row("driveline.transfer", "Transfer case: ratio of its range", "Plate or manual. 1 in high; low range 1.9 to 2.7 in most (common practice, no source). More than 0, up to 20.", True, "1"),
            Row("driveline.drive", "Axles that are driven", "As it pulls away: rear in two-wheel drive.", True),
            Row("driveline.centre", "Between the propshafts", "Only where both axles are driven: locked as in a part-time case, open for a differential, limited slip for one with a clutch.", True),
            Row("driveline.centre_torque", "Centre clutch slips at", "Only of a limited slip centre; from the maker.", True),
            Row("driveline.*", "Engine and gears"),
            Row("{axle}.shafts.final_drive", "Final drive: ratio", "Plate on the axle, teeth of ring over pinion, or turns of the propshaft by hand for one turn of both wheels, off the ground, on stands. Only of an axle that is driven. More than 0, up to 30.", True),
            Row("{axle}.shafts.rate", "Shafts: rate seen at the wheels", "Propshaft held, torque at both wheels over their turn. 9 to 11 kN m/rad are half-shafts of a light 4x4 (our demo's, invented). Only of an axle that is driven.", True),
            Row("{axle}.shafts.damping", "Shafts: damping", "Not measured in a shop; little of it.", True, "0 N m s/rad"),
            Row("{axle}.shafts.*", "Shafts"),
            Row("{axle}.tyre.spin_inertia", "One wheel with its tyre, against being spun", "Its mass times the square of three quarters of its radius (an estimate, no source).", True),
            Row("{axle}.tyre.slip.stiffness", "Grip: force by slip, over load", "16 for an off-road tyre (common practice, no source); try 10 and 25 too. More than 1, up to 80.", True),
            Row("{axle}.tyre.slip.relaxation_length", "Grip: rolled until it has built up", "Not measured in a shop: 0.05 to 0.3 m (from memory, no source).", True, "200 mm"),
            Row("{axle}.tyre.slip.*", "Grip"),
            Row("{axle}.brakes.torque", "Brakes, both of the axle: torque", "With the pedal fully down, from the maker; or the load on the axle times the tyre's radius, if they just lock on dry road, times 0.8 (common practice, no source). Only for a hill, where it begins on its brakes.", True),
            Row("{axle}.brakes.*", "Brakes"),
        ),
    ),
)  # fmt: skip

CLEARANCES = "clearances"
"""Name of the step on what touches first: nothing of it is needed to drive."""

POWER = "driveline"
"""The step of the form that only a launch needs."""

LAST = Section("rest", "Everything else in the file", "What is seldom needed.", ())


def rows_of(step: int) -> tuple[Row, ...]:
    """Return the rows of a section by its number; none of what no section has."""
    return SECTIONS[step].rows if step < len(SECTIONS) else ()


def how_of(path: str) -> str:
    """Return how the number at a dotted path is measured, in the words of the form; empty where it says nothing."""
    step, row = row_of(tuple(path.split(".")))
    rows = rows_of(step)
    return rows[row].how if row < len(rows) else ""


def row_of(path: Place) -> tuple[int, int]:
    """Return the numbers of the section and the row that a path belongs to: the row that says most of it."""
    dotted = ".".join(path)
    found, most = (len(SECTIONS), 0), -1
    for number, section in enumerate(SECTIONS):
        for index, row in enumerate(section.rows):
            patterns = [row.keys.replace("{axle}", axle) for axle in AXLES]
            # How a tyre grips stands with the engine, and not with all else of a tyre.
            said = row.keys.count(".") if row.keys.endswith(".*") else NOT_ALL
            if said > most and any(fnmatchcase(dotted, pattern) for pattern in patterns):
                found, most = (number, index), said
    return found


NOT_ALL = 99
"""How much a row says that stands for one key: more than any that stands for all keys of a part."""


def label_of(row: Row | None, path: Place, said: str) -> str:
    """Return what a key is called: by its row, else by what is `said` of it, else by its last steps."""
    if row is not None and not row.keys.endswith(".*"):
        return row.label
    if said:
        return said[0].upper() + said[1:]
    # The keys themselves, as the file has them: better than a word that is wrong.
    own = path[1:] if path[0] in AXLES else path
    words = ": ".join(step.replace("_", " ") for step in own[-3:])
    return words[0].upper() + words[1:]
