"""Arrays and a table of contents as text for a page: each array once, the whole deflated and written in base64."""

import base64
import hashlib
import json
import zlib
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.kernel import layout as at

Numbers = npt.NDArray[Any]

GRID_BITS = 48
"""A road's heights [m] and rises [m a sample] are kept in parts of 2^-48 m, some millionths of a nanometre; a high road in larger ones.

A grid of 2^-44 moved an axle's fore-and-aft acceleration on a gentle course by 7e-10 of its range, this one by 4e-11.
"""

LARGEST_BITS = 49
"""Of the whole numbers on the grid: what differences make of them is still below 2^53, and exact as a page's number."""

PACKED = 7
"""How hard it is deflated: the hardest, 9, takes twice as long for one per cent less."""

DIFFERENCES = 4
"""How often neighbours are subtracted from one another before a road is deflated: on a grid that loses nothing, and little is left."""


class Store:
    """Collects arrays, and writes them out with whatever names them by their number."""

    def __init__(self) -> None:
        self._contents: list[dict[str, Any]] = []
        self._parts: list[bytes] = []
        self._known: dict[bytes, int] = {}
        self._size = 0
        self._road: tuple[Numbers, int] | None = None

    def add(self, array: Numbers) -> int:
        """Keep an array of float64 or int64; return its number, the same for an equal one."""
        kind = {"f": "float", "i": "whole"}[array.dtype.kind]
        return self._keep(kind, array.shape, np.ascontiguousarray(array, f"<{array.dtype.kind}8").tobytes())

    def add_road(self, road: Numbers) -> int:
        """Keep the samples of a road (2, samples, ROAD_ROWS) to within half of its grid."""
        # Most set-ups share one, the very same array.
        if self._road is not None and self._road[0] is road:
            return self._road[1]
        # Its cubics follow from heights and rises (`sim.lower.road.samples.cubics`).
        columns = np.stack([road[:, :, at.ROAD_HEIGHT], road[:, :, at.ROAD_BY_SAMPLE]])
        bits = min(GRID_BITS, LARGEST_BITS - int(np.frexp(np.abs(columns).max(initial=0.0))[1]))
        self._road = road, self._keep("road", road.shape, planes(columns, bits), bits=bits)
        return self._road[1]

    def _keep(self, kind: str, shape: tuple[int, ...], raw: bytes, **more: int) -> int:
        key = hashlib.sha256(f"{kind} {shape} {more} ".encode() + raw).digest()
        if key not in self._known:
            self._known[key] = len(self._contents)
            self._contents.append({"kind": kind, "shape": shape, "begin": self._size, **more})
            self._parts.append(raw)
            self._size += len(raw)
        return self._known[key]

    def written(self, contents: dict[str, Any]) -> str:
        """Return everything as text: the table of contents with the places of the arrays, then they themselves."""
        table = {**contents, "arrays": self._contents, "differences": DIFFERENCES}
        words = json.dumps(table, separators=(",", ":"), allow_nan=False).encode()
        # Numbers of eight bytes are to begin at a multiple of eight.
        words += b" " * (-len(words) % 8)
        whole = len(words).to_bytes(8, "little") + words + b"".join(self._parts)
        return base64.b64encode(zlib.compress(whole, PACKED)).decode()


def planes(columns: Numbers, bits: int) -> bytes:
    """Return numbers (..., n) on a grid of 2^-bits as what differences leave of them, byte by byte: all lowest ones first."""
    whole = np.rint(np.ldexp(columns, bits)).astype(np.int64)
    for _ in range(DIFFERENCES):
        whole = np.diff(whole, axis=-1, prepend=0)
    # Sign last, so that small numbers have bytes of zero whichever way they go.
    folded: Numbers = (whole << 1) ^ (whole >> 63)
    return folded.astype("<u8").reshape(-1, 1).view(np.uint8).T.tobytes()
