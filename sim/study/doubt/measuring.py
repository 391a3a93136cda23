"""How a shop finds a number that is in doubt: the list, from the special to the general."""

from fnmatch import fnmatchcase
from typing import NamedTuple

from sim.describe.shown import in_shown_units


class Way(NamedTuple):
    """A way to find a number.

    Attributes
    ----------
    path : str
        Paths that it is for; `*` stands for anything.
    do : str
        What to do, as an order; `{end}` is front or rear, `{name}` the part's own name.
    how : str
        By what, and what to look out for.
    """

    path: str
    do: str
    how: str


# Common practice, no source, but for the centre of gravity's height (ISO 10392, axle lifting) and the inertia by a swing.
WAYS: tuple[Way, ...] = (
    Way("body.mass", "weigh the truck",
        "weighbridge, one axle at a time and then whole, tanks full and driver aboard; take off both axles with their wheels"),
    Way("body.centre_of_gravity.behind_front_axle", "weigh both axles",
        "weighbridge, each axle by itself: rear load times wheelbase over the whole gives the place along the truck"),
    Way("body.centre_of_gravity.above_ground", "weigh it again with one axle lifted",
        "lift one axle 600 mm (24 in) or more on stands that carry it, suspension locked, tyres hard, wheels chocked; the other axle's load "
        "gives the height (ISO 10392)"),
    Way("body.pitch_inertia", "time its pitch",
        "push one end, count ten swings on video and take the rate of the springs from the file; or look for a published figure of a "
        "truck of the same wheelbase and weight"),
    Way("loads.*.mass", "weigh the load '{name}'", "on a scale or by the weighbridge, with and without it"),
    Way("loads.*", "measure where the load '{name}' lies", "tape, from the front axle and from the ground"),
    Way("*.housing.mass", "weigh the {end} axle",
        "hub to hub on a scale with its wheels, springs and dampers off; or body on stands and the axle hanging free on a crane scale"),
    Way("*.housing.pitch_inertia", "swing the {end} axle",
        "hang it by one eye without its wheels, time ten swings, weigh it; the axle must be secured against falling"),
    Way("*.tyre.rate*", "measure the rate of the {end} tyres",
        "hub height above a scale pad under two loads at working pressure, read after a minute: difference of load over difference of "
        "height"),
    Way("*.tyre.damping", "let the {end} axle drop on its tyres",
        "video at 120 frames or more of a drop of 50 mm (2 in), dampers off; stand clear. Its effect is often small: look at what it decides"),
    Way("*.tyre.radius", "measure the {end} tyres", "tape around the tread, unloaded, over 2 pi"),
    Way("*.tyre.heavier_by", "weigh an old and a new {end} wheel", "each with its tyre and rim, on one scale; the difference counts"),
    Way("*.tyre.spin_inertia", "weigh a {end} wheel with its tyre",
        "its mass times the square of three quarters of its radius; or hang it by its rim, time ten swings: docs/measure/unsprung-mass.md"),
    Way("*.tyre.contact_length", "measure the {end} tyres' contact", "two strips of paper pushed under the tread from ahead and behind"),
    Way("*.springs.*.rate", "measure the rate of the {end} spring '{name}'",
        "press and scale in steps of 25 mm (1 in), or a known load over that axle and a tape; load and unload, and take the middle. A coil is "
        "let loose only in a rated spring tool"),
    # Of a pack, by the name that files have for it; of a coil its wire.
    Way("*.springs.*pack*.rate_factor", "count the leaves of the {end} spring '{name}' that reach both eyes",
        "as it is fitted; where they are counted, only its rate on press and scale says more"),
    Way("*.springs.*.rate_factor", "measure the rate of the {end} spring '{name}', which is worked out of its dimensions",
        "press and scale in steps of 25 mm (1 in), or a known load over that axle and a tape; load and unload, and take the middle. A coil is "
        "let loose only in a rated spring tool"),
    Way("*.springs.*.friction", "measure the friction of the {end} spring '{name}'",
        "push the end down and release it slowly, then lift and release slowly: half the difference of height times the rate"),
    Way("*.springs.*.friction_travel", "look at the loop of the {end} spring '{name}'",
        "load and unload in small steps: the travel in which the force turns round"),
    Way("*.springs.*.wire_diameter", "measure the wire of the {end} spring '{name}'", "caliper on bare metal at three places"),
    Way("*.springs.*.full_length_leaves", "count the leaves of the {end} spring '{name}' that reach both eyes", "as it is fitted"),
    Way("*.springs.*", "measure the {end} spring '{name}'", "tape and caliper, off the truck"),
    Way("*.dampers.*.valving.*", "have the {end} damper '{name}' tested",
        "test machine at several speeds, warm, loop and force by speed (jounce dyno reads the file)"),
    Way("*.dampers.*.gas_force", "measure the push of the {end} damper '{name}'",
        "off the truck, hold its rod at ride length on a scale; never open or heat a charged damper"),
    Way("*.dampers.*.seal_friction", "measure the friction of the {end} damper '{name}'",
        "off the truck, draw it slowly both ways on a spring scale: half the difference"),
    Way("*.dampers.*_mass", "weigh the {end} damper '{name}'", "kitchen scale, rod and tube by themselves where they come apart"),
    Way("*.dampers.*.bush_rate", "measure the bushes of the {end} damper '{name}'", "press and dial gauge"),
    Way("*.dampers.*.body.above_ground", "measure the {end} damper '{name}' eye to eye at ride",
        "tape or stick from eye to eye as the truck stands, both sides; then the heights of both mounts"),
    Way("*.dampers.*", "measure the places of the {end} damper '{name}'", "tape from the front axle, the ground and the axle's centre, to 2 mm (1/16 in)"),
    Way("*.stop.gap", "measure the gap of the {end} bump stops", "tape at ride height, both sides"),
    Way("*.stop.*", "press a {end} bump stop", "press and scale in steps of 5 mm (1/4 in), at first touch and squeezed"),
    Way("*.strap.length", "measure the {end} limit straps", "axle hanging on them, body on stands, nobody beneath"),
    Way("*.strap.*", "pull a {end} limit strap", "known load and tape; a foot of limit strap stretches about an inch"),
    Way("*.guide.wind_up.rate", "measure the wind-up of the {end} axle",
        "brakes on, a long lever or a jack on the pinion, angle gauge before and after"),
    Way("*.guide.wind_up.damping", "watch the wind-up of the {end} axle die away", "side video of the pinion at a pull-away"),
    Way("*.guide.*", "measure the {end} arms or leaves", "tape, from the front axle and from the ground"),
    Way("*.fore_and_aft.*", "push the {end} axle along the truck", "jack between frame and axle, dial gauge"),
    Way("*.shafts.*", "measure the twist of the {end} shafts", "lever on the pinion with the wheels held, angle gauge"),
    Way("wheelbase", "measure the wheelbase", "tape from hub to hub, both sides, wheels straight"),
    Way("run.speed", "measure the speed", "satellite navigation, not the speedometer"),
    Way("run.course*", "survey the road", "level, tape and a staff over the worst stretch (docs/roads.md)"),
    Way("run.*", "measure what the run begins with", "scale, tape or clock"),
)  # fmt: skip
"""Ways, the first that fits counts."""


ON_ORDER = Way(
    "*.dampers.*.valving.*", "order the {end} damper '{name}' by its forces and have it tested when it comes",
    "the order sheet has its forces by speed (jounce sheet); jounce dyno holds what comes against them",
)  # fmt: skip
"""Of a damper that the truck does not have yet: nobody can test it."""


def way(path: str, is_fitted: bool = True) -> Way:
    """Return how the shop finds the number at a path, its words filled in; of a set-up's part that the truck does not have yet, what to ask for."""
    steps = path.split(".")
    end = steps[0] if steps[0] in ("front", "rear") else ""
    name = steps[2] if end and len(steps) > 2 else steps[1] if len(steps) > 1 else ""
    for one in WAYS if is_fitted else (ON_ORDER, *WAYS):
        if fnmatchcase(path, one.path):
            return Way(path, one.do.format(end=end, name=name), in_shown_units(one.how))
    return Way(path, f"measure {path}", "as it is usually measured; see docs/measuring-form.md")
