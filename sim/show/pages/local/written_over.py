"""A scenario's file that is saved again: its text with what was tried, and when that may take the place of what is there."""

import os
import tempfile
from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import Any

from sim.describe.files.reader import read
from sim.describe.files.round_trip import edited
from sim.errors import JounceError, OutputError
from sim.show.pages.local.hours_of_track import KIND, edits_of
from sim.show.pages.local.paper import ChangedOutsideError, Paper, Place, TakenError
from sim.show.pages.local.varied import checked, opened_with


class ThereError(JounceError):
    """A scenario of the truck of that name that the page has neither opened nor saved: whoever saves is asked first.

    Parameters
    ----------
    file : str
        Its name.
    mark : str
        Of its state: whoever has seen this error may write over that state.
    """

    def __init__(self, file: str, mark: str) -> None:
        super().__init__(
            f"There is a scenario {file} of this truck already. Write over it? What is there is kept beside it as a copy."
        )
        self.more = {"file": file, "mark": mark}


def saved_over(path: Path, truck: Path, known: Mapping[str, Any], edits: Mapping[Place, Any]) -> tuple[str, str]:
    """Write a scenario over one of the same truck; return its new mark and the name of the copy of what was there.

    Parameters
    ----------
    path : Path
        The scenario's file, which is there.
    truck : Path
    known : mapping of str to str
        Marks of the states of scenarios that the page has opened or saved, by the file's name.
    edits : mapping
        What is to stand in it, by place, as in a new file.

    Raises
    ------
    TakenError
        If the file is no scenario of this truck.
    ThereError
        If the page does not know it.
    ChangedOutsideError
        If it is not as it was then.
    JounceError
        If it cannot be run so. In all cases nothing is written.
    """
    own = Paper(path, path.parent)
    mark = own.mark()
    if not is_of(path, truck):
        raise TakenError(
            f"There is a file {path.name} in this folder already, which is no scenario of this truck. Nothing was written; choose another name."
        )
    if not known.get(path.name):
        raise ThereError(path.name, mark)
    if known[path.name] != mark:
        raise ChangedOutsideError(
            f"{path.name} was changed by another program or tab since this page opened or saved it. Nothing was written: save under another name, or open it as it is now."
        )
    text = edited(own.text(), over(own.document().data, edits, path.parent, truck), path.name)
    if edits[("run",)]["kind"] == KIND or opened_with(dict((place[0], value) for place, value in edits.items())):
        checked_text(path.parent, text)
    return own.replaced(text)


def over(data: Mapping[str, Any], edits: Mapping[Place, Any], folder: Path, truck: Path) -> dict[Place, object]:
    """Return what to write so that a file has what a new one would have; what is as it was stays to the letter, and what the page does not show stays."""
    found = dict(edits)
    if (folder / str(data.get("vehicle", ""))).resolve() == truck.resolve():
        del found[("vehicle",)]
    run = data.get("run")
    if isinstance(run, Mapping) and run.get("kind") == edits[("run",)]["kind"] == KIND:
        found |= edits_of(run, found.pop(("run",)))
    elif isinstance(run, Mapping) and run.get("kind") == edits[("run",)]["kind"]:
        found |= {("run", key): value for key, value in found.pop(("run",)).items() if run.get(key) != value}
    before, now = data.get("setups"), found.pop(("setups",))
    if not isinstance(before, Mapping) or list(before) != list(now)[: len(before)]:
        found[("setups",)] = now
    else:
        for name, one in now.items():
            found |= _over_setup(name, before.get(name) if name in before else {}, one)
    if data.get("reference") is not None and data["reference"] not in now:
        found[("reference",)] = None
    found |= {(key,): None for key in opened_with(data) if (key,) not in edits}
    return {place: value for place, value in found.items() if len(place) > 1 or data.get(place[0]) != value}


def _over_setup(name: str, was: Any, now: Mapping[str, object] | None) -> dict[Place, object]:
    """Return what to write of one set-up, change by change, so that remarks beside the others stay."""
    if (was or None) == now and was != {}:
        return {}
    # One that loses all its changes would be taken out with its name.
    if not (isinstance(was, Mapping) and was and now):
        return {("setups", name): now if now is not None else {}}
    changed: dict[Place, object] = {
        ("setups", name, path): value for path, value in now.items() if path not in was or was[path] != value
    }
    return changed | {("setups", name, str(path)): None for path in was if path not in now}


def is_of(path: Path, truck: Path) -> bool:
    """Tell whether a file is a scenario of a truck that can be read."""
    try:
        data = read(path).data
    except (JounceError, OSError, UnicodeDecodeError):
        return False
    return data.get("kind") == "scenario" and (path.parent / str(data.get("vehicle", ""))).resolve() == truck.resolve()


def checked_text(folder: Path, text: str) -> None:
    """See that a scenario's text can be run as a file of a folder, before there is such a file.

    Raises
    ------
    JounceError
        In words for a page.
    """
    try:
        handle, part = tempfile.mkstemp(dir=folder, prefix=".checked_", suffix=".yaml")
        with os.fdopen(handle, "w", encoding="utf-8", newline="") as file:
            file.write(text)
    except OSError as error:
        raise OutputError(f"{folder} cannot be written: {error.strerror or error}") from None
    try:
        checked(Path(part))
    finally:
        with suppress(FileNotFoundError):
            Path(part).unlink()
