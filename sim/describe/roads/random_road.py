"""Random: an even or rough road by its ISO 8608 class, the same for the same seed on every machine."""

from functools import cached_property
from typing import Annotated, Literal, Self

import numpy as np
from annotated_types import Ge, Gt, Le
from pydantic import Field, model_validator

from sim.describe.roads.array import Array
from sim.describe.roads.hermite import Hermite
from sim.describe.roads.laid import LONGEST_M, Laid, seed_of
from sim.describe.shown import show
from sim.describe.units import Length

REFERENCE = 0.1
"""Spatial frequency n0 [1/m] at which ISO 8608 states a road's density."""

CLASSES = "ABCDEFGH"

FINEST = 20.0
"""Points of the profile to the shortest wave: cubics between them are within 3e-5 of its height."""

TAPER_M = 6.0
"""Length over which the road grows out of level ground, and back into it [m]; a quarter of it at most."""


def class_density(road_class: str) -> float:
    """Return the mean displacement density Gd(n0) [m³] of an ISO 8608 class: 16e-6 m³ for A, four times as much for the next."""
    # Geometric means of the classes (ISO 8608); their limits lie a factor of two either side.
    return 16e-6 * 4.0 ** CLASSES.index(road_class)


class RandomRoad(Laid):
    """A profile with the spectrum Gd(n) = Gd(n0) (n/n0)^-2 of ISO 8608 between two wavelengths.

    Notes
    -----
    A sum of cosines on an even grid of frequencies, amplitude sqrt(2 Gd dn), phases from the seed (NumPy's PCG64, whose
    stream is the same everywhere). Outside the two wavelengths there is nothing.
    """

    kind: Literal["random"]
    iso_class: Literal["A", "B", "C", "D", "E", "F", "G", "H"] = Field(
        description="ISO 8608: A a new motorway, C a worn road, E a rough track, H hardly passable."
    )
    seed: Annotated[int, Ge(0), Le(2**32 - 1)] = Field(
        default=1, description="another number, another road of its kind"
    )
    length: Annotated[Length, Gt(1.0), Le(LONGEST_M)] = Field(description="along the road")
    # Both defaults: 0.011 to 2.83 cycles per metre, the band of ISO 8608 (from memory).
    longest_wave: Annotated[Length, Gt(0.0), Le(LONGEST_M)] = Field(
        default=90.9, description="longer waves are left out", validate_default=False
    )
    shortest_wave: Annotated[Length, Ge(0.05), Le(LONGEST_M)] = Field(
        default=0.353, description="shorter ones are left out; the tyre rolls over them", validate_default=False
    )

    @model_validator(mode="after")
    def _has_a_band(self) -> Self:
        if not self.shortest_wave < 0.5 * self.longest_wave:  # within less than an octave it is a wave and not a road
            raise ValueError(
                f"its shortest wave of {show(self.shortest_wave, 'length')} must be less than half of its longest one of "
                f"{show(self.longest_wave, 'length')}"
            )
        return self

    @property
    def length_m(self) -> float:
        """Length along the road [m]."""
        return self.length

    @cached_property
    def _curve(self) -> Hermite:
        """The profile, worked out once."""
        x, z, slope = waves(
            class_density(self.iso_class), self.length, self.longest_wave, self.shortest_wave, self.seed
        )  # fmt: skip
        # A quarter at most, so that a short road too has a middle of full height.
        grown = min(TAPER_M, 0.25 * self.length)
        near = np.clip(np.minimum(x, self.length - x) / grown, 0.0, 1.0)
        share = near * near * (3.0 - 2.0 * near)  # smooth at both ends: its slope is zero there
        # the product rule: the taper has a slope too
        steeper = 6.0 * near * (1.0 - near) / grown * np.where(x < 0.5 * self.length, 1.0, -1.0)
        return Hermite(x, share * z, share * slope + steeper * z)

    @property
    def words(self) -> str:
        """What it is, in few words."""
        return f"random of class {self.iso_class}"

    def height_at(self, x: Array) -> Array:
        """Return the height [m] at distances `x` [m] from the start of the shape."""
        return self._curve.height(x)

    @property
    def is_drawn(self) -> bool:
        """It is."""
        return True

    def anew(self, number: int) -> Self:
        """Return another road of its class, drawn by a number."""
        other = self.model_copy(update={"seed": seed_of(self.seed, number)})
        other.__dict__.pop("_curve", None)  # what was worked out is of this one
        return other

    def edges(self) -> tuple[float, ...]:
        """Return the two ends [m]; between them the slope is continuous."""
        return (0.0, self.length_m)


def waves(
    density_m3: float, length_m: float, longest_m: float, shortest_m: float, seed: int
) -> tuple[Array, Array, Array]:
    """Return places, heights [m] and slopes of a random road of the spectrum Gd(n0) (n/n0)^-2.

    Parameters
    ----------
    density_m3 : float
        Gd at n0 = 0.1 cycles per metre [m³], one-sided.
    length_m, longest_m, shortest_m : float
        Length of the road, and of the waves it holds [m].
    seed : int
        Of the phases.
    """
    # At least one longest wave, or a short road could not hold it.
    period = max(length_m, longest_m)
    count = int(np.ceil(length_m * FINEST / shortest_m))
    # The spacing divides the road, so that it ends on a point.
    spacing = length_m / count
    total = int(np.ceil(period / spacing))
    dn = 1.0 / (total * spacing)
    number = np.arange(total // 2 + 1)
    n = number * dn
    # a wave that rounding puts just outside is still of the band
    inside = (n >= 1.0 / longest_m * (1 - 1e-9)) & (n <= 1.0 / shortest_m * (1 + 1e-9))
    # The band's share of the first and the last line is what keeps a short road's height right.
    amplitude = np.zeros(n.size)
    amplitude[inside] = np.sqrt(2.0 * density_m3 * (REFERENCE / n[inside]) ** 2 * dn)
    phase = np.random.Generator(np.random.PCG64(seed)).uniform(0.0, 2.0 * np.pi, n.size)
    # Heights and slopes by one transform each; a sum of cosines at every point would take minutes for a long road.
    spectrum = 0.5 * amplitude * np.exp(1j * phase) * total
    z = np.fft.irfft(spectrum, total)[: count + 1]
    slope = np.fft.irfft(2j * np.pi * n * spectrum, total)[: count + 1]
    if z.size < count + 1:  # the road is as long as its period, so its end is its start
        z, slope = np.append(z, z[0]), np.append(slope, slope[0])
    return spacing * np.arange(count + 1, dtype=np.float64), z, slope
