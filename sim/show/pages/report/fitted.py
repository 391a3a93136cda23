"""What is read on the truck after the work, as tables to fill in."""

from sim.show.pages.report.parts import Both, Row, Table
from sim.show.report.after_fitting import CAUTIONS, HEADS, heading, lines, notes
from sim.show.report.sheet_rows import BLANK
from sim.study.after_fitting import AfterFitting, Case


def after_tables(after: AfterFitting) -> list[Table]:
    """Return a table for each load case; how it is read stands below the last."""
    cases = [case for case in after.cases if not case.cannot]
    return [
        Table(
            f"After fitting. {heading(after, case)}", HEADS, _rows(case), first="on the truck",
            note=" ".join((*notes(after), *CAUTIONS)) if case is cases[-1] else "",
        )
        for case in cases
    ]  # fmt: skip


def _rows(case: Case) -> list[Row]:
    made: list[Row] = []
    axle = ""
    for line in lines(case):
        if line.axle != axle:
            axle = line.axle
            made.append(Row(f"{axle} axle".capitalize()))
        made.append(Row(line.what, [Both(*line.value), Both(*line.band), BLANK, line.cause]))
    return made
