"""Survey: a measured road profile from a CSV file."""

from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, Self

from annotated_types import Gt, Le
from pydantic import Field, PrivateAttr, StringConstraints, ValidationInfo, model_validator

from sim.describe.files.kept import steady
from sim.describe.roads.array import Array
from sim.describe.roads.hermite import Hermite, monotone_slopes
from sim.describe.roads.laid import LONGEST_M, Laid
from sim.describe.roads.survey_csv import read_points
from sim.describe.roads.survey_repair import repaired
from sim.describe.units import Length

Unit = Annotated[str, StringConstraints(min_length=1, max_length=20)]


class Survey(Laid):
    """A profile through surveyed points, by cubics that make no new highs or lows.

    Commas, semicolons, tabs or spaces between columns, decimal point or comma, and units in the header are found out; what
    was read, and what was done about gaps, spikes and trend, is said as a notice.

    Notes
    -----
    The file's first point becomes the start of the shape, at the height of the road before it.
    Its path is read from the folder that the validation context names:
    ``Course.model_validate(data, context={"folder": path_of_the_course_file.parent})``;
    without one, from the current folder.
    """

    from_file: ClassVar[bool] = True

    kind: Literal["survey"]
    file: Annotated[str, StringConstraints(min_length=1, max_length=500)] = Field(
        description="CSV file, from the course file's folder, with a header like 'distance [m],height [mm]'"
    )
    distance_unit: Unit | None = Field(default=None, description="of a file that does not say: m, ft …")
    height_unit: Unit | None = Field(default=None, description="of a file that does not say: mm, in …")
    longest_gap: Annotated[Length, Gt(0.0), Le(LONGEST_M)] | None = Field(
        default=None,
        description="longer ones are refused, shorter ones bridged; left out: 1 m, or five usual distances between points",
    )
    spikes: Literal["remove", "keep"] = Field(
        default="remove", description="single readings that stand off both neighbours as no road does"
    )
    trend: Literal["keep", "remove"] = Field(
        default="keep", description="the mean grade; `remove` for a survey that drifts"
    )
    _curve: Hermite = PrivateAttr()
    _notices: tuple[str, ...] = PrivateAttr(default=())
    _path: Path = PrivateAttr()

    @model_validator(mode="after")
    def _read(self, info: ValidationInfo) -> Self:
        folder = Path((info.context or {}).get("folder", "."))
        if "\0" in self.file:  # the system's own error for it names no file
            raise ValueError("a file name cannot hold a null character")
        self._path = folder / self.file
        # Steady: a profiler may still be writing, and half a road is a road too.
        points = steady(self._path, lambda: read_points(self._path, self.file, self.distance_unit, self.height_unit))
        profile = repaired(points, self.file, self.longest_gap, self.spikes == "remove", self.trend == "remove")
        self._notices = profile.notices
        # Monotone: a smoother spline would swing above and below a ledge, where no road is.
        self._curve = Hermite(profile.x, profile.z, monotone_slopes(profile.x, profile.z))
        return self

    def __repr_args__(self) -> "Iterator[tuple[str | None, Any]]":
        """Return what its text says: with its points, so that another file of the same name reads as another."""
        yield from super().__repr_args__()
        yield "points", sha256(self._curve.x.tobytes() + self._curve.z.tobytes()).hexdigest()[:16]

    @property
    def notices(self) -> tuple[str, ...]:
        """What was found in the file and done about it."""
        return self._notices

    @property
    def path(self) -> Path:
        """The file."""
        return self._path

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return float(self._curve.x[-1])

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        return self._curve.height(x)

    def edges(self) -> tuple[float, ...]:
        """Return the two ends [m]; between them the slope is continuous."""
        return (0.0, self.length_m)
