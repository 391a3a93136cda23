"""What a vehicle's file must have for a run under power or brakes, all that is missing said at once with lines to copy."""

from collections.abc import Iterator
from typing import Any

from sim.describe.parts.vehicle import Vehicle
from sim.errors import NeededError

PAGE = 'docs/launches-and-stops.md, "What a launch needs to know of your truck"'

EXAMPLES: dict[str, str] = {
    "driveline": "{engine: {torque: 310 N m, limit: 3900 rpm, inertia: 0.28 kg m^2}, gear: 3.6, transfer: 2.4, drive: rear}",
    "front.tyre.spin_inertia": "2.1 kg m^2", "rear.tyre.spin_inertia": "2.1 kg m^2",
    "front.tyre.slip": "{stiffness: 16}", "rear.tyre.slip": "{stiffness: 16}",
    "front.shafts": "{final_drive: 4.3, rate: 9 kN m/rad}", "rear.shafts": "{final_drive: 4.3, rate: 11 kN m/rad}",
    "front.brakes": "{torque: 5200 N m}", "rear.brakes": "{torque: 3400 N m}",
}  # fmt: skip
"""Lines of the hut truck (scenarios/vehicles/hut_supply_truck.yaml), by path."""

NAMES = {"driveline": "driveline (engine, gear, drive)"}


def needed(vehicle: Vehicle, run: str, driven: bool, braked: bool) -> None:
    """Refuse a vehicle whose file lacks what a run under power or brakes needs.

    Parameters
    ----------
    vehicle : Vehicle
    run : str
        What needs it, as a sentence begins: "A launch".
    driven : bool
        Whether its engine turns the wheels, or is turned by them.
    braked : bool
        Whether it needs brakes, of one axle at least.

    Raises
    ------
    NeededError
        With every part that is missing, lines to copy, and the page that explains them.
    """
    missing = list(_missing(vehicle, driven, braked))
    if missing:
        said = ", ".join(NAMES.get(path, path) for path in missing)
        raise NeededError(
            f"{run} needs the vehicle's {said}; its file has {'none of them' if len(missing) > 1 else 'none'} ({PAGE})",
            tuple(missing),
            suggestion=f"add to the parts that are there, with your numbers:\n{_lines(missing)}",
        )


def _missing(vehicle: Vehicle, driven: bool, braked: bool) -> Iterator[str]:
    line = vehicle.driveline
    if driven and line is None:
        yield "driveline"
    for name, axle in vehicle.axles:
        # Nobody has said what is driven: as most are in two-wheel drive.
        if driven and axle.shafts is None and (line.drives(name) if line else name == "rear"):
            yield f"{name}.shafts"
    for name, axle in vehicle.axles:
        for key in ("spin_inertia", "slip"):
            if getattr(axle.tyre, key) is None:
                yield f"{name}.tyre.{key}"
    if braked and not any(axle.brakes for _, axle in vehicle.axles):
        yield from ("front.brakes", "rear.brakes")


def _lines(missing: list[str]) -> str:
    """Return the lines of a vehicle's file that it lacks, each part of the truck in one of them."""
    parts: dict[str, Any] = {}
    for path in missing:
        *above, last = path.split(".")
        inside = parts
        for step in above:
            inside = inside.setdefault(step, {})
        inside[last] = EXAMPLES[path]
    return "\n".join(f"{key}: {_flow(part)}" for key, part in sorted(parts.items()))


def _flow(part: Any) -> str:
    if isinstance(part, dict):
        return "{" + ", ".join(f"{key}: {_flow(inner)}" for key, inner in part.items()) + "}"
    return str(part)
