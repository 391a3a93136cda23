"""The tuned set-up as files: a scenario that compares it, and what was found as tables."""

import os
from pathlib import Path
from typing import Any

from sim.describe.files.scenario import Scenario
from sim.describe.files.writer import as_yaml
from sim.describe.shown import show_parts
from sim.show.report.table_csv import Table
from sim.study.tuning.session import Answer

HEAD = "# {title}: the scenario of {source} with what `jounce tune` found as one more set-up. Made by jounce.\n"


def write_scenario(scenario: Scenario, answer: Answer, name: str, folder: Path, path: Path) -> None:
    """Write the scenario with the tuned set-up.

    Parameters
    ----------
    name : str
        Of the tuned set-up.
    folder : Path
        Where the file will be found, from which its paths lead to vehicle and course.
    path : Path
        Where it is written.
    """
    data = dict(scenario.document.data)  # as it was read: the file may be another by now
    # It would be tuned a second time from another start; the file is for comparing.
    data.pop("tune", None)
    there = scenario.path.parent
    data["vehicle"] = _from(folder, there / data["vehicle"])
    data["run"] = _moved(data["run"], there, folder)
    setups = {key: dict(changes or {}) for key, changes in data["setups"].items()}
    while len(setups) > 7:  # a scenario has eight at most
        setups.pop(next(key for key in reversed(setups) if key != answer.tuning.start))
    # Written as changes of the file, not as a finished vehicle: a person can read what was changed and edit it.
    setups[name] = {**setups[answer.tuning.start], **answer.changes}
    data["setups"] = setups
    # Compared by itself it gives the figures that the tuning said: those of settling depend on what is judged against.
    data["reference"] = answer.tuning.start
    # In one line: a name with a line break would end the comment in the middle.
    head = HEAD.format(title=" ".join(scenario.name.split()), source=scenario.path.name)
    text = as_yaml(data)
    path.write_text(head + text, encoding="utf-8")


def _moved(run: Any, there: Path, folder: Path) -> Any:
    """Return a run whose files are named from another folder."""
    if not isinstance(run, dict):
        return run
    if isinstance(run.get("stages"), list):
        return {**run, "stages": [_moved(stage, there, folder) for stage in run["stages"]]}
    course = run.get("course")
    if isinstance(course, str):
        return {**run, "course": _from(folder, there / course)}
    # A course written out in the scenario may still lay surveyed profiles from files.
    if isinstance(course, dict) and isinstance(course.get("items"), list):
        items = [
            {**item, "file": _from(folder, there / item["file"])} if isinstance(item, dict) and "file" in item else item
            for item in course["items"]
        ]
        return {**run, "course": {**course, "items": items}}
    return run


def _from(folder: Path, path: Path) -> str:
    try:
        return Path(os.path.relpath(path.resolve(), folder.resolve())).as_posix()
    except ValueError:  # on another drive
        return path.resolve().as_posix()


def _number(value: float, quantity: str) -> str:
    """Return a value in the workshop's metric unit; nothing if there is none."""
    return f"{show_parts(value, quantity)[0][0]:.6g}" if value == value else ""


def _unit(quantity: str) -> str:
    return show_parts(1.0, quantity)[0][1]


def write_tables(answer: Answer, folder: Path) -> None:
    """Write moves and measures, the trade-off, and what single changes are worth."""
    kinds = {m.name: m.quantity for m in answer.judge.measures}
    with (folder / "tuned.csv").open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(["what", "unit", "now", "tuned", "as good from", "to"])
        # Empty if no set-up keeps every limit: there is no optimum whose flatness one could ask for.
        ranges = {f.move.name: f for f in answer.flat}
        for move, value in zip(answer.tuning.moves, answer.trial.values, strict=True):
            ends = ranges.get(move.name)
            row = [move.now, value, *((ends.low, ends.high) if ends else ())]
            table.writerow([f"move: {move.name}", _unit(move.quantity), *(_number(v, move.quantity) for v in row)])
        for place, case in enumerate(answer.tuning.cases):
            for column, name in enumerate(answer.judge.names):
                pair = (answer.start.values[place, column], answer.best.values[place, column])
                table.writerow([f"{case.name}: {name}", _unit(kinds[name]), *(_number(v, kinds[name]) for v in pair)])
            # Faults as the search saw them; those of the runs in full precision are in the folder of each case.
            table.writerow([f"{case.name}: flagged", "", *(one.faults[place] for one in (answer.start, answer.best))])
    if answer.front:
        with (folder / "trade_off.csv").open("w", encoding="utf-8", newline="") as file:
            table = Table(file)
            wanted = answer.tuning.asked.trade_off
            heads = [f"{m.name} [{_unit(m.quantity)}]" for m in answer.tuning.moves]
            table.writerow([*(f"{name} [{_unit(kinds[name])}]" for name in wanted), *heads])
            for trial, tried in answer.front:
                # One figure over all cases: their weighted mean or the worst, as the scenario's goal is judged.
                worth = [_number(answer.judge.plain(name, tried), kinds[name]) for name in wanted]
                values = zip(answer.tuning.moves, trial.values, strict=True)
                table.writerow([*worth, *(_number(v, m.quantity) for m, v in values)])
    if answer.singles:
        with (folder / "single_changes.csv").open("w", encoding="utf-8", newline="") as file:
            table = Table(file)
            table.writerow(
                ["move", "unit", "to", "goal better by [%]", "at least", "at most", "keeps every limit", "flagged"]
            )
            for one in answer.singles:
                shares = (f"{100 * v:.3g}" for v in (one.gain, one.least, one.most))
                quantity = one.move.quantity
                kept = "yes" if one.kept else "no"
                table.writerow(
                    [one.move.name, _unit(quantity), _number(one.value, quantity), *shares, kept, one.faults]
                )
