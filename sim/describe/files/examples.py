"""Examples of how a key is written: of each a number that such a truck or road may have, within what the key allows."""

from math import floor, log10, sqrt
from typing import Annotated, Any, get_args, get_origin

from pydantic import BaseModel

from sim.describe.notations import NUMBER
from sim.describe.quantity import Quantity
from sim.describe.shown import in_system
from sim.describe.usual import USUAL_RANGES, Usual

EXAMPLES: dict[str, tuple[str, ...]] = {
    # of the truck
    "BodyPoint.behind_front_axle": ("1.2 m", "47 in"), "BodyPoint.above_ground": ("700 mm", "28 in"),
    "Coil.lean_inward": ("40 mm", "1.5 in"), "DamperSet.lean_inward": ("40 mm", "1.5 in"), "DamperSet.gas_rate": ("0.5 N/mm", "3 lb/in"),
    "Halves.ahead": ("560 mm", "22 in"), "Halves.behind": ("610 mm", "24 in"), "Leaf.path_radius": ("550 mm", "22 in"),
    "Leaf.path_centre_above": ("20 mm", "0.8 in"), "LeafPack.friction_travel": ("4 mm", "0.15 in"), "Load.pitch_inertia": ("20 kg m^2", "470 lb ft^2"),
    "Jacked.height": ("400 mm", "15.75 in"), "Jacked.load": ("360 kg", "800 lb"), "Lifted.other": ("1180 kg", "2600 lb"),
    "Measured.gas_force": ("120 N", "27 lbf"), "Measured.seal_friction": ("30 N", "7 lbf"), "Valves.rod_diameter": ("14 mm", "0.55 in"),
    "Piston.diameter": ("36 mm", "1.4 in"), "Holes.diameter": ("2 mm", "0.08 in"), "Holes.length": ("5 mm", "0.2 in"), "Ports.diameter": ("6 mm", "0.24 in"),
    "Valve.seat_diameter": ("20 mm", "0.8 in"), "Valve.lift_most": ("1 mm", "0.04 in"), "Valve.preload": ("60 N", "13 lbf"), "Tube.wall": ("2 mm", "0.08 in"),
    "Tube.length": ("300 mm", "12 in"), "Tube.metal_mass": ("1.5 kg", "3.3 lb"), "Tyre.rate_at_twice_the_load": ("300 N/mm", "1700 lb/in"),
    "DragLink.steering_arm": ("180 mm", "7 in"), "DragLink.sideways": ("900 mm", "35 in"), "WindUpLink.sideways": ("400 mm", "16 in"),
    "Propshaft.sideways": ("100 mm", "4 in"), "Driveline.propshaft_inertia": ("0.03 kg m^2", "0.7 lb ft^2"), "Engine.drag": ("40 N m", "30 lbf ft"),
    "Slip.relaxation_length": ("300 mm", "12 in"), "Slip.carcass_time": ("5 ms",), "KneeSide.knee": ("0.13 m/s", "5 in/s"),
    "TableRow.speed": ("0.13 m/s", "5 in/s"), "Coil.shear_modulus": ("79.3 GPa", "11.5e6 psi"), "LeafPack.modulus": ("206 GPa", "29.9e6 psi"),
    # of roads
    "gap": ("2 m", "6 ft"), "length": ("20 m", "65 ft"), "width": ("300 mm", "12 in"), "chord": ("3.6 m", "12 ft"), "plateau": ("2 m", "6 ft"),
    "diameter": ("250 mm", "10 in"), "sunk": ("80 mm", "3 in"), "longest_gap": ("1 m", "3 ft"), "longest_wave": ("20 m", "65 ft"),
    "shortest_wave": ("300 mm", "12 in"), "pitch": ("600 mm", "24 in"), "depth_first": ("40 mm", "1.5 in"), "Pothole.length": ("800 mm", "32 in"),
    "Arch.length": ("4 m", "13 ft"), "HalfSine.length": ("4 m", "13 ft"), "ParabolicHump.length": ("4 m", "13 ft"), "SinusoidalHump.length": ("4 m", "13 ft"),
    "FlatToppedHump.ramp": ("1 m", "3 ft"),
    # of runs
    "Course.speed": ("20 km/h", "12 mph"), "Drive.speed": ("20 km/h", "12 mph"), "Brake.speed": ("40 km/h", "25 mph"), "to_speed": ("20 km/h", "12 mph"),
    "Drive.distance": ("50 km", "30 mi"), "duration": ("20 min",), "settle": ("2 s",), "watch": ("4 s",), "hold": ("2 s",), "press": ("500 ms",),
    "pedal_rise": ("300 ms",), "throttle_rise": ("500 ms",), "altitude": ("1800 m", "5900 ft"), "body_up": ("50 mm", "2 in"),
    "outside_wheels": ("500 mm", "20 in"),
}  # fmt: skip
"""Of keys that have no usual range, or whose range is in other units than people write: by part and key, or by the key of any part;
metric first. Invented; in what a road or a truck of the demo has."""


def example_for(owners: list[Any], key: str) -> str:
    """Return how a key is written, in the units that are shown: `'2800 mm' or '110 in'`; empty if it is no physical quantity.

    Parameters
    ----------
    owners : list of type
        The models that may stand where the key is.
    key : str
        Its name there.
    """
    for owner in owners:
        if isinstance(owner, type) and issubclass(owner, BaseModel) and key in owner.model_fields:
            field = owner.model_fields[key]
            quantity = quantity_of(
                (Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation,)
            )
            if quantity is not None:
                return " or ".join(f"'{text}'" for text in in_system(examples(f"{owner.__name__}.{key}", quantity)))
    return ""


def quantity_of(annotations: tuple[Any, ...]) -> Quantity | None:
    """Return what a number is read as, by its annotation; the first if there are several."""
    for one in annotations:
        if isinstance(one, Quantity):
            return one
        inner = get_args(one)
        if inner and (get_origin(one) is not dict) and (found := quantity_of(inner)) is not None:
            return found
    return None


def examples(place: str, quantity: Quantity) -> tuple[str, ...]:
    """Return how a key is written, by part and key, as `Vehicle.wheelbase`; metric first, whatever is shown."""
    usual = USUAL_RANGES.get(place)
    if place in EXAMPLES:
        return EXAMPLES[place]
    if usual is not None:
        return tuple(dict.fromkeys(_middle(usual, quantity, text) for text in quantity.examples))
    return EXAMPLES.get(place.rpartition(".")[2], quantity.examples)


def _middle(usual: Usual, quantity: Quantity, like: str) -> str:
    """Return the middle of a usual range in the unit of an example, in two digits."""
    match = NUMBER.match(like)
    unit = match.group(2) if match else ""
    middle = sqrt(usual.low * usual.high) / quantity.to_si(f"1 {unit}")
    decimals = 1 - floor(log10(middle))
    return f"{round(middle, decimals):.{max(decimals, 0)}f} {unit}"
