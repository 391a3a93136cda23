"""The tuned set-up as files: a scenario that compares it, and what was found as tables."""

import csv
import os
from pathlib import Path
from typing import TYPE_CHECKING, Any

import yaml

from sim.files.reader import read
from sim.units import show_parts

if TYPE_CHECKING:
    from sim.files.scenario import Scenario
    from sim.tuning.session import Answer

HEAD = "# {title}: the scenario of {source} with what `jounce tune` found as one more set-up. Made by jounce.\n"


def write_scenario(scenario: "Scenario", answer: "Answer", name: str, folder: Path, path: Path) -> None:
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
    data = dict(read(scenario.path).data)
    data.pop("tune", None)
    there = scenario.path.parent
    data["vehicle"] = _from(folder, there / data["vehicle"])
    data["run"] = _moved(data["run"], there, folder)
    setups = {key: dict(changes or {}) for key, changes in data["setups"].items()}
    while len(setups) > 7:  # a scenario has eight at most
        setups.pop(next(key for key in reversed(setups) if key != answer.tuning.start))
    setups[name] = {**setups[answer.tuning.start], **answer.changes}
    data["setups"] = setups
    head = HEAD.format(title=" ".join(scenario.name.split()), source=scenario.path.name)
    text = yaml.safe_dump(data, sort_keys=False, allow_unicode=True, width=120)
    path.write_text(head + text, encoding="utf-8")


def _moved(run: Any, there: Path, folder: Path) -> Any:
    """Return a run whose files are named from another folder."""
    if not isinstance(run, dict):
        return run
    course = run.get("course")
    if isinstance(course, str):
        return {**run, "course": _from(folder, there / course)}
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


def write_tables(answer: "Answer", folder: Path) -> None:
    """Write moves and measures, the trade-off, and what single changes are worth."""
    names = answer.judge.names
    units = {m.name: show_parts(1.0, m.quantity)[0] for m in answer.judge.measures}
    with (folder / "tuned.csv").open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["what", "unit", "now", "tuned", "as good from", "to"])
        ranges = {f.move.name: f for f in answer.flat}
        for move, value in zip(answer.tuning.moves, answer.trial.values, strict=True):
            factor, unit = show_parts(1.0, move.quantity)[0]
            ends = ranges.get(move.name)
            row = [move.now, value, *((ends.low, ends.high) if ends else ())]
            table.writerow([f"move: {move.name}", unit, *(f"{v * factor:.6g}" for v in row)])
        for place, case in enumerate(answer.tuning.cases):
            for column, name in enumerate(names):
                factor, unit = units[name]
                pair = (answer.start.values[place, column], answer.best.values[place, column])
                table.writerow([f"{case.name}: {name}", unit, *(f"{v * factor:.6g}" if v == v else "" for v in pair)])
    if answer.front:
        with (folder / "trade_off.csv").open("w", encoding="utf-8", newline="") as file:
            table = csv.writer(file, lineterminator="\n")
            wanted = answer.tuning.asked.trade_off
            heads = [f"{m.name} [{show_parts(1.0, m.quantity)[0][1]}]" for m in answer.tuning.moves]
            table.writerow([*(f"{name} [{units[name][1]}]" for name in wanted), *heads])
            for trial, found in answer.front:
                worth = [f"{answer.judge.plain(name, found) * units[name][0]:.6g}" for name in wanted]
                values = zip(answer.tuning.moves, trial.values, strict=True)
                table.writerow([*worth, *(f"{v * show_parts(1.0, m.quantity)[0][0]:.6g}" for m, v in values)])
    if answer.singles:
        with (folder / "single_changes.csv").open("w", encoding="utf-8", newline="") as file:
            table = csv.writer(file, lineterminator="\n")
            table.writerow(["move", "unit", "to", "goal better by [%]", "at least", "at most"])
            for one in answer.singles:
                factor, unit = show_parts(1.0, one.move.quantity)[0]
                shares = (f"{100 * v:.3g}" for v in (one.gain, one.least, one.most))
                table.writerow([one.move.name, unit, f"{one.value * factor:.6g}", *shares])
