"""A valving by plain word: a knee curve that gives the axle a stated damping ratio."""

from collections.abc import Callable
from math import hypot, sqrt

from sim.describe.estimates.damper_mounts import motion_ratio
from sim.describe.estimates.estimate import Rule, Where, Worth
from sim.describe.estimates.spring_rate import from_ride, written_dimensions
from sim.describe.estimates.truck import Truck
from sim.describe.estimates.weights import sprung_on
from sim.describe.estimates.wind_up import leaf_rate
from sim.describe.parts.dampers.ramps import friction_as_damping

RATIOS = {"worn": 0.10, "soft": 0.15, "stock": 0.25, "firm": 0.35, "heavy": 0.50}
"""Damping ratio of one end of the body, c / (2 sqrt(k m)), that each word stands for, the friction of the seals in it, as `jounce stand`
counts it (`ramps.BODY_SPEED`, below the knee); ours. *Worn* is an old damper that still works but has lost most of what a *stock* one holds, to set
new ones against it. 0.2 to 0.4 are usual of a body on the road (Gillespie; Wong; Wang,
Automobile Design, has 0.25 to 0.35; from memory)."""

WORN, WORN_OFF = "worn", 0.6
"""The word of which nobody knows how much force is left, and how far off its slopes may be as a share: 0.04 to 0.16 of what would keep the body from
swinging; ours, no source."""

LEAST_SHARE = 0.1
"""Share of a word's ratio that the valving gives at least, however stiff the seals are; ours."""

REBOUND_SHARE = 2.0 / 3.0
"""Share of rebound in both forces: 2 to 1. Published, all from memory: 2 to 1 up to 3 to 1 (Dixon, The Shock Absorber Handbook), 3 to 1
(Gillespie, Fundamentals of Vehicle Dynamics, ch. 5), 2 to 1 up to 4 to 1 (Wang, Automobile Design)."""

KNEE, KNEE_OFF = 0.18, 0.67
"""Speed [m/s] (7 in/s) past which the slope is less steep, so that sharp hits are let through, and how far off it may be as a share: valves
open at 0.15 to 0.30 m/s (Wang, Automobile Design, from memory), 0.13 m/s is common practice, no source."""

BEYOND, BEYOND_OFF = 0.5, 0.4
"""How steep the slope is past the knee over that below it, and how far off that may be as a share, 0.3 to 0.7; common practice, no source. One range
bears on it: at 0.52 m/s dampers of a bore of 30 mm are rated for 1000 to 2800 N of rebound (QC/T 491, from memory), in which *stock* and *firm* under
1.1 to 1.8 t come out within `SLOPE_OFF`."""

SLOPE_OFF = {"compression": 0.40, "rebound": 0.25}
"""How far off a force may be: tolerance of a workshop manual's test figures, 14 to 30 % (from memory, no source at hand); of compression as a
split of 4 to 1 asks for, of which the same whole leaves 40 % less to it and gives 20 % more to rebound."""


def wheel_rate(truck: Truck, axle: str) -> float:
    """Return the rate of an axle's springs [N/m], as if they stood upright over it."""
    whole = 0.0
    for name, spring in truck.named(axle, "springs"):
        place = axle, "springs", name
        rate = truck.si("stiffness", *place, "rate")
        if rate is None and written_dimensions(truck, Where(axle, name)):
            rate = leaf_rate(truck, axle, name) if spring.get("kind") == "leaf_pack" else _coil_rate(truck, axle, name)
        whole += truck.count(*place, "count") * (rate or from_ride(truck, Where(axle, name)))
    return max(whole, 1.0)


def _coil_rate(truck: Truck, axle: str, name: str) -> float:
    place = axle, "springs", name
    wire, across = (truck.known("length", *place, key) for key in ("wire_diameter", "coil_diameter"))
    return 79.3e9 * wire**4 / (8.0 * across**3 * truck.known("number", *place, "active_coils"))


def slope(truck: Truck, at: Where, word: str) -> tuple[float, float]:
    """Return the mean of compression and rebound of one damper [N s/m] below the knee, and what the seals have of the axle's damping ratio.

    Both together give the axle a word's ratio. All sets of the axle are valved alike, so that count times motion ratio squared, summed,
    turns a slope into damping at the wheel.
    """
    critical = 2.0 * sqrt(wheel_rate(truck, at.axle) * sprung_on(truck, at.axle))
    worth = seals = 0.0
    for name, _ in truck.named(at.axle, "dampers"):
        own = truck.count(at.axle, "dampers", name, "count") * motion_ratio(truck, at.axle, name) ** 2
        worth += own
        seals += own * friction_as_damping(truck.si("force", at.axle, "dampers", name, "seal_friction") or 0.0)
    valving = max(RATIOS[word] * critical - seals, LEAST_SHARE * RATIOS[word] * critical)
    return valving / max(worth, 1e-6), seals / critical


def _part(side: str, key: str) -> Callable[[Truck, Where], Worth | None]:
    def value(truck: Truck, at: Where) -> Worth | None:
        word = truck.words.get((at.axle, at.name))
        if word is None:
            return None
        if key == "knee":
            return Worth(KNEE, KNEE_OFF * KNEE, f"'{word}'")
        share = 2.0 * (REBOUND_SHARE if side == "rebound" else 1.0 - REBOUND_SHARE) * (BEYOND if key == "high" else 1.0)
        each, seals = slope(truck, at, word)
        of_seals = f", {seals:.2f} of it the friction of its seals" if seals >= 0.005 else ""
        said = f"'{word}': a damping ratio of {RATIOS[word]:g} for what the axle carries{of_seals}"
        off = WORN_OFF if word == WORN else SLOPE_OFF[side]
        off = hypot(off, BEYOND_OFF) if key == "high" else off
        return Worth(share * each, off * share * each, said)

    return value


SIDES = ("compression", "rebound")
"""Keys of the two sides of a knee curve."""

SPLIT = "ratios: ours, stated; split: Dixon, The Shock Absorber Handbook, Gillespie, Fundamentals of Vehicle Dynamics, and Wang, Automobile Design, from memory"

RULES = tuple(
    Rule(
        f"{{axle}}.dampers.{{name}}.valving.{side}.{key}", f"{label} in {side}", quantity, "a plain word for the valving", _part(side, key),
        "dampers in good order; those that have lost force are 'worn'", source, "dampers.md",
    )
    for side in SIDES
    for key, label, quantity, source in (
        ("low", "slope below the knee", "damping", SPLIT),
        ("knee", "speed of the knee", "speed", "one value, Wang, Automobile Design, from memory; else common practice, no source"),
        ("high", "slope above the knee", "damping", SPLIT + "; how much less steep: one range of forces, QC/T 491, from memory; else common practice, no source"),
    )
)  # fmt: skip
