"""A long run's channels without the rest of its trace, so that two of them fit into memory."""

from dataclasses import fields, replace
from typing import Any, TypeVar

import numpy as np

from sim.integrate.result import Run
from sim.integrate.traces import AxleTrace, DamperTrace, DriveTrace, WheelTrace

Part = TypeVar("Part")

LONG = 100_000
"""Outputs of a run from which on it is worth a copy."""


def apart(part: Part) -> Part:
    """Return a run, or a part of one, whose channels are arrays of their own.

    As views each of them would keep the whole trace, of which a third is nobody's channel.
    """
    own: Any = part
    if isinstance(part, np.ndarray):
        own = part if part.base is None else part.copy()
    elif isinstance(part, dict):
        own = {name: apart(value) for name, value in part.items()}
    elif isinstance(part, Run | AxleTrace | DamperTrace | DriveTrace | WheelTrace):
        own = replace(part, **{one.name: apart(getattr(part, one.name)) for one in fields(part)})
    return own  # type: ignore[no-any-return]
