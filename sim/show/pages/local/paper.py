"""The file that a page writes: read once, noticed when somebody else changes it, never overwritten without a copy."""

import copy
import hashlib
import os
import re
import tempfile
import unicodedata
from collections.abc import Mapping
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from typing import Any

from sim.describe.estimates.as_measured import as_measured
from sim.describe.files.as_written import vehicle_text
from sim.describe.files.estimates_behind import edited_beside_estimates
from sim.describe.files.reader import Document, read
from sim.describe.files.round_trip import edited, scalar
from sim.errors import JounceError, OutputError
from sim.show.pages.called import ADDED
from sim.show.pages.local.answers import as_edited, as_shop_writes
from sim.show.pages.local.torque_points import points_of

Place = tuple[str, ...]

NEW: dict[str, Any] = {"kind": "vehicle", "name": "My truck", "weighed": {}}
"""What a new truck begins with."""


class ChangedOutsideError(JounceError):
    """A file that somebody else has changed since it was read."""


class TakenError(JounceError):
    """A name that a file has already."""


class Paper:
    """A vehicle's file, or one that is still to be written.

    Parameters
    ----------
    path : Path or None
        The file; None where it has no name yet.
    folder : Path
        Where a new file goes.
    """

    def __init__(self, path: Path | None, folder: Path) -> None:
        self.path, self.folder = path, folder

    def text(self) -> str:
        """Return what the file holds now; nothing if there is none.

        Raises
        ------
        OutputError
            If it cannot be read.
        """
        if self.path is None:
            return ""
        try:
            return self.path.read_text(encoding="utf-8-sig")
        except (OSError, UnicodeDecodeError) as error:
            raise OutputError(f"{self.path} cannot be read: {error}") from None

    def document(self) -> Document:
        """Return the file as the project's reader has it.

        Raises
        ------
        InputError
            If it is no YAML of a vehicle.
        """
        if self.path is not None:
            return read(self.path)
        return Document(copy.deepcopy(NEW), self.folder / "my_truck.yaml")

    def mark(self) -> str:
        """Return what tells this state of the file from another; empty where there is no file yet, or none any more."""
        if self.path is None:
            return ""
        try:
            return hashlib.sha256(self.path.read_bytes()).hexdigest()
        except OSError:
            return ""

    def folder_mark(self) -> str:
        """Return what tells the folder of this truck from another, in which a file may have the same name."""
        folder = self.folder if self.path is None else self.path.parent
        return hashlib.sha256(str(folder.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:16]

    def saved(self, edits: Mapping[Place, object], mark: str, name: str = "") -> tuple[str, str]:
        """Write the file with what was typed; return its new mark and the name of the copy of what was there, if any.

        Parameters
        ----------
        edits : mapping
            From a place to what is to stand there; None takes it out.
        mark : str
            Of the state that the edits were made to.
        name : str
            Name of a file that is written for the first time.

        Raises
        ------
        ChangedOutsideError
            If the file is not as it was then; nothing is written.
        TakenError
            If a new file's name is taken; nothing is written.
        OutputError
            If it cannot be written; what was there is as it was.
        """
        if self.path is None:
            path = self.folder / f"{file_stem(name)}.yaml"
            _put(path, new_text(self.document(), edits), new=True)
            self.path = path
            return self.mark(), ""
        if self.mark() != mark:
            raise ChangedOutsideError(
                f"{self.path.name} was changed by another program or tab since this page read it. Nothing was written."
            )
        return self.replaced(saved_text(self.text(), self.document(), edits, self.path.name))

    def replaced(self, text: str) -> tuple[str, str]:
        """Put a text in the place of what the file holds; return its new mark and the name of the copy of what was there.

        Raises
        ------
        OutputError
            If it cannot be written; what was there is as it was.
        """
        assert self.path is not None
        copy = self._copied()
        _put(self.path, text)
        return self.mark(), copy

    def _copied(self) -> str:
        """Keep a copy of the file as it is beside it; return the copy's name."""
        assert self.path is not None
        now = datetime.now().strftime("%Y-%m-%d_%H%M%S")
        for number in range(1, 1000):
            more = f"_{number}" if number > 1 else ""
            copy = self.path.with_name(f"{self.path.stem}_before_{now}{more}.yaml")
            try:
                _put(copy, self.path.read_bytes(), new=True)
            except TakenError:
                continue
            return copy.name
        raise OutputError(f"There are too many copies of {self.path.name} of one second.")


def new_text(document: Document, edits: Mapping[Place, object]) -> str:
    """Return the text of a truck that has no file yet: what was typed, and behind # what is estimated, as `jounce new` writes it."""
    return vehicle_text(as_edited(document, edits).data)


def saved_text(text: str, document: Document, edits: Mapping[Place, object], file: str = "") -> str:
    """Return the text of a truck's file with what was typed; where it is as measured, the estimates in it are brought up to date."""
    written = as_shop_writes(document.data, edits)
    if not as_measured(document.data):
        return edited(text, written, file)
    return edited_beside_estimates(text, document.data, as_edited(document, edits).data, written, file)


def written_new(folder: Path, name: str, text: str, ending: str = ".yaml") -> Path:
    """Write a new file into a folder, called by its name in plain letters; return where it is.

    Raises
    ------
    TakenError
        If there is one of that name; nothing is written.
    OutputError
        If it cannot be written.
    """
    path = folder / f"{file_stem(name)}{ending}"
    _put(path, text, new=True)
    return path


def file_stem(name: str) -> str:
    """Return a file's name, without its ending, for what people called something: letters, digits and underscores alone."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode("ascii").lower()
    stem = re.sub(r"[^a-z0-9]+", "_", plain).strip("_")[:60]
    return stem or "my_truck"


def _put(path: Path, text: str | bytes, new: bool = False) -> None:
    """Write a file whole or not at all; `new`: only where there is none."""
    raw = text.encode("utf-8") if isinstance(text, str) else text
    try:
        if new:
            with path.open("xb") as file:  # refused where there is one, whoever was faster
                file.write(raw)
            return
        handle, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.stem}_", suffix=".part")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(raw)
            with suppress(OSError):  # as whoever wrote it wanted it read
                Path(part).chmod(path.stat().st_mode & 0o777)
            Path(part).replace(path)
        finally:
            with suppress(FileNotFoundError):
                Path(part).unlink()
    except FileExistsError:
        raise TakenError(
            f"There is a file {path.name} in this folder already. Nothing was written; choose another name."
        ) from None
    except OSError as error:
        raise OutputError(f"{path} cannot be written: {error.strerror or error}") from None


COPY = re.compile(r"_before_\d{4}-\d\d-\d\d_\d{6}(_\d+)?$")
"""How the name of such a copy ends."""

MOUNTS = ("body", "axle")
"""Parts of such a set with boxes of their own: where it is mounted."""


def typed_edits(edits: Mapping[str, Any]) -> dict[Place, object]:
    """Return edits by place as they came from the page, by dotted path: texts read as the files' reader reads them, empty ones out."""
    read_: dict[Place, object] = {}
    for path, value in edits.items():
        place = tuple(path.split("."))
        if isinstance(value, str):
            text = " ".join(value.split())
            # Names stay texts, whatever they look like.
            value = None if not text else text if place[-1] in ("name", "note") else points_of(text) or scalar(text)
        read_[place] = value
    return read_


def as_changes(typed: Mapping[str, Any]) -> dict[str, object]:
    """Return what was typed as a set-up's changes, by dotted path; `none` takes a part out. Boxes of a set of dampers that is added are one change."""
    changes = {".".join(place): "none" if value is None else value for place, value in typed_edits(typed).items()}
    added: dict[str, object] = {}
    for path in [one for one in changes if f".{ADDED}." in one]:
        whole, _, key = path.partition(f".{ADDED}.")
        part = added.setdefault(f"{whole}.{ADDED}", {})
        assert isinstance(part, dict)
        mount, _, last = key.partition(".")
        if mount in MOUNTS and last:
            part, key = part.setdefault(mount, {}), last
        assert isinstance(part, dict)
        part[key] = changes.pop(path)
    return changes | added


def as_boxes(changes: Mapping[str, Any]) -> dict[str, Any]:
    """Return a set-up's changes as the page has them: a set of dampers that was added by its boxes."""
    boxes: dict[str, Any] = {}
    for path, value in changes.items():
        if not (isinstance(value, Mapping) and path.endswith(f".{ADDED}")):
            boxes[path] = value
            continue
        for key, one in value.items():
            inside = key in MOUNTS and isinstance(one, Mapping)
            boxes |= {f"{path}.{key}.{last}": own for last, own in one.items()} if inside else {f"{path}.{key}": one}
    return boxes
