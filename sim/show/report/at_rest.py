"""What counts as settled, in words beside the figures: the band about rest, the same for all set-ups that are compared."""

from collections.abc import Iterable

from sim.describe.shown import show_enough
from sim.measure.comparison import Comparison
from sim.measure.free_motion import SIGNALS
from sim.measure.measure import Measure
from sim.measure.references import reference_of
from sim.measure.rest_band import ENDINGS
from sim.show.report.naming import listed, quoted

QUANTITIES = {"pitch": "angle"}
"""Of motions that are no height."""


def rest_words(comparison: Comparison, shown: Iterable[Measure]) -> str:
    """Return within what all set-ups count as settled; empty where no figure that is shown asks, or each is judged by itself."""
    reference = reference_of(comparison)
    band = comparison.runs[reference].rests_within
    names = [one.name for one in shown if one.name.endswith(ENDINGS)]
    wanted = [one for one in SIGNALS if any(name.startswith(f"{one.name}_") for name in names)]
    if not band:
        return ""
    said = [
        f"{one.label[0].lower()}{one.label[1:]} within {show_enough(band[one.name], QUANTITIES.get(one.name, 'length'))}"
        for one in wanted
        if one.name in band
    ]
    if not said:
        return ""
    return f"Settled, the same for all: {listed(said)} of where it comes to rest, which is 5 % of the largest swing of {quoted(reference)}."
