"""Arrays in numbered series that several processes want, each worked out by one of them and read by the others.

They lie as files in a folder that goes with the command. Nobody waits for another process: who finds that one is at a number does the
next ones meanwhile, and then that number after all if it is still not there. So what a process that was killed had begun is missed by
nobody, and how many there are changes the time alone: a number's array is the same whoever works it out.
"""

import secrets
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from sim import machine

Array = npt.NDArray[np.float64]

MOST_BYTES = 200_000_000
"""So much lies in a folder at most; then each process works out what it wants. Temporary files are memory on many systems."""

AHEAD = 2
"""How far ahead of a number that another process is at one is begun."""

COUNT, UNIT = "count", 1 << 16
"""Name of a file that has one byte for each so many that are kept."""


@dataclass(frozen=True)
class Shared:
    """Series of arrays of one folder, for every process that has this object.

    Attributes
    ----------
    folder : Path
        Where they lie; it is there.
    """

    folder: Path

    def get(
        self, series: str, number: int, shape: tuple[int, ...], make: Callable[[int], Array], ahead: int = AHEAD
    ) -> Array:
        """Return the array of a number.

        Parameters
        ----------
        series : str
            Name of its file without the number: says all that the arrays depend on but their number.
        number : int
        shape : tuple of int
            Of all arrays of the series.
        make : callable
            Works out the array of any number of the series.
        ahead : int
            How many of the numbers that follow will be wanted too.
        """
        if machine.PLAIN:
            return make(number)
        known = self._read(series, number, shape)
        if known is None and not self._is_full() and not self._begun(series, number):
            # Another process is at it.
            other = next((n for n in range(number + 1, number + 1 + ahead) if self._begun(series, n)), None)
            if other is not None:
                self._write(series, other, make(other))
                known = self._read(series, number, shape)
        if known is None:
            known = make(number)
            if not self._is_full():
                self._write(series, number, known)
        return known

    def _place(self, series: str, number: int) -> Path:
        return self.folder / f"{series}.{number}"

    def _begun(self, series: str, number: int) -> bool:
        """Tell that nobody has begun with a number, and that it is begun by this process now."""
        try:
            # An empty file says so, until what it is for takes its place.
            self._place(series, number).open("xb").close()
        except OSError:
            return False
        return True

    def _read(self, series: str, number: int, shape: tuple[int, ...]) -> Array | None:
        try:
            return np.fromfile(self._place(series, number)).reshape(shape)
        except (OSError, ValueError):  # none, an empty one, or a disk that fails
            return None

    def _write(self, series: str, number: int, array: Array) -> None:
        new = self.folder / f"{series}.{number}.{secrets.token_hex(4)}"
        # Whoever cannot read it works it out.
        with suppress(OSError):
            with new.open("xb") as file:
                array.tofile(file)
            new.replace(self._place(series, number))  # in one step: nobody ever reads half an array
            with (self.folder / COUNT).open("ab") as count:
                count.write(bytes(array.nbytes // UNIT + 1))

    def _is_full(self) -> bool:
        """Tell whether no more is kept."""
        try:
            # By its length alone, to which all processes add: nobody need read it.
            return UNIT * (self.folder / COUNT).stat().st_size >= MOST_BYTES
        except OSError:
            return False
