"""One solid axle and everything that stands between it and the body."""

from typing import Annotated

from annotated_types import Gt, Le
from pydantic import Field

from sim.describe.description import Description
from sim.describe.parts.brakes import Brakes
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.drag_link import DragLink
from sim.describe.parts.driveline import Shafts
from sim.describe.parts.fore_and_aft import ForeAndAft
from sim.describe.parts.guides import Guide
from sim.describe.parts.places import CENTRE, AxlePoint
from sim.describe.parts.propshaft import Propshaft
from sim.describe.parts.springs import Spring
from sim.describe.parts.stop import Stop
from sim.describe.parts.strap import Strap
from sim.describe.parts.tyre import Tyre
from sim.describe.parts.wind_up_link import WindUpLink
from sim.describe.units import Mass, PitchInertia


class Housing(Description):
    """The moving mass: housing, wheels and tyres, brakes, the share of arms and springs that goes along."""

    # Ends of dampers are added by mass and place (sim/lower/stance.py); counted here too, they would weigh twice.
    mass: Annotated[Mass, Gt(0), Le(25_000)] = Field(
        description="With wheels and tyres, without dampers whose mass is given."
    )
    # A wheel rolls freely, so its inertia about the axle's line never turns with the housing.
    pitch_inertia: Annotated[PitchInertia, Gt(0)] = Field(
        description="Of the housing without its wheels, about its centre of gravity."
    )
    centre_of_gravity: AxlePoint = CENTRE


class Axle(Description):
    """Housing, tyres, guide, springs, dampers, stop and strap of one end of the truck."""

    housing: Housing
    tyre: Tyre
    guide: Guide
    # An axle may have a pack and a coil side by side, and a set-up changes either by its name.
    springs: Annotated[dict[str, Spring], Field(min_length=1)] = Field(description="By name, e.g. `coil`.")
    dampers: dict[str, DamperSet] = Field(default={}, description="Sets by name, e.g. `main`, `second`.")
    stop: Stop | None = None
    strap: Strap | None = None
    wind_up_link: WindUpLink | None = None
    # What only some runs need may be left out; the run that needs it asks for it (sim/lower/wheeled.py).
    fore_and_aft: ForeAndAft | None = Field(default=None, description="Give along the truck; left out: none.")
    shafts: Shafts | None = Field(default=None, description="Final drive and shafts, for runs that drive.")
    brakes: Brakes | None = None
    propshaft: Propshaft | None = Field(default=None, description="For its joint angles.")
    drag_link: DragLink | None = Field(default=None, description="Of a steered axle, for its bump steer.")
