"""Road shapes. The union below is the list: one word in a file, `kind`, picks the shape."""

from typing import Annotated, TypeAlias

from pydantic import Field

from sim.describe.roads.circular_hump import CircularHump
from sim.describe.roads.ditch import Ditch
from sim.describe.roads.fallen_log import FallenLog
from sim.describe.roads.flat import Flat
from sim.describe.roads.flat_topped_hump import FlatToppedHump
from sim.describe.roads.half_sine import HalfSine
from sim.describe.roads.parabolic_hump import ParabolicHump
from sim.describe.roads.plank import Plank
from sim.describe.roads.pothole import Pothole
from sim.describe.roads.random_road import RandomRoad
from sim.describe.roads.sinusoidal_hump import SinusoidalHump
from sim.describe.roads.step import Step
from sim.describe.roads.survey import Survey
from sim.describe.roads.washboard import Washboard

AnyShape: TypeAlias = (
    CircularHump
    | Ditch
    | FallenLog
    | Flat
    | FlatToppedHump
    | HalfSine
    | ParabolicHump
    | Plank
    | Pothole
    | RandomRoad
    | SinusoidalHump
    | Step
    | Survey
    | Washboard
)

Shape = Annotated[AnyShape, Field(discriminator="kind")]

__all__ = [
    "AnyShape",
    "CircularHump",
    "Ditch",
    "FallenLog",
    "Flat",
    "FlatToppedHump",
    "HalfSine",
    "ParabolicHump",
    "Plank",
    "Pothole",
    "RandomRoad",
    "Shape",
    "SinusoidalHump",
    "Step",
    "Survey",
    "Washboard",
]
