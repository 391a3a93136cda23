"""A set of identical dampers on one axle: law, mounts, lengths, which end is up, bushes, gas."""

from functools import lru_cache
from math import acos, hypot, radians, sqrt
from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.description import Description
from sim.describe.parts.dampers import ramps
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.tube import Tube
from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace
from sim.describe.shown import show
from sim.describe.units import Force, Length, Mass, Stiffness
from sim.kernel.layout import Knot, Line

END_RATE = 2.0e6
"""Rate [N/m] of metal on metal at the end of the stroke. Reaching it breaks parts; the run is flagged."""

END_LOSS = 0.2

FREE_OIL_LEAN = radians(45.0)
"""Lean [rad] that is usually quoted as most for a twin-tube with a free oil surface; common practice, no source."""


class DamperSet(Description):
    """`count` dampers, all alike, between their own mounts on body and axle.

    Two dampers a side are one set with count 4 if they share their mounts' places in side view, else two sets.
    """

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (("length_collapsed", "length_extended"),)

    count: Annotated[int, Gt(0), Le(16)] = 2
    valving: Law = Field(description="Force against speed, of one without gas and seal.")
    body: BodyPoint = Field(description="Mount on the frame.")
    axle: AxlePoint = Field(description="Mount on the axle or its arms.")
    # A distance, not an angle: it stays as it is while the axle travels, and a tape measures it.
    lean_inward: Annotated[Length, Ge(0), Le(3)] = Field(
        default=0.0, description="Distance across, seen from behind, between the upper and the lower mount."
    )
    length_collapsed: Annotated[Length, Gt(0), Le(5)] | None = Field(default=None, description="Eye to eye, fully in.")
    length_extended: Annotated[Length, Gt(0), Le(5)] | None = Field(default=None, description="Eye to eye, fully out.")
    tube_mass: Annotated[Mass, Ge(0), Le(200)] = Field(
        default=0.0, description="Of one: tube, oil and what moves with them."
    )
    rod_mass: Annotated[Mass, Ge(0), Le(200)] = Field(default=0.0, description="Of one: rod, piston, dust cover.")
    # Decides which mass rides on the axle: the tube with its oil is the heavier end.
    tube_end: Literal["up", "down"] = Field(default="down", description="Which end of the damper the tube is at.")
    gas_force: Annotated[Force, Ge(0), Le(1e5)] = Field(
        default=0.0, description="Push of one at the measured ride height."
    )
    gas_rate: Annotated[Stiffness, Ge(0)] = Field(default=0.0, description="How the push grows as it is shortened.")
    seal_friction: Annotated[Force, Ge(0), Le(1e5)] = Field(default=0.0, description="Of one, either way.")
    bush_rate: Annotated[Stiffness, Gt(0)] | None = Field(
        default=None, description="Rate of both end bushes in series, along the damper. Left out: rigid ends."
    )
    tube: Tube | None = Field(
        default=None, description="Size of one and what heat does to it; left out: its force does not change with heat."
    )

    construction: Literal["twin_tube", "gas_cell", "monotube", "reservoir"] | None = Field(
        default=None,
        description="twin_tube has a free oil surface and must stand rod up; in gas_cell a sealed cell keeps oil and gas apart; "
        "reservoir is a monotube with its gas beside it. A valving of kind `valves` says it already.",
    )

    @model_validator(mode="after")
    def _built_as_its_valves_are(self) -> "DamperSet":
        # A curve says nothing of the damper around it, so nothing can disagree.
        if self.valving.inside is None:
            return self
        inside = self.valving.inside.construction
        # A reservoir is a monotube whose gas stands beside it; the valves know no difference.
        if self.construction not in (None, inside) and (self.construction, inside) != ("reservoir", "monotube"):
            raise ValueError(
                f"construction is '{self.construction}', but the valves are in a '{inside}': give one of them, or both alike; in a set-up write construction: none"
            )
        # Written at all, even as 0 N, it would take the place of the push that follows from the valves' gas.
        twice = {"gas_force", "gas_rate"} & self.model_fields_set
        if twice:
            raise ValueError(
                f"{' and '.join(sorted(twice))} would count the gas twice: its push follows from the valves' gas_pressure. Leave it "
                f"out; in a set-up write {sorted(twice)[0]}: none"
            )
        return self

    @model_validator(mode="after")
    def _oil_stays_below(self) -> "DamperSet":
        if self.built == "twin_tube" and self.tube_end == "up":
            raise ValueError(
                "a twin-tube with a free oil surface cannot stand tube up: its gas gets under the valves and damping drops out. "
                "Write tube_end: down, or fit one with a gas cell (construction: gas_cell) or a monotube"
            )
        return self

    @property
    def built(self) -> str | None:
        """How it is built, None if nobody said."""
        if self.construction is None and self.valving.inside is not None:
            return self.valving.inside.construction
        return self.construction

    @property
    def push(self) -> tuple[float, float]:
        """Push of the gas of one at the measured ride height [N] and its rate [N/m], from wherever it is stated, once."""
        # What the set writes goes before what its law brings: another charge of gas may be put in.
        if self.valving.gas is None or "gas_force" in self.model_fields_set:
            return self.gas_force, self.gas_rate
        push, rate = self.valving.gas
        return push, self.gas_rate if rate is None else rate

    @property
    def brought(self) -> frozenset[str]:
        """Keys of a set that its law answers for, if the set is silent."""
        gas = {"gas_force", "gas_rate"} if self.valving.gas is not None else set()
        return frozenset(gas | ({"seal_friction"} if self.valving.friction is not None else set()))

    @property
    def friction(self) -> float:
        """Seal friction of one, either way [N]."""
        if self.valving.friction is None or "seal_friction" in self.model_fields_set:
            return self.seal_friction
        return self.valving.friction

    @model_validator(mode="after")
    def _lengths(self) -> "DamperSet":
        collapsed, extended = self.length_collapsed, self.length_extended
        if collapsed is not None and extended is not None and collapsed >= extended:
            raise ValueError(
                f"length_collapsed, {show(collapsed, 'length')}, must be less than length_extended, "
                f"{show(extended, 'length')}: are they crossed?"
            )
        return self

    def length_at_ride_m(self, place: SprungPlace, centre_forward: float, centre_up: float) -> float:
        """Return the length eye to eye at the measured ride height; the axle's centre is given in body axes [m]."""
        # At the measured height the housing is not turned, so its axes are the body's.
        dx = centre_forward + self.axle.ahead - place.forward(self.body)
        dz = centre_up + self.axle.above - place.up(self.body)
        return sqrt(hypot(dx, dz) ** 2 + self.lean_inward**2)

    def lean_at_ride(self, place: SprungPlace, centre_forward: float, centre_up: float) -> float:
        """Return its whole lean from upright at the measured ride height [rad], side view and behind in one."""
        up = abs(centre_up + self.axle.above - place.up(self.body))
        # Rounding may carry an upright one past 1.
        return acos(min(up / self.length_at_ride_m(place, centre_forward, centre_up), 1.0))

    @property
    def mass_on_axle(self) -> float:
        """Mass of the end of one damper that moves with the axle [kg]."""
        return self.tube_mass if self.tube_end == "down" else self.rod_mass

    @property
    def mass_on_body(self) -> float:
        """Mass of the end of one damper that moves with the body [kg]."""
        return self.rod_mass if self.tube_end == "down" else self.tube_mass

    def lower(self, place: SprungPlace, length_ride_m: float) -> tuple[Line, tuple[Knot, ...]]:
        """Return what the kernel needs: a line with ramps in speed, gas, hard ends and end bushes."""
        push, push_rate = self.push
        line = Line(
            number=float(self.count), body_forward=place.forward(self.body), body_up=place.up(self.body),
            axle_forward=self.axle.ahead, axle_up=self.axle.above, sideways=self.lean_inward,
            rate=0.0, length_free=0.0, force_least=0.0,
            force_constant=push, force_rate=push_rate, force_length=length_ride_m,
            # Ends that nobody gave are put past any travel.
            length_collapsed=self.length_collapsed or 0.0, length_extended=self.length_extended or 1e3,
            end_rate=END_RATE, end_loss=END_LOSS,
            # Give instead of rate, so that rigid ends are a plain 0.
            bush_give=0.0 if self.bush_rate is None else 1.0 / self.bush_rate,
        )  # fmt: skip
        return line, self.knots()

    def knots(self) -> tuple[Knot, ...]:
        """Return the ramps in speed that its law and its seal's friction add up to."""
        return self.valving.lower() + ramps.friction(self.friction)

    def lower_at(self, kelvin: float) -> tuple[Knot, ...]:
        """Return the ramps with oil at a temperature [K]; a law that knows its oil says them itself."""
        warm = self.valving.at_temperature(kelvin)
        if warm is not None:
            knots = warm.lower()
        else:
            # A curve knows no oil: one share goes with viscosity, the rest with density (equations.md, Heat).
            share = self.tube.force_share(kelvin) if self.tube is not None else 1.0
            knots = tuple(knot._replace(slope=share * knot.slope) for knot in _ramps(self.valving))
        # Seal friction stays as it is: what is known of heat is the oil's.
        return knots + ramps.friction(self.friction)


@lru_cache(maxsize=64)
def _ramps(law: Law) -> tuple[Knot, ...]:
    """Return the ramps of a law, kept: a long run asks again and again."""
    return law.lower()
