"""A vehicle as a shop measures it, made whole: every number that nobody gave is estimated, and says so."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.estimates import ESTIMATES
from sim.describe.estimates.as_measured import LOADS_OF_PEOPLE, TRIGGER, as_measured, shop_keys
from sim.describe.estimates.estimate import Estimate, Rule, Where, Worth
from sim.describe.estimates.shape import ASKED_BY, is_none, says_none, shaped
from sim.describe.estimates.truck import AXLES, Truck, copied


def completed(mapping: Mapping[str, Any]) -> tuple[dict[str, Any], list[Estimate]]:
    """Return a vehicle's mapping with everything that a vehicle file needs, and what of it is estimated.

    Nothing that is given is changed, not even what cannot be understood: whoever validates the result says what is wrong with it.
    A mapping without `weighed` is returned as it is.

    Parameters
    ----------
    mapping : mapping
        As a file has it: plain texts and numbers, with the keys of a vehicle file, `weighed`, and what a shop measures beside
        (`describe.estimates.as_measured`). Everything may be left out.

    Returns
    -------
    full : dict
        With the keys of a vehicle file alone. An estimate is written as a number in doubt: "about 244 N/mm +- 49 N/mm".
    estimates : list of Estimate
        In the order in which they were found.
    """
    data, estimates = filled(mapping)
    return without_shop_keys(data), estimates


def filled(mapping: Mapping[str, Any]) -> tuple[dict[str, Any], list[Estimate]]:
    """Return as `completed`, with what only a shop writes left in: filled again after a change, only new gaps are estimated."""
    if not as_measured(mapping):
        return dict(mapping), []
    truck = Truck(mapping)
    if truck.data[TRIGGER] is None:
        truck.data[TRIGGER] = {}
    shaped(truck)
    estimates = []
    for rule in ESTIMATES:
        for at, path in _places(rule, truck):
            found = _filled(rule, truck, at, path)
            if found is not None:
                estimates.append(found)
    for axle in AXLES:
        if truck.at(axle, "strap") == {}:  # its springs hold it where it hangs
            del truck.data[axle]["strap"]
    return truck.data, estimates


def without_shop_keys(data: Mapping[str, Any]) -> dict[str, Any]:
    """Return a filled mapping without what only a shop writes, and without parts that it says the truck has not."""
    if not as_measured(data):
        return dict(data)
    whole: dict[str, Any] = copied(data)
    for place, _, keys in list(shop_keys(whole)):
        inside = whole
        for step in place:
            inside = inside[step]
        for key in () if place == (TRIGGER,) else keys:
            del inside[key]
    del whole[TRIGGER]
    for axle in AXLES:
        parts = whole.get(axle)
        for key in ASKED_BY:
            if isinstance(parts, dict) and says_none(parts.get(key), key):
                del parts[key]
    return _without_none(whole)


def _without_none(data: dict[str, Any]) -> dict[str, Any]:
    kept = {key: _without_none(value) if isinstance(value, dict) else value for key, value in data.items()}
    return {key: value for key, value in kept.items() if not is_none(value)}


def _places(rule: Rule, truck: Truck) -> Iterator[tuple[Where, tuple[str, ...]]]:
    """Yield every part that a rule is for, and where in the mapping its number stands."""
    steps = rule.path.split(".")
    for axle in AXLES if "{axle}" in steps else ("",):
        names: list[str] = [""]
        if "{name}" in steps:
            above = [axle if step == "{axle}" else step for step in steps[: steps.index("{name}")]]
            parts = truck.at(*above)
            names = (
                [str(name) for name, part in parts.items() if isinstance(part, dict)] if isinstance(parts, dict) else []
            )
        for name in names:
            words = {"{axle}": axle, "{name}": name}
            yield Where(axle, name), tuple(words.get(step, step) for step in steps)


def _filled(rule: Rule, truck: Truck, at: Where, place: tuple[str, ...]) -> Estimate | None:
    """Fill a number in where the rule has one and nobody gave it; None where it stays as it is."""
    if truck.at(*place) is not None:
        return None
    worth: Worth | None = rule.value(truck, at)
    if worth is None:
        return None
    part = truck.part(*place[:-1])
    written = truck.written(worth.value, worth.half, rule.quantity, rule.exact)
    part[place[-1]] = written
    named = f"{at.axle} {rule.label}".strip() if at.axle else rule.label
    if at.name and at.name not in ("main", "coil", "pack") and at.axle:
        named += f" ('{at.name}')"
    if not at.axle and at.name in (*LOADS_OF_PEOPLE, "bed"):
        named += f" ({at.name})"
    return Estimate(
        ".".join(place), named, rule.quantity, worth.value, worth.half, written, worth.of or rule.of, rule.reach,
        worth.source or rule.source, rule.page,
    )  # fmt: skip
