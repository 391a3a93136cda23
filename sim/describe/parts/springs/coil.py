"""Coil spring between a seat on the body and one on the axle."""

from math import nan
from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import BeforeValidator, Field, model_validator

from sim.describe.bare_numbers import Number, counted
from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace
from sim.describe.parts.springs.base import Dimension, LineSpring, RateFrom
from sim.describe.parts.springs.wire import DEAD_TURNS, shear_stress, solid_length
from sim.describe.units import Length, Modulus, Stiffness
from sim.kernel.layout import Line


class Coil(LineSpring):
    """One coil, and how many of it the axle has; rate given or from the wire.

    Without a free length the coil is taken to carry what makes the truck stand as measured.
    """

    MADE_OF: ClassVar[tuple[str, ...]] = ("wire_diameter", "coil_diameter", "active_coils")
    RATE_FROM: ClassVar[RateFrom] = RateFrom(
        "its wire, its middle diameter and its coils that work", "coils of round wire", "Shigley, Mechanical Engineering Design, ch. 10, from memory",
    )  # fmt: skip

    kind: Literal["coil"]
    count: Annotated[int, Gt(0), Le(8)] = 2
    rate: Annotated[Stiffness, Gt(0)] | None = Field(default=None, description="Rate of one coil.")
    wire_diameter: Annotated[Length, Gt(0), Le(0.2)] | None = None
    coil_diameter: Annotated[Length, Gt(0), Le(1)] | None = Field(
        default=None, description="Mean diameter, wire centre to wire centre."
    )
    active_coils: Annotated[Number, Gt(0), Le(100), BeforeValidator(counted)] | None = None
    shear_modulus: Annotated[Modulus, Gt(0)] = Field(
        default=79.3e9, description="Of the wire; spring steel 79.3 GPa.", validate_default=False
    )
    rate_factor: Annotated[Number, Gt(0), Le(5)] = Field(
        default=1.0,
        description="Rate as weighed over that of the wire's dimensions. How far off that may be is known once the coil was weighed.",
    )
    # Seldom known on an old truck, while its height can be taped: so the free length may follow from that.
    free_length: Annotated[Length, Gt(0), Le(5)] | None = Field(
        default=None, description="Length with no load. Leave out to have it found from the measured ride height."
    )
    solid_length: Annotated[Length, Gt(0), Le(5)] | None = Field(
        default=None, description="Length at which its coils touch."
    )
    spacer: Annotated[Length, Ge(0), Le(0.3)] = Field(
        default=0.0, description="Thickness of what stands between the coil and its upper seat."
    )
    held_both_ways: bool = Field(default=False, description="True if its seats can pull it; a loose coil only pushes.")
    body: BodyPoint = Field(description="Upper seat.")
    axle: AxlePoint = Field(description="Lower seat.")
    lean_inward: Annotated[Length, Ge(0), Le(3)] = Field(
        default=0.0, description="Distance across, seen from behind, between the upper and the lower seat."
    )

    @model_validator(mode="after")
    def _one_rate(self) -> "Coil":
        wire = (self.wire_diameter, self.coil_diameter, self.active_coils)
        if self.rate is None and any(v is None for v in wire):
            raise ValueError("give either rate, or all of wire_diameter, coil_diameter and active_coils")
        # Two answers to one question could disagree, and neither would look wrong.
        if self.rate is not None and any(v is not None for v in wire):
            raise ValueError(
                "give either rate or the wire's dimensions, not both: take out rate, or wire_diameter, coil_diameter and active_coils "
                "(in a set-up: all three of them take the place of the vehicle's rate)"
            )
        return self

    @property
    def wire(self) -> tuple[float, float] | None:
        """Diameters of its wire and of its turns [m]; None if the file gives its rate instead."""
        return (self.wire_diameter, self.coil_diameter) if self.wire_diameter and self.coil_diameter else None

    @property
    def binds_at(self) -> float | None:
        """Length at which its turns touch [m]."""
        return self.solid_length

    @property
    def solid_by_wire(self) -> float | None:
        """Length at which its turns touch as wire and turns have it [m], squared and ground ends (`solid_length`)."""
        return solid_length(self.wire_diameter, self.active_coils) if self.wire_diameter and self.active_coils else None

    @property
    def pulls(self) -> bool:
        """Whether it is held at both seats."""
        return self.held_both_ways

    @property
    def rate_n_per_m(self) -> float:
        """Rate of one coil [N/m]: G d⁴ / (8 D³ n), Shigley, Mechanical Engineering Design, ch. 10; times `rate_factor`."""
        if self.rate is not None:
            return self.rate
        # For the type checker: the validator has seen to all three.
        assert self.wire_diameter
        assert self.coil_diameter
        assert self.active_coils
        by_wire = self.shear_modulus * self.wire_diameter**4 / (8.0 * self.coil_diameter**3 * self.active_coils)
        return self.rate_factor * by_wire

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """Its wire and turns, as far as they are known."""
        turns = self.active_coils + DEAD_TURNS if self.active_coils else None
        found = (
            ("wire_diameter", "wire diameter", self.wire_diameter, "length"),
            ("coil_diameter", "mean diameter of the coil", self.coil_diameter, "length"),
            ("active_coils", "turns that work", self.active_coils, "number"),
            ("active_coils", f"turns, all of them ({DEAD_TURNS:g} at the ends carry nothing)", turns, "number"),
        )
        return tuple(Dimension(key, label, value, of) for key, label, value, of in found if value is not None)

    def stress_under(self, force_n: float) -> float:
        """Return the shear stress [Pa] of its wire under a force of one [N]; nan where its wire is not known."""
        return shear_stress(force_n, *self.wire) if self.wire else nan

    def lower(self, place: SprungPlace, free_length_m: float) -> Line:
        """Return what the kernel needs; `free_length_m` is the coil's own or the one found."""
        return Line(
            number=float(self.count), body_forward=place.forward(self.body),
            # Under a spacer the coil's end is lower than the seat, and everything else is the coil's own.
            body_up=place.up(self.body) - self.spacer,
            axle_forward=self.axle.ahead, axle_up=self.axle.above, sideways=self.lean_inward,
            # A loose coil falls off its seat at full droop; one that is held pulls without limit.
            rate=self.rate_n_per_m, length_free=free_length_m, force_least=-1e9 if self.held_both_ways else 0.0,
            force_constant=0.0, force_rate=0.0, force_length=0.0,
            # Without a solid length its coils never touch, however short it gets.
            length_collapsed=self.solid_length or 0.0, length_extended=1e3, end_rate=SOLID_RATE, end_loss=0.1,
            bush_give=0.0,
        )  # fmt: skip


SOLID_RATE = 2.0e6
"""Rate [N/m] of a coil whose turns touch: stiff beside the coil; the run is flagged when it is met."""
