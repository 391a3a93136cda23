"""The bump stop: a pad on the body that the axle runs into."""

from typing import Annotated, ClassVar

from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.bare_numbers import Number
from sim.describe.description import Description
from sim.describe.parts.places import CENTRE, AxlePoint
from sim.describe.units import Length, Stiffness


class Stop(Description):
    """Both sides' pads together: soft at first touch, stiff when fully squeezed.

    force = k p + k₃ p³ with p the squeeze; k₃ follows from the two rates. Rubber is squeezed by 30 to 50 % of
    its height, foam by 60 to 75 % (common practice, no source).
    """

    ORDERED: ClassVar[tuple[tuple[str, str], ...]] = (("rate_first", "rate_full"),)

    count: Annotated[int, Gt(0), Le(16)] = 2
    gap: Annotated[Length, Gt(0), Le(2)] = Field(
        description="Upward travel of the axle from the measured ride height until it touches, in a lifted set-up too: to keep 75 mm there after a lift of 60 mm write 15 mm. A taller stop in the same place touches "
        "earlier: it has a smaller gap, by as much as it is taller."
    )
    squeeze: Annotated[Length, Gt(0), Le(2)] = Field(
        description="Further travel until the pad is solid: more of it alone moves no touch."
    )
    rate_first: Annotated[Stiffness, Ge(0)] = Field(description="Rate of one pad at first touch.")
    rate_full: Annotated[Stiffness, Gt(0)] = Field(description="Rate of one pad when fully squeezed.")
    # Loss is a share of the force (Hunt and Crossley 1975), so touching and parting have no jump.
    loss: Annotated[Number, Ge(0), Le(10)] = Field(
        default=0.15,
        description="Share by which the force grows per m/s of squeezing speed, and shrinks on the way back.",
    )
    meets: AxlePoint = Field(default=CENTRE, description="Where it meets the axle.", validate_default=False)

    @model_validator(mode="after")
    def _stiffens(self) -> "Stop":
        if self.rate_full < self.rate_first:
            raise ValueError("rate_full must not be less than rate_first: a bump stop stiffens as it is squeezed")
        return self

    @property
    def cubic(self) -> float:
        """Cubic coefficient of one pad [N/m³], so that the rate at full squeeze is `rate_full`."""
        return (self.rate_full - self.rate_first) / (3.0 * self.squeeze**2)

    def force(self, squeeze_m: float) -> float:
        """Return the slow force [N] of one pad squeezed by `squeeze_m` [m]."""
        p = max(squeeze_m, 0.0)  # a pad is not glued to the axle, it never pulls
        return p * (self.rate_first + self.cubic * p * p)
