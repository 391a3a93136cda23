"""The limit strap: keeps the axle from hanging on its dampers."""

from typing import Annotated

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.bare_numbers import Number
from sim.describe.description import Description
from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace
from sim.describe.units import Length, Stiffness
from sim.kernel.layout import Knot, Line


class Strap(Description):
    """One strap between body and axle, and how many."""

    count: Annotated[int, Gt(0), Le(8)] = 2
    length: Annotated[Length, Gt(0), Le(5)] = Field(description="Length when just taut.")
    rate: Annotated[Stiffness, Gt(0)] = Field(description="Rate of one limit strap as it stretches.")
    loss: Annotated[Number, Ge(0), Le(10)] = 0.2
    body: BodyPoint
    axle: AxlePoint

    def lower(self, place: SprungPlace) -> tuple[Line, tuple[Knot, ...]]:
        """Return what the kernel needs: a line that only pulls, past its length."""
        # A line with a hard end at its full length and nothing else: shorter, a strap hangs slack.
        line = Line(
            number=float(self.count), body_forward=place.forward(self.body), body_up=place.up(self.body),
            axle_forward=self.axle.ahead, axle_up=self.axle.above, sideways=0.0,
            rate=0.0, length_free=0.0, force_least=0.0, force_constant=0.0, force_rate=0.0, force_length=0.0,
            length_collapsed=0.0, length_extended=self.length, end_rate=self.rate, end_loss=self.loss, bush_give=0.0,
        )  # fmt: skip
        return line, ()
