"""A band that reaches past what springs do, as the strap is taut in some tries: that is said beside it, and nothing where the strap hangs free."""

from types import SimpleNamespace

import pytest

from sim.show.report.after_fitting import lines, notes
from sim.study.after_fitting import DROP, FREQUENCY, Case, Reading

FREE, TAUT = (0.004, 0.027), (-0.0003, 0.024)
"""How far the axle drops to its strap [m], from and to."""


@pytest.mark.parametrize(
    ("drop", "rides", "said"),
    [
        (TAUT, (1.10, 2.47), True),
        # Held up a little later: its springs alone; by a rate that is 20 % off, sqrt(1.2) = 1.10.
        (FREE, (1.10, 2.47), False),
        (TAUT, (1.04, 1.25), False),
    ],
)
def test_a_strap_that_is_taut_in_some_tries_is_named_beside_the_band_that_it_widens(drop, rides, said):
    case = Case(
        ("cargo",), True, (Reading("front", DROP, "", 0.011, *drop), Reading("front", FREQUENCY, "", 1.14, *rides))
    )
    of_strap, of_ride = lines(case)
    assert of_ride.cause.startswith("strap, taut in some tries; ") == said
    assert "tries" not in of_strap.cause
    after = SimpleNamespace(cases=(case,), own=case, aboard=(), left_out=0, rests_within={})
    assert any("the front limit strap is taut as the truck stands" in text for text in notes(after)) == said  # type: ignore[arg-type]
