"""What is said of how far set-ups came on a track."""

from types import SimpleNamespace

import pytest

from sim.describe.shown import shown_in
from sim.show.report.endured import behind


def runs(*driven_m, asked_m=20_000.0):
    return {
        str(i): SimpleNamespace(run=SimpleNamespace(metres=asked_m), distance_m=one) for i, one in enumerate(driven_m)
    }


@pytest.mark.parametrize(
    ("driven", "said"), [((19_500.0,), "98 %"), ((19_000.0, 19_500.0), "95 to 98 %"), ((18_990.0, 19_010.0), "95 %")]
)
def test_less_than_was_asked_for_is_said_with_its_share(driven, said):
    """19.5 of 20 km are 97.5 %, 19.0 are 95 %."""
    with shown_in("both"):
        assert behind(runs(*driven)).startswith(
            f"Of the 20.0 km (12.4 mi) that were asked for {said} were driven in that time"
        )


def test_what_is_hardly_less_is_not_said_and_a_stand_goes_nowhere():
    assert behind(runs(19_900.0, 20_000.0)) == ""
    assert behind(runs(0.0, asked_m=0.0)) == ""
