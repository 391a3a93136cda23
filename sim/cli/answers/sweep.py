"""What `jounce sweep --json` says: the best and the worst; every point is in swept.csv."""

from collections.abc import Sequence
from typing import Any

from sim.cli import answer
from sim.describe.files.scenario import Scenario
from sim.measure.measure import Measure
from sim.study.sweep.ends import Ends, end_of
from sim.study.sweep.sweep import Swept


def parts(
    scenario: Scenario, swept: Swept, ends: Ends, measures: Sequence[Measure], said: Sequence[str]
) -> dict[str, Any]:
    """Return parts of an answer: values in SI, places in the units in which they were asked for."""

    # As it was typed, not in SI: a place goes back into --vary, or into a set-up.
    def at(place: Sequence[int]) -> list[str]:
        return [f"{a.numbers[i]:g} {a.unit}".strip() for a, i in zip(swept.axes, place, strict=True)]

    rows = []
    for setup in swept.values:
        for measure in measures:
            for worst in (False, True):
                end = end_of(swept, measure, worst, setup)
                # Nothing of it could be run, or it never reached what is measured: no row, not one of nulls.
                if end is None:
                    continue
                # Only what was run again by itself has an error; the points of a block have none.
                again = ends.get((setup, measure.name, worst))
                error = {} if again is None else {"numerical_error": again.error}
                rows.append(
                    {
                        "setup": setup,
                        "measure": measure.name,
                        "which": "worst" if worst else "best",
                        "at": at(end.place),
                    }
                    | answer.number(end.value, measure.quantity, flagged=bool(end.flags), **error)
                )
    flags = [
        answer.flag_of(setup, flag) | {"at": at(place)}
        for setup, places in swept.flags.items()
        for place, own in places.items()
        for flag in own
    ]
    inputs = [{"path": a.path, "label": a.label, "unit": a.unit, "at": a.numbers} for a in swept.axes]
    return {
        "name": scenario.name, "question": scenario.question, "rows": {"best_and_worst": rows}, "verdict": said, "flags": flags,
        "more": {"inputs": inputs, "no_value": list(swept.failed)},
    }  # fmt: skip
