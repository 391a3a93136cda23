"""How the server sends what it has worked out: one frame of text and numbers, and an id of what a page may have already."""

import json
from collections.abc import Mapping
from hashlib import blake2b
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float32]


def id_of(said: Mapping[str, Any], arrays: Mapping[str, Array]) -> str:
    """Return an id of what is said and drawn, which nothing else has, of this server or of one that a page knew before."""
    digest = blake2b(json.dumps(said, allow_nan=False).encode(), digest_size=12)
    for name, values in arrays.items():
        digest.update(name.encode() + values.tobytes())
    return digest.hexdigest()


def with_id(ground: Mapping[str, Any]) -> dict[str, Any]:
    """Return what is drawn of the ground with an id of it."""
    said = {key: ground[key] for key in ("from_m", "step_m", "climb_rad")}
    return {**ground, "id": id_of(said, {"height_m": ground["height_m"]})}


def packed(said: Mapping[str, Any], arrays: Mapping[str, Array]) -> bytes:
    """Return one frame of the socket: the length of its text (uint32), the text as JSON, then float32 numbers, all little-endian.

    The text says under `arrays` how long each array is, in the order in which they follow; the numbers begin at a multiple of
    four bytes.
    """
    whole = {**said, "arrays": [[name, len(values)] for name, values in arrays.items()]}
    text = json.dumps(whole, allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    return b"".join(
        [len(text).to_bytes(4, "little"), text, *(np.ascontiguousarray(v, "<f4").tobytes() for v in arrays.values())]
    )
