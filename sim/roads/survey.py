"""Survey: a measured road profile from a CSV file."""

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, PrivateAttr, StringConstraints, ValidationInfo, model_validator

from sim.roads.array import Array
from sim.roads.hermite import Hermite, monotone_slopes
from sim.roads.laid import Laid
from sim.roads.survey_csv import read_survey


class Survey(Laid):
    """A profile through surveyed points, by cubics that make no new highs or lows.

    Notes
    -----
    The file's first point becomes the start of the shape, at the height of the road before it.
    Its path is read from the folder that the validation context names:
    ``Course.model_validate(data, context={"folder": path_of_the_course_file.parent})``;
    without one, from the current folder.
    """

    kind: Literal["survey"]
    file: Annotated[str, StringConstraints(min_length=1, max_length=500)] = Field(
        description="CSV file, from the course file's folder, with a header like 'distance [m],height [mm]'"
    )
    _curve: Hermite = PrivateAttr()

    @model_validator(mode="after")
    def _read(self, info: ValidationInfo) -> Self:
        folder = Path((info.context or {}).get("folder", "."))
        if "\0" in self.file:
            raise ValueError("a file name cannot hold a null character")
        x, z = read_survey(folder / self.file, self.file)
        self._curve = Hermite(x, z, monotone_slopes(x, z))
        return self

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
