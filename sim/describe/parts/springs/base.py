"""What every spring answers, and the two ways in which one may stand between body and axle."""

from abc import abstractmethod
from math import nan
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from sim.describe.description import Description
from sim.describe.parts.places import SprungPlace
from sim.kernel.layout import Line


class WindUpRates(NamedTuple):
    """What one spring's seat answers to height and turn; a turn that lowers its front is positive."""

    by_turn: float  # [N m/rad] moment by turn at a held height
    coupling: float  # [N/rad] support by turn, and moment by height


class Dimension(NamedTuple):
    """One dimension of a spring as a maker reads it."""

    key: str  # as a file has it
    label: str
    value: float  # in SI, or a number
    quantity: str  # "length", or "count" and "number" without a unit


class RateFrom(NamedTuple):
    """What a rate that is not given follows from, of which springs that holds, and whose formula it is."""

    of: str
    reach: str
    source: str


class AlongLeaf(NamedTuple):
    """A leaf pack's main leaf in parts and as a whole [m]: its halves from the eyes to the U-bolts, all eye to eye, and what the U-bolts hold of it."""

    ahead: float
    behind: float
    length: float
    clamped: float


class SpringDescription(Description):
    """Base of the springs. A spring is one of the two kinds below."""

    if TYPE_CHECKING:
        kind: str  # each has a word of its own
        count: int  # how many the axle has
        rate: float | None
        rate_factor: float

    MADE_OF: ClassVar[tuple[str, ...]] = ()
    """Keys of the dimensions from which its rate follows, where it is not given."""

    RATE_FROM: ClassVar[RateFrom] = RateFrom("", "", "")
    """The same in words, for a person who left the rate out."""

    @property
    @abstractmethod
    def rate_n_per_m(self) -> float:
        """Rate of one [N/m]."""

    @property
    def words(self) -> str:
        """What it is, in few words: for the order sheet."""
        return self.kind.replace("_", " ")

    @property
    def dimensions(self) -> tuple[Dimension, ...]:
        """What it is made by, as far as that is known: for the order sheet."""
        return ()

    @property
    def along(self) -> AlongLeaf | None:
        """Its main leaf in parts and as a whole, of one that is taped so; None of any other."""
        return None

    def stress_under(self, force_n: float) -> float:
        """Return the greatest stress [Pa] in it under a force of one [N]; nan where its dimensions are not known."""
        return nan


class LineSpring(SpringDescription):
    """A spring that pushes along the line between a seat on the body and one on the axle."""

    if TYPE_CHECKING:
        free_length: float | None  # [m]; None: found from the height at which the truck was measured

    @property
    def wire(self) -> tuple[float, float] | None:
        """Diameter of its wire, and of its turns from centre to centre of the wire [m]; None if they are not known."""
        return None

    @property
    def binds_at(self) -> float | None:
        """Length at which it is solid [m]; None if that is not known."""
        return None

    @property
    def solid_by_wire(self) -> float | None:
        """Length at which it is solid as wire and turns have it [m]; None if they are not known."""
        return None

    @property
    def pulls(self) -> bool:
        """Whether its seats can pull it longer than it is without load."""
        return False

    @abstractmethod
    def lower(self, place: SprungPlace, free_length_m: float) -> Line:
        """Return what the kernel needs; `free_length_m` is the spring's own or the one found."""


LIFTS_ON_TOP = "a block lifts only where the pack lies on top of the axle; under the axle it lowers the truck"
"""What decides which way a block goes, said beside every one of which nobody said where its pack lies."""


class SeatSpring(SpringDescription):
    """A spring that is fixed to the axle, pushes upright by jounce, and may hold the housing against turning."""

    if TYPE_CHECKING:
        free_camber: (
            float | None
        )  # [m] arch without load, more than at ride as measured; None: found from the measured height
        block: float  # [m] thickness of what stands between it and the axle
        seat_above: float  # [m] how far above the axle's centre it lies without that; below zero under the axle
        shackle_lift: float  # [m] how much higher longer shackles hold the frame
        friction: float  # [N] of one, half of its loop
        friction_travel: float  # [m] in which friction turns round

    @property
    def raised_m(self) -> float:
        """How far block and longer shackles hold the frame above where its leaves alone would [m]."""
        return self.seat_m - self.seat_above + self.shackle_lift

    @property
    def is_under(self) -> bool:
        """Whether it lies under the axle: a block between the two then lowers the frame."""
        return self.seat_above < 0.0

    @property
    def seat_m(self) -> float:
        """How far above the axle's centre it lies, on its block [m]; below zero under the axle."""
        return self.seat_above + (-self.block if self.is_under else self.block)

    @property
    def sides_m(self) -> tuple[float, float] | None:
        """How far it reaches ahead of and behind its seat [m]; None if that is not known."""
        return None

    @property
    @abstractmethod
    def wind_up(self) -> WindUpRates | None:
        """What one does against wind-up; None if that is not known."""
