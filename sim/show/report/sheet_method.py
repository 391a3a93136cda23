"""The end of the order sheet: how the damper is to be tested, and what comes back with it."""

from math import isfinite, pi

from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.shown import system
from sim.show.report.sheet_rows import Rows
from sim.study.fit import Fit

STROKES = (0.100, 0.080, 0.050, 0.025)
"""Strokes of cranks [m] that machines have; customary."""

SHARE = 0.6
"""Share of a damper's stroke that a test may use, so that it stays clear of both ends."""


def add_test(made: Rows, fit: Fit) -> None:
    """Add how it must be tested."""
    test = "8 Test"
    stroke = fit.extended - fit.collapsed
    crank = next((s for s in STROKES if s <= SHARE * stroke), STROKES[-1]) if isfinite(stroke) else STROKES[0]
    # The greatest speed of a crank with a long rod, at mid-stroke (`testing.crank_speed`).
    turns = ", ".join(f"{60.0 * v / (pi * crank):.0f}" for v in TEST_SPEEDS)
    made.add_value(test, "crank's stroke, mid-stroke", crank, "length")
    made.add(test, "crank's rpm for those speeds", turns)
    # Oil thins as it warms: loops at two temperatures are two dampers.
    made.add(
        test,
        "temperature",
        *(("68 +/- 9 °F",) if system() == "inch" else ("20 +/- 5 °C", "68 °F" if system() == "both" else "")),
    )
    # First strokes fill the valves and free the seals; common practice, no source.
    made.add(test, "run-in before reading", "at least 5 strokes")
    # Force at mid-stroke alone hides lag and foaming, which only the loop shows.
    made.add(test, "read", "peak speed, full loops")
    made.add(test, "gas force", "subtracted; state it")


def add_evidence(made: Rows) -> None:
    """Add tolerance of pairs, marking, spares, and what must come back."""
    marked = "9 Match and mark"
    # A pair that differs makes the truck roll and pull, which a half-car does not see.
    made.add(marked, "pairs within (usual 5 %)")
    made.add(marked, "left, right, axle marked")
    made.add(marked, "spare valves wanted")
    made.add(marked, "serviceable: yes / no")
    made.add(marked, "adjuster range, setting")
    back = "10 Comes back with it"
    made.add(back, "loop and force-speed print")
    made.add(back, "date, gas, serial numbers")
