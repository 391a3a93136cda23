"""Which plots a comparison is drawn as; apart from drawing, which loads far more."""

from sim.describe.plot_names import usual
from sim.measure.comparison import Comparison


def asked(comparison: Comparison) -> list[str]:
    """Return the names of the plots that the scenario asks for, else the usual ones of its run."""
    # An empty list is an answer too: no plots.
    if comparison.scenario.show is not None:
        return list(comparison.scenario.show)
    runs = comparison.runs.values()
    return usual(any(run.drive is not None for run in runs), any(run.speed_m_per_s > 0.0 for run in runs))
