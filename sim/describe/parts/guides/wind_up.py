"""What every guide says of wind-up: how stiffly it holds the housing against turning."""

from typing import Annotated, Literal

from annotated_types import Ge, Gt
from pydantic import Field

from sim.describe.description import Description
from sim.describe.units import AngularDamping, AngularStiffness


class WindUp(Description):
    """Elastic turn of the housing about the axle's centre, beyond what its guide gives it."""

    rate: Annotated[AngularStiffness, Gt(0)] | Literal["rigid", "from_leaves"] = Field(
        description="Moment per angle at a held height, both sides together; 'rigid' holds the housing to its guide, "
        "'from_leaves' takes it from leaf packs whose halves are given."
    )
    damping: Annotated[AngularDamping, Ge(0)] = Field(default=0.0, description="Of the bushes or the pack itself.")

    @property
    def is_free(self) -> bool:
        """Whether the housing can wind up at all."""
        # 'from_leaves' winds up too: its rate is only known with the packs.
        return self.rate != "rigid"

    @property
    def rate_n_m_per_rad(self) -> float:
        """Rate [N m/rad] as given; 0 where the housing is held rigidly or by its leaves."""
        return 0.0 if isinstance(self.rate, str) else self.rate
