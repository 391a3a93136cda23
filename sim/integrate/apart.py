"""A long run's channels without the rest of its trace, so that two of them fit into memory."""

from dataclasses import fields, replace
from typing import TypeVar

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
    if isinstance(part, np.ndarray):
        return part if part.base is None else part.copy()  # type: ignore[return-value]
    if isinstance(part, dict):
        return {name: apart(value) for name, value in part.items()}  # type: ignore[return-value]
    if isinstance(part, Run | AxleTrace | DamperTrace | DriveTrace | WheelTrace):
        return replace(part, **{one.name: apart(getattr(part, one.name)) for one in fields(part)})
    return part
