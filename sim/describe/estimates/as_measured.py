"""What a shop writes of a truck that it measures: weights and a tape's numbers that no part of the model is made of.

They stand in a vehicle's file beside the keys of its parts, where `weighed` does, and are taken out of it by `completed`.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Annotated, Any, Literal

from annotated_types import Gt, Le
from pydantic import Field, field_validator, model_validator

from sim.describe.description import Description
from sim.describe.estimates.tyre_size import meant_for_size, tyre_size
from sim.describe.units import Length, Mass, TyrePressure

LOADS_OF_PEOPLE = ("driver", "passenger")
"""Words of `aboard` that stand for a person on a front seat, who is a load; others (half a tank, tools) stay a part of the body."""


_WHO = r"(?P<who>driver|passenger|me|myself|i|mate)"
_OWN = r"(?P<mass{}>\d[\d.,]*\s*(?:kg|lbs?))"
PERSON = re.compile(
    rf"(?:the\s+|a\s+)?(?:{_OWN.format(1)}\s+)?{_WHO}(?:(?:\s+of|\s*[:=,(])?\s*{_OWN.format(2)}\)?)?", re.IGNORECASE
)
"""A person on a front seat, with his own weight before or behind: `85 kg driver`, `driver 187 lb`, `me`."""


def person_of(word: object) -> tuple[str, str] | None:
    """Return which person a word of what was aboard stands for, one of LOADS_OF_PEOPLE, and his own mass as it is written, which may be empty; None if nobody."""
    match = PERSON.fullmatch(str(word).strip())
    if match is None:
        return None
    name = "passenger" if match["who"].lower() in ("passenger", "mate") else "driver"
    return name, match["mass1"] or match["mass2"] or ""


LIFTED_CROSSED = (
    "the axle that stays on the scale must carry more with the other one lifted, as the centre of gravity lies higher than the axles: "
    "are its two loads, level and lifted, crossed?"
)


class Lifted(Description):
    """The weighing with one axle lifted, from which the height of the centre of gravity follows (ISO 10392)."""

    axle: Literal["front", "rear"] = Field(description="Which axle is lifted.")
    by: Annotated[Length, Gt(0), Le(3)] = Field(description="How far its wheels' centre is lifted.")
    other: Annotated[Mass, Gt(0)] = Field(description="What the scale then says under the other axle.")


LEAST_AXLE_KG = 20.0
"""No axle with its wheels weighs less: two wheels of the smallest of cars do; ours, no source. The dampers' ends, which are in it, must leave an axle."""


class Weighed(Description):
    """The truck on the scale, one axle at a time; what is left out is estimated."""

    front: Annotated[Mass, Gt(0), Le(50_000)] | None = Field(default=None, description="Load of the front axle.")
    rear: Annotated[Mass, Gt(0), Le(50_000)] | None = Field(default=None, description="Load of the rear axle.")
    aboard: tuple[str, ...] = Field(
        default=(),
        description="What was in it: `driver` and `passenger` are loads of their own, `driver 95 kg` of his own weight; other words a part of the body.",
    )
    front_unsprung: Annotated[Mass, Gt(LEAST_AXLE_KG)] | None = Field(
        default=None,
        description="What moves with the front axle, weighed: housing, wheels and tyres, brakes, half of springs and arms.",
    )
    rear_unsprung: Annotated[Mass, Gt(LEAST_AXLE_KG)] | None = Field(
        default=None, description="What moves with the rear axle, weighed."
    )
    lifted: Lifted | None = None

    @model_validator(mode="after")
    def _gains(self) -> "Weighed":
        if self.lifted is not None:
            level = self.rear if self.lifted.axle == "front" else self.front
            if level is not None and self.lifted.other <= level:
                raise ValueError(LIFTED_CROSSED)
        return self


class Jacked(Description):
    """One tyre under two loads: its rate by jack, scale and tape."""

    load: tuple[Mass, Mass] = Field(description="Two loads of one wheel, as the scale has them.")
    height: tuple[Length, Length] = Field(description="Height of the axle's centre under each.")

    @model_validator(mode="after")
    def _gives(self) -> "Jacked":
        if (self.load[1] - self.load[0]) * (self.height[0] - self.height[1]) <= 0.0:
            raise ValueError("the axle must stand lower under the greater load: are the two heights crossed?")
        return self


class TyreAsMeasured(Description):
    """What a tyre's wall, gauge and tape say."""

    size: str | None = Field(
        default=None, description="As it stands on the wall: `235/85R16`, `33x12.50R15`, `7.50-16`."
    )
    outside_diameter: Annotated[Length, Gt(0.3), Le(3)] | None = Field(
        default=None, description="Wheel off the ground."
    )
    pressure: Annotated[TyrePressure, Gt(2e4), Le(12e5)] | None = None
    jacked: Jacked | None = None

    @field_validator("size")
    @classmethod
    def _read(cls, size: str | None) -> str | None:
        if size is not None and tyre_size(size) is None:
            meant = meant_for_size(size)
            raise ValueError(
                f"the tyre size '{size}' is not understood: {f'{meant}; ' if meant else ''}write it as on the wall, '235/85R16', '33x12.50R15' or '7.50-16', or outside_diameter instead"
            )
        return size


class AxleAsMeasured(Description):
    """Heights at one axle, level ground, truck settled."""

    axle_height: Annotated[Length, Gt(0.1), Le(2)] | None = Field(
        default=None, description="Axle's centre above the ground."
    )
    frame_height: Annotated[Length, Gt(0.1), Le(3)] | None = Field(
        default=None, description="Lower edge of the frame rail above the ground, over the axle."
    )


class StopAsMeasured(Description):
    """A bump stop by its free height."""

    height: Annotated[Length, Gt(0), Le(0.5)] | None = Field(
        default=None,
        description="Free height of the rubber or foam: how far it squeezes comes from it, and nothing else. The gap is a number beside it.",
    )


class CoilAsMeasured(Description):
    """A coil as it is fitted."""

    length_at_ride: Annotated[Length, Gt(0.05), Le(2)] | None = Field(
        default=None, description="End to end, standing, without its spacer."
    )


class DamperAsMeasured(Description):
    """A damper as it is fitted."""

    length_at_ride: Annotated[Length, Gt(0), Le(5)] | None = Field(default=None, description="Eye to eye, standing.")


class TruckAsMeasured(Description):
    """The tape along the whole truck."""

    overall_length: Annotated[Length, Gt(1), Le(20)] | None = Field(default=None, description="Bumper to bumper.")


OF_PARTS: tuple[type[Description], ...] = (TyreAsMeasured, StopAsMeasured, CoilAsMeasured, DamperAsMeasured)
"""Models whose keys are of a part, so that a set-up with another part may have others."""

REPLACES: dict[str, tuple[str, ...]] = {
    "size": ("tyre.outside_diameter", "tyre.jacked", "axle_height"), "outside_diameter": ("tyre.size", "tyre.jacked", "axle_height"),
    "pressure": ("tyre.jacked",),
}  # fmt: skip
"""What a shop measured of an axle that no longer holds once a set-up has something else: another tyre stands otherwise."""

TRIGGER = "weighed"
"""The key with which a vehicle's file says that it is written as measured."""


def as_measured(data: Any) -> bool:
    """Tell whether a mapping is a vehicle as a shop measures it."""
    return isinstance(data, Mapping) and TRIGGER in data


def shop_parts(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], type[Description], bool]]:
    """Yield where keys of a shop may stand in a mapping, the model of them, and whether all keys there are of that model."""
    yield (TRIGGER,), Weighed, True
    yield (), TruckAsMeasured, False
    for axle in ("front", "rear"):
        part = data.get(axle)
        if not isinstance(part, dict):
            continue
        yield (axle,), AxleAsMeasured, False
        yield (axle, "tyre"), TyreAsMeasured, False
        yield (axle, "stop"), StopAsMeasured, False
        springs = part.get("springs")
        for name, spring in springs.items() if isinstance(springs, dict) else ():
            if isinstance(spring, dict) and spring.get("kind", "coil") == "coil":
                yield (axle, "springs", name), CoilAsMeasured, False
        dampers = part.get("dampers")
        for name in dampers if isinstance(dampers, dict) else ():
            yield (axle, "dampers", name), DamperAsMeasured, False


def shop_keys(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str, ...], type[Description], dict[str, Any]]]:
    """Yield what a shop has written, by place: the model of it, and the keys there that are of it."""
    for place, model, whole in shop_parts(data):
        inside: Any = data
        for step in place:
            inside = inside.get(step) if isinstance(inside, dict) else None
        if isinstance(inside, dict):
            keys = inside if whole else {key: value for key, value in inside.items() if key in model.model_fields}
            yield place, model, keys
        elif whole and inside is not None:
            yield place, model, inside


def shop_names(data: Mapping[str, Any]) -> dict[tuple[str | int, ...], tuple[str, ...]]:
    """Return the keys that a shop may write beside those of a vehicle's parts, by place."""
    if not as_measured(data):
        # The key that makes it one may be written into any vehicle.
        return {(): (TRIGGER,)}
    names: dict[tuple[str | int, ...], tuple[str, ...]] = {
        place: tuple(model.model_fields) for place, model, _ in shop_parts(data)
    }
    return {**names, (): (TRIGGER, *names[()])}
