"""Why a spring's rate, or its wire or leaves, is no number that can be moved: the spring is described by the other of the two."""

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show
from sim.errors import Problem


def given_otherwise(vehicle: Vehicle, path: str) -> Problem | None:
    """Return what is wrong with moving a spring's number that its description does not have, and what to try; None of any other path.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up that is moved.
    path : str
        Such as "front.springs.coil.rate".
    """
    axle, _, rest = path.partition(".springs.")
    name, _, key = rest.rpartition(".")
    spring = dict(vehicle.axles)[axle].springs.get(name) if axle in dict(vehicle.axles) and name else None
    if spring is None:
        return None
    keys, start = spring.MADE_OF, f"{axle}.springs.{name}."
    one_rate, these = show(spring.rate_n_per_m, "stiffness"), f"{', '.join(keys[:-1])} and {keys[-1]}"
    made = all(getattr(spring, own) is not None for own in keys)
    if key == "rate" and made:
        return Problem(
            f"{path}: the rate of this spring ({one_rate}) follows from its {these}, and is no number of its own", given=path,
            suggestion=f"{start}{keys[0]}; or write {start}rate into the set-up, which takes their place",
        )  # fmt: skip
    if key in keys and not made:
        return Problem(
            f"{path}: this spring is given by its rate ({one_rate}), so that it has no {key} to move", given=path,
            suggestion=f"{start}rate; or give the vehicle or the set-up all of {these} in place of the rate",
        )  # fmt: skip
    return None
