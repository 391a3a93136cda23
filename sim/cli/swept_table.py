"""What `jounce sweep` prints of its runs: the finding, and a table of best and worst for each measure."""

import sys
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.study.sweep.ends import Ends
    from sim.study.sweep.sweep import Swept


def printed(swept: "Swept", ends: "Ends", measures: list[Any], found: str) -> None:
    """Print what a sweep comes to, then a table for each measure: where it is best and worst with each set-up.

    Parameters
    ----------
    swept : Swept
    ends : Ends
    measures : list of Measure
    found : str
        What it comes to, in a sentence.
    """
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    from sim.show.pages.called import called
    from sim.show.report.words import words_of
    from sim.study.sweep.ends import best_and_worst, doubt, step_in_words

    # rich takes 80 letters where there is no terminal, which folds the figures.
    console = Console(highlight=False, width=None if sys.stdout.isatty() else 112)
    # Nobody reads a table of a sweep for its answer: the sentence of the picture comes first.
    console.print(Text(found, style="bold"))
    # "At 4 kN s/m" alone does not say of what.
    for moved in swept.axes:
        # A bare number's words begin with what it is of, which stands before it here.
        low, high = (
            moved.words(float(end)) if moved.unit else f"{end:g}" for end in (moved.numbers.min(), moved.numbers.max())
        )
        console.print(
            Text(f"Moved: {moved.called or called(moved.path)}, from {low} to {high} in {moved.numbers.size} points.")
        )
    if step := step_in_words(swept, measures):
        console.print(Text(step))
    console.print()
    for measure in measures:
        table = Table(show_edge=False, pad_edge=False, box=None)
        for title in (measure.label, "best", "worst", "numerical error"):
            table.add_column(title, overflow="fold")
        rows = best_and_worst(swept, measure)
        for *row, _ in rows:
            table.add_row(*map(Text, (*row, doubt(ends, row[0], measure))))
        console.print(table)
        # Beneath the table, not in a column: there they would fold the figures.
        for setup, _, _, faults in rows:
            if faults:
                console.print(Text(f"  flagged, {setup}: {faults}"))
        console.print()
    if words := words_of(measure.label for measure in measures):
        console.print(Text(words))
