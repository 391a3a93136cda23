"""What `jounce tune --json` says: what to set, what it brings by case, and whether every limit holds."""

from collections.abc import Mapping
from math import isnan
from typing import Any

from sim.cli import answer
from sim.describe.files.scenario import Scenario
from sim.show.report.tuning_table import broken_in_full, first
from sim.show.report.tuning_words import sentences
from sim.study.tuning.confirming import Confirmed
from sim.study.tuning.session import Answer


def parts(scenario: Scenario, tuned: Answer, compared: Mapping[str, Confirmed], doubts: list[str]) -> dict[str, Any]:
    """Return parts of an answer: before and after of every goal and limit in full precision, in SI."""
    judge = tuned.judge
    limits = {bound.measure.name: bound for bound in judge.bounds}
    rows = []
    for case, one in compared.items():
        for measure in judge.measures:
            values = [setup.get(measure.name) for setup in one.values.values()]
            # A measure need not exist in every case.
            if any(value is None or isnan(value.value) for value in values):
                continue
            # No value is None any more; the type checker does not see it.
            before, after = (
                answer.number(v.value, measure.quantity, numerical_error=v.error) for v in values if v is not None
            )
            bound = limits.get(measure.name)
            limit = (
                None
                if bound is None
                else answer.number(bound.value, measure.quantity) | {"is": "most" if bound.most else "least"}
            )
            rows.append(
                {"case": case, "measure": measure.name, "goal": measure.name in judge.tune.goal, "limit": limit}
                | {"now": before, "tuned": after}
            )
    flags = [
        answer.flag_of(f"{case}: {setup}", flag)
        for case, one in compared.items()
        for setup in one.values
        for flag in one.flags_of(setup)
    ]
    return {
        "name": scenario.name, "question": scenario.question, "reference": tuned.tuning.start, "rows": {"goals_and_limits": rows},
        "verdict": [*broken_in_full(tuned, compared), first(tuned), *sentences(tuned), *doubts], "flags": flags,
        # With the seed, as it may be the file's: with it the same search comes out again.
        "more": {"changes": tuned.changes, "reached": tuned.reached, "tried": tuned.tries, "seed": tuned.tuning.asked.seed},
    }  # fmt: skip
