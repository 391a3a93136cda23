"""Laws whose two sides are written apart, as `compression` and `rebound`."""

from typing import Any, TypeVar

from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.quantity import SI

Two = TypeVar("Two", bound=DamperLaw)


def two_sided(law: Two, compression: float, rebound: float) -> Two:
    """Return a law with fields `compression` and `rebound`, the forces of each multiplied by a factor of its own."""
    # Made anew, not copied: a table keeps what it has worked out of its rows.
    own: dict[str, Any] = {name: getattr(law, name) for name in law.model_fields_set}
    own |= {
        "compression": law.scaled(compression).__dict__["compression"],
        "rebound": law.scaled(rebound).__dict__["rebound"],
    }
    return type(law).model_validate(own, context=SI)


SENSES = {"compression": 1.0, "rebound": -1.0}
"""Sides of a curve by their keys, with the sense of their speeds and forces."""

SLOWEST_PULLED = 0.01
"""Least speed [m/s] to which a knee is pulled: slower is stiction."""


def written(value: float, unit: str) -> str:
    """Return a number as a file has it, to four digits."""
    return f"{value:.4g} {unit}" if value < 1e4 else f"{value:.0f} {unit}"
