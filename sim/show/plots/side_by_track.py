"""Set-ups through a track beside one another, for the pages of long runs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isnan

from sim.show.report.endured import History
from sim.study.endurance.history import Endured, SetHistory

NO_TUBE = "How hot the dampers get, and whether they fade, is not known: none has a tube in the file"
"""The finding where no damper has one: forces alone say nothing of oil and metal."""

GIVE_A_TUBE = "give each set one, such as front.dampers.main.tube: {construction: twin_tube, bore: 35 mm, outside_diameter: 60 mm, length: 330 mm, rod: 15 mm}"
"""What to do about it; the sizes are an example."""

LEFT_OF_ITS_FORCE = "of the force on its sheet left when hottest"
"""Words of the sentence that says how far they fade."""


@dataclass(frozen=True)
class Side:
    """Set-ups through a track, with their histories."""

    runs: Mapping[str, Endured]
    histories: Mapping[str, History]


def known(run: Endured) -> Iterator[SetHistory]:
    """Return the histories of the dampers whose heat is known."""
    # Without a tube in the file a damper has forces but no temperature.
    return (history for history in run.sets.values() if not isnan(history.hottest))
