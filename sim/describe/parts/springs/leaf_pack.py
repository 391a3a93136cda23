"""Semi-elliptic leaf pack, fixed to the axle at its seat."""

from math import nan
from typing import Annotated, ClassVar, Literal

from annotated_types import Ge, Gt, Le
from pydantic import BeforeValidator, Field, model_validator

from sim.describe.bare_numbers import Number, counted
from sim.describe.description import Description
from sim.describe.parts.springs.base import AlongLeaf, Dimension, RateFrom, SeatSpring, WindUpRates
from sim.describe.parts.springs.leaves import leaf_stress, turned
from sim.describe.shown import show
from sim.describe.units import Force, Length, Modulus, Stiffness


class Halves(Description):
    """Working lengths of the two halves of a pack, from the eyes to what the U-bolts hold."""

    ahead: Annotated[Length, Gt(0.2)]
    behind: Annotated[Length, Gt(0.2)]


class LeafPack(SeatSpring):
    """One pack, and how many the axle has; rate as measured, or from the leaves.

    The interleaf friction follows travel, not speed: F tends to ±friction over `friction_travel`
    (envelope law of Fancher, Ervin, MacAdam, Winkler, SAE 800905, 1980).
    """

    MADE_OF: ClassVar[tuple[str, ...]] = ("leaves", "leaf_width", "leaf_thickness", "length")
    RATE_FROM: ClassVar[RateFrom] = RateFrom(
        "its leaves", "packs of leaves of one thickness", "Khurmi, Machine Design, leaf springs, from memory"
    )

    kind: Literal["leaf_pack"]
    count: Annotated[int, Gt(0), Le(8)] = 2
    rate: Annotated[Stiffness, Gt(0)] | None = Field(default=None, description="Vertical rate of one pack.")
    leaves: Annotated[int, Gt(0), Le(1000), BeforeValidator(counted)] | None = Field(
        default=None, description="All leaves of equal thickness, full-length ones included."
    )
    # Counted apart, as a leaf that reaches the eyes carries half as much again as a graduated one (3 to 2 below).
    full_length_leaves: Annotated[int, Gt(0), Le(1000), BeforeValidator(counted)] = 1
    leaf_width: Annotated[Length, Gt(0)] | None = None
    leaf_thickness: Annotated[Length, Gt(0)] | None = None
    length: Annotated[Length, Gt(0)] | None = Field(
        default=None, description="Eye to eye along the main leaf, loaded; `clamped` is taken off it."
    )
    clamped: Annotated[Length, Ge(0), Le(0.5)] = Field(
        default=0.0,
        description="How much of `length` the U-bolts and their plate hold, which does not bend; left out, `length` is what bends.",
    )
    rate_factor: Annotated[Number, Gt(0), Le(5)] = Field(
        default=1.0,
        description="Rate as weighed over that of the leaves' dimensions. How far off that may be is known once the pack was weighed.",
    )
    modulus: Annotated[Modulus, Gt(0)] = Field(default=207e9, validate_default=False)  # spring steel
    free_camber: Length | None = Field(
        default=None,
        description="Arch without load, more than at ride as measured: not the whole arch. By as much the seat drops with no load. Left out, it is found for the height as measured; a set-up's pack keeps that.",
    )
    block: Annotated[Length, Ge(0), Le(0.3)] = Field(
        default=0.0, description="Thickness of the lift block between the pack and the axle."
    )
    # At the centre where nobody measured it: what winds the pack up is then too little over the axle and too much under it.
    seat_above: Annotated[Length, Ge(-0.3), Le(0.3)] = Field(
        default=0.0,
        description="Height of the middle of the main leaf at the U-bolts over the axle's centre, the block not counted; a minus for a pack under the axle. "
        "Left out, at the centre (an estimate: 50 to 90 mm over or under is usual, common practice, no source).",
        validate_default=False,
    )
    shackle_lift: Annotated[Length, Ge(-0.3), Le(0.3)] = Field(
        default=0.0,
        description="How much higher longer shackles hold the frame over the axle than those it was measured on; the pack stays as it is.",
    )
    halves: Halves | None = Field(
        default=None,
        description="Working lengths ahead of and behind the U-bolts, where wind-up is to follow from the pack.",
    )
    friction: Annotated[Force, Ge(0)] = Field(
        default=0.0, description="Half the height of one pack's load-travel loop at the seat."
    )
    # Never nothing: friction that turns round at once would be a jump, which no step could follow.
    friction_travel: Annotated[Length, Ge(0.001)] = Field(
        default=0.003,
        description="Travel in which friction turns round (1 to 5 mm from memory, no source).",
        validate_default=False,
    )

    @model_validator(mode="after")
    def _one_rate(self) -> "LeafPack":
        leaves = (self.leaves, self.leaf_width, self.leaf_thickness, self.length)
        if self.rate is None and any(v is None for v in leaves):
            raise ValueError("give either rate, or all of leaves, leaf_width, leaf_thickness and length")
        if self.rate is not None and any(v is not None for v in leaves):
            raise ValueError(
                "give either rate or the leaves' dimensions, not both: take out rate, or leaves, leaf_width, leaf_thickness and length "
                "(in a set-up: all four of them take the place of the vehicle's rate)"
            )
        if self.length is not None and self.clamped > 0.5 * self.length:
            raise ValueError(
                f"the U-bolts would hold {show(self.clamped, 'length')} of {show(self.length, 'length')}, more than half: clamped is "
                "what lies between and under the U-bolts, length is eye to eye"
            )
        if self.leaves is not None and self.full_length_leaves > self.leaves:
            raise ValueError("full_length_leaves is more than all leaves")
        return self

    @property
    def sides_m(self) -> tuple[float, float] | None:
        """Its halves [m], that ahead of the U-bolts first; None without them."""
        return None if self.halves is None else (self.halves.ahead, self.halves.behind)

    @property
    def along(self) -> AlongLeaf | None:
        """Its main leaf in parts and as a whole; None where either is left out."""
        if self.halves is None or self.length is None:
            return None
        return AlongLeaf(self.halves.ahead, self.halves.behind, self.length, self.clamped)

    @property
    def wind_up(self) -> WindUpRates | None:
        """What one pack does against wind-up (`turned`); None without its halves."""
        return (
            None
            if self.halves is None
            else WindUpRates(*turned(self.rate_n_per_m, self.halves.ahead, self.halves.behind))
        )

    @property
    def rate_n_per_m(self) -> float:
        """Vertical rate of one pack [N/m].

        Half of it is a cantilever l under half the load: deflection 12 W l³ / (E b t³ (2 n_G + 3 n_F)), n_F full-length and n_G
        graduated leaves (Khurmi, Machine Design; Bhandari, Design of Machine Elements). l is half of what bends: of the length eye to
        eye Khurmi takes two thirds of the distance between the U-bolts' middles off (from memory); a stiff plate holds all of it.
        """
        if self.rate is not None:
            return self.rate
        # For the type checker: the validator has seen to all four.
        assert self.leaves
        assert self.leaf_width
        assert self.leaf_thickness
        assert self.length
        # Two cantilevers side by side: twice the rate of one, hence the 2 below.
        half = (self.length - self.clamped) / 2.0
        section = self.modulus * self.leaf_width * self.leaf_thickness**3
        graduated = self.leaves - self.full_length_leaves
        worth = 2.0 * graduated + 3.0 * self.full_length_leaves
        return self.rate_factor * 2.0 * section * worth / (12.0 * half**3)

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """Its leaves and halves, as far as they are known."""
        ahead, behind = self.sides_m or (None, None)
        # Without leaves the count of those that reach the eyes is a default that says nothing.
        full = self.full_length_leaves if self.leaves is not None else None
        found = (
            ("leaves", "leaves, all of them", self.leaves, "count"),
            ("full_length_leaves", "leaves that reach both eyes", full, "count"),
            ("leaf_width", "width of a leaf", self.leaf_width, "length"),
            ("leaf_thickness", "thickness of a leaf", self.leaf_thickness, "length"),
            (
                "length",
                "length, less what the U-bolts hold",
                None if self.length is None else self.length - self.clamped,
                "length",
            ),
            ("clamped", "held by the U-bolts", self.clamped or None, "length"),
            ("halves", "half ahead of the U-bolts", ahead, "length"),
            ("halves", "half behind the U-bolts", behind, "length"),
        )
        return tuple(Dimension(key, label, float(value), of) for key, label, value, of in found if value is not None)

    def stress_under(self, force_n: float) -> float:
        """Return the bending stress [Pa] of its leaves under a force of one [N] (`leaf_stress`); nan where they are not known."""
        if self.leaves is None or self.leaf_width is None or self.leaf_thickness is None or self.length is None:
            return nan
        return leaf_stress(force_n, self.leaves, self.leaf_width, self.leaf_thickness, self.length - self.clamped)
