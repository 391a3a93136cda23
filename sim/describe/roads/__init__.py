"""Road shapes: the list. A new shape is a file beside this one and its name here; one word in a file, `kind`, picks it."""

from typing import TYPE_CHECKING, Annotated, TypeAlias, Union

from pydantic import Field

from sim.describe.roads.circular_hump import CircularHump
from sim.describe.roads.ditch import Ditch
from sim.describe.roads.fallen_log import FallenLog
from sim.describe.roads.flat import Flat
from sim.describe.roads.flat_topped_hump import FlatToppedHump
from sim.describe.roads.half_sine import HalfSine
from sim.describe.roads.laid import Laid
from sim.describe.roads.parabolic_hump import ParabolicHump
from sim.describe.roads.plank import Plank
from sim.describe.roads.pothole import Pothole
from sim.describe.roads.random_road import RandomRoad
from sim.describe.roads.sinusoidal_hump import SinusoidalHump
from sim.describe.roads.step import Step
from sim.describe.roads.survey import Survey
from sim.describe.roads.washboard import Washboard

SHAPES: tuple[type[Laid], ...] = (
    CircularHump,
    Ditch,
    FallenLog,
    Flat,
    FlatToppedHump,
    HalfSine,
    ParabolicHump,
    Plank,
    Pothole,
    RandomRoad,
    SinusoidalHump,
    Step,
    Survey,
    Washboard,
)

if TYPE_CHECKING:  # whoever has a shape may ask what every shape answers, and no more
    AnyShape: TypeAlias = Laid
    Shape: TypeAlias = Laid
else:
    AnyShape = Union[SHAPES]  # noqa: UP007 - the members are those of the list
    Shape = Annotated[AnyShape, Field(discriminator="kind")]

__all__ = [
    "SHAPES",
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
