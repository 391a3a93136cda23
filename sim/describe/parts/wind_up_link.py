"""The wind-up link: a bar that holds the housing against turning."""

from typing import Annotated

from annotated_types import Ge, Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.dampers.ramps import COMPRESSION, EXTENSION
from sim.describe.parts.places import AxlePoint, BodyPoint, SprungPlace
from sim.describe.units import Damping, Length, Stiffness
from sim.kernel.layout import Knot, Line


class WindUpLink(Description):
    """A bar between frame and housing, on bushes; without load where the truck was measured.

    Its line and the axle's own path do not agree over the travel: what it then forces the axle and the bushes to do is
    its cost, and comes out of the geometry.
    """

    count: Annotated[int, Gt(0), Le(8)] = 1
    body: BodyPoint = Field(description="Eye on the frame.")
    axle: AxlePoint = Field(description="Eye on the housing.")
    rate: Annotated[Stiffness, Gt(0)] = Field(description="Bar and both bushes in series, along the bar.")
    damping: Annotated[Damping, Ge(0)] = Field(default=0.0, description="Of the bushes.", validate_default=False)
    sideways: Annotated[Length, Ge(0)] = Field(
        default=0.0, description="Distance across between its eyes.", validate_default=False
    )

    def lower(
        self, place: SprungPlace, centre_forward: float, centre_up: float
    ) -> tuple[tuple[Line, tuple[Knot, ...]], tuple[Line, tuple[Knot, ...]]]:
        """Return a spring that pulls and pushes, and its bushes' damping: two lines between the same eyes."""
        # In body axes at the height as measured, where the bar carries nothing: this is its length without load.
        dx = centre_forward + self.axle.ahead - place.forward(self.body)
        dz = centre_up + self.axle.above - place.up(self.body)
        length = (dx * dx + dz * dz + self.sideways**2) ** 0.5
        # Hard ends at 0 and 1 km: none within any travel.
        bare = Line(
            number=float(self.count), body_forward=place.forward(self.body), body_up=place.up(self.body),
            axle_forward=self.axle.ahead, axle_up=self.axle.above, sideways=self.sideways,
            rate=0.0, length_free=0.0, force_least=0.0, force_constant=0.0, force_rate=0.0, force_length=0.0,
            length_collapsed=0.0, length_extended=1e3, end_rate=0.0, end_loss=0.0, bush_give=0.0,
        )  # fmt: skip
        # The least force lies far below any load, so that the bar pulls as well as it pushes.
        spring = bare._replace(rate=self.rate, length_free=length, force_least=-1e12)
        knots = tuple(Knot(sense, 0.0, self.damping) for sense in (COMPRESSION, EXTENSION) if self.damping > 0.0)
        return (spring, ()), (bare, knots)
