"""What a piece of hours of track leaves: its time history as the kernel wrote it, and of that at once what everyone asks for."""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.integrate.traces import Array
from sim.kernel import layout as at
from sim.kernel.kept import gather

OF_BODY_AND_AXLES = (
    at.PITCH, at.COORDINATES + at.PITCH, at.TRACE_RATE + at.Z, at.TRACE_RATE + at.PITCH,
    at.JOUNCE, at.JOUNCE + 2, at.TRACE_TYRE, at.TRACE_TYRE + 1,
)  # fmt: skip
"""Channels that are looked at sample by sample in every piece, besides those of dampers."""


@dataclass(frozen=True)
class Ridden:
    """A time history (outputs, channels) in the kernel's order, with some channels taken out of it, and how far each went.

    Attributes
    ----------
    trace : (outputs, channels) array
    columns : (n, outputs) array
        The channels that are asked for sample by sample, each in one stretch of memory.
    place : dict of int to int
        Which of the columns is a channel's.
    extremes : (2, channels) array
        The least and the greatest of each channel.
    """

    trace: Array
    columns: Array
    place: dict[int, int]
    extremes: Array

    @classmethod
    def of(cls, setup: Lowered, trace: Array, columns: Array | None = None) -> "Ridden":
        """Go through a time history once.

        columns : memory for its columns, if there is some of `columns_of` rows; it is then held as long as this.
        """
        wanted = channels_of(setup)
        if columns is None:
            columns = np.empty((wanted.size, len(trace)))
        extremes = np.empty((2, trace.shape[1]))
        gather(trace, wanted, columns, extremes[0], extremes[1])
        place = {channel: number for number, channel in enumerate(wanted.tolist())}
        return cls(trace, columns[:, : len(trace)], place, extremes)

    def __len__(self) -> int:
        return len(self.trace)

    def channel(self, number: int) -> Array:
        """Return a channel (outputs,), sample by sample."""
        place = self.place.get(number)
        return self.trace[:, number].copy() if place is None else self.columns[place]

    def least(self, number: int) -> float:
        """Return a channel's least value."""
        return float(self.extremes[0, number])

    def most(self, number: int) -> float:
        """Return a channel's greatest value."""
        return float(self.extremes[1, number])

    @property
    def ends(self) -> Array:
        """The first and the last output (2, channels)."""
        return self.trace[[0, -1]]


def line_channel(number: int, channel: int) -> int:
    """Return which channel of a time history is that of a line, by its number in the set-up."""
    return at.TRACE_LINES + number * at.LINE_CHANNELS + channel


def channels_of(setup: Lowered) -> npt.NDArray[np.int64]:
    """Return the channels that are taken out of each piece: of body and axles, and what dampers work."""
    dampers = [number for number, line in enumerate(setup.lines) if line.role == "damper"]
    works = [line_channel(number, channel) for number in dampers for channel in (at.LINE_LAW, at.LINE_SPEED)]
    return np.array([*OF_BODY_AND_AXLES, *works], np.int64)
