"""Laws whose two sides are written apart, as `compression` and `rebound`."""

from typing import Any, TypeVar

from sim.describe.parts.dampers.law import DamperLaw
from sim.describe.units import SI

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
