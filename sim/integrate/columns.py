"""The channels of a run as flat columns, by the names that its fields have."""

from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def columns(record: Any, size: int, before: str = "") -> Iterator[tuple[str, Array]]:
    """Yield every array (size,) of a record and of what it holds, with its dotted name: `front.dampers.main.force_n`.

    record : a dataclass or a mapping; what is no channel, and the same run at another step, is left out.
    """
    if is_dataclass(record):
        items = [(one.name, getattr(record, one.name)) for one in fields(record) if one.name != "coarse"]
    else:
        items = list(record.items())
    for name, value in items:
        if isinstance(value, np.ndarray):
            # One number an output: constants, and channels that nobody kept (no numbers at all), are no columns.
            if value.shape == (size,):
                yield before + name, value
        elif isinstance(value, Mapping) or (is_dataclass(value) and not isinstance(value, type)):
            yield from columns(value, size, f"{before}{name}.")
