"""Road shapes. The union below is the list: one word in a file, `kind`, picks the shape."""

from typing import Annotated, TypeAlias

from pydantic import Field

from sim.roads.circular_hump import CircularHump
from sim.roads.ditch import Ditch
from sim.roads.fallen_log import FallenLog
from sim.roads.flat import Flat
from sim.roads.flat_topped_hump import FlatToppedHump
from sim.roads.half_sine import HalfSine
from sim.roads.parabolic_hump import ParabolicHump
from sim.roads.plank import Plank
from sim.roads.pothole import Pothole
from sim.roads.random_road import RandomRoad
from sim.roads.sinusoidal_hump import SinusoidalHump
from sim.roads.step import Step
from sim.roads.survey import Survey
from sim.roads.washboard import Washboard

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
