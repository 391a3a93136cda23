"""What is planned for a new truck, a lift, another engine, a winch, cargo: set-ups of a scenario beside its file."""

from collections.abc import Mapping
from typing import Any

from sim.describe.estimates.truck import copied
from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError, JounceError, Problem

LOADS = {"engine": "heavier engine", "winch": "bumper and winch", "cargo": "cargo"}
"""Answers that are loads, and what they are called among the usual ones, whose place they take."""

ALL = "all of it"


def setups(vehicle: Vehicle, planned: Mapping[str, str]) -> dict[str, dict[str, Any]]:
    """Return a set-up for each thing that is planned, and one with all of it; none where nothing is.

    Parameters
    ----------
    vehicle : Vehicle
    planned : mapping
        From `lift.front`, `lift.rear`, `engine`, `winch` and `cargo` to what was written.

    Raises
    ------
    InputError
        If something is not understood, or the truck cannot be so: by its word.
    """
    found: dict[str, dict[str, Any]] = {}
    if lift := {axle: planned[f"lift.{axle}"] for axle in ("front", "rear") if f"lift.{axle}" in planned}:
        name = "lifted " + " and ".join(
            f"{text} {'in front' if axle == 'front' else 'behind'}" for axle, text in lift.items()
        )
        found[name] = _lift(vehicle, lift)
    found |= {LOADS[word]: _load(vehicle, LOADS[word], planned[word]) for word in LOADS if word in planned}
    if len(found) > 1:
        # Copied: a file with the same mapping twice would say so with signs that nobody in a shop reads.
        found[ALL] = {
            key: copied(value) if isinstance(value, dict) else value
            for one in found.values()
            for key, value in one.items()
        }
    return found


def _lift(vehicle: Vehicle, lift: Mapping[str, str]) -> dict[str, Any]:
    from sim.study.lift import lifted

    raised = {axle: _read(text, "length", f"planned lift, {axle}") for axle, text in lift.items()}
    try:
        return dict(lifted(vehicle, raised).changes)
    except JounceError as error:
        raise InputError(
            Problem(
                f"the truck cannot be lifted so: {error}", where="planned lift", suggestion="less, or leave it out and see jounce lift"
            )
        ) from None  # fmt: skip


def _load(vehicle: Vehicle, name: str, text: str) -> dict[str, Any]:
    from sim.study.loads import usual_loads

    _read(text, "mass", f"planned: {name}")
    place = next(one for one in usual_loads(vehicle) if one.name == name)
    inches = vehicle.typed_system == "inch"

    def length(value: float) -> str:
        return f"{value / 0.0254:.1f} in" if inches else f"{value * 1e3:.0f} mm"

    where = {"behind_front_axle": length(place.behind), "above_ground": length(place.above)}
    return {f"loads.{name}": {"mass": text, "place": where}}


def _read(text: str, quantity: str, where: str) -> float:
    from pydantic import ValidationError

    from sim.describe.estimates.truck import adapter
    from sim.describe.wrong import first_in_words

    try:
        return float(adapter(quantity).validate_python(text))
    except ValidationError as error:
        raise InputError(Problem(first_in_words(error, text), where=where, given=text)) from None


HEAD = """\
# What is planned for {name}, each by itself and all together, against the truck as it is.
# Masses are as given; a load stands where such loads usually do (common practice, no source): write your own place.
# A lift is by longer springs of the same rate; brakes, hoses, joints and steering are not looked at here: jounce lift {vehicle} has more.
"""


def scenario_text(name: str, vehicle: str, run: Mapping[str, Any], changes: Mapping[str, Mapping[str, Any]]) -> str:
    """Return the text of the scenario."""
    from sim.describe.files.writer import as_yaml

    data = {
        "kind": "scenario", "name": f"{name}: what is planned", "question": "What does that do to height, travel and ride?", "vehicle": vehicle,
        "run": dict(run), "setups": {"as it is": {}, **changes},
    }  # fmt: skip
    return HEAD.format(name=name, vehicle=vehicle) + as_yaml(data)
