"""Spring: an air bag between two plates."""

from typing import Annotated, Literal

from annotated_types import Gt
from pydantic import Field

from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace
from sim.describe.parts.springs.base import LineSpring
from sim.describe.units import Length, Pressure, Volume
from sim.kernel.layout import Line

ATMOSPHERE, EXPONENT = 101325.0, 1.4


class AirBag(LineSpring):
    """Rate of its gas at the height at which it is filled; taken as even over the travel."""

    kind: Literal["air_bag"]
    count: Annotated[int, Gt(0)] = 2
    pressure: Annotated[Pressure, Gt(0)] = Field(description="On the gauge, at the measured height.")
    diameter: Annotated[Length, Gt(0)] = Field(description="Of the area that carries.")
    volume: Annotated[Volume, Gt(0)]
    free_length: Annotated[Length, Gt(0)] | None = None
    body: BodyPoint
    axle: AxlePoint

    @property
    def rate_n_per_m(self) -> float:
        """Rate of one [N/m]: n (p + p_a) A² / V."""
        area = 0.25 * 3.141592653589793 * self.diameter**2
        return EXPONENT * (self.pressure + ATMOSPHERE) * area**2 / self.volume

    def lower(self, place: SprungPlace, free_length_m: float) -> Line:
        """Return what the kernel needs."""
        return Line(
            number=float(self.count), body_forward=place.forward(self.body), body_up=place.up(self.body),
            axle_forward=self.axle.ahead, axle_up=self.axle.above, sideways=0.0, rate=self.rate_n_per_m,
            length_free=free_length_m, force_least=0.0, force_constant=0.0, force_rate=0.0, force_length=0.0,
            length_collapsed=0.0, length_extended=1e3, end_rate=0.0, end_loss=0.0, bush_give=0.0,
        )  # fmt: skip
