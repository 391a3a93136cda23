"""Set-ups through a track beside one another, for the pages of long runs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isnan

from sim.show.report.endured import History
from sim.study.endurance.history import Endured, SetHistory


@dataclass(frozen=True)
class Side:
    """Set-ups through a track, with their histories."""

    runs: Mapping[str, Endured]
    histories: Mapping[str, History]


def known(run: Endured) -> Iterator[SetHistory]:
    """Return the histories of the dampers whose heat is known."""
    # Without a tube in the file a damper has forces but no temperature.
    return (history for history in run.sets.values() if not isnan(history.hottest))
