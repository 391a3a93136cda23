"""Writes a folder of results all at once or not at all, and never over what jounce did not write."""

import errno
import json
import secrets
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

from sim.describe.files.reader import shown
from sim.errors import InternalError, OutputError

MARKER = "record.json"
"""The record of a folder of results. Only a folder that holds it may be replaced."""

FILES = "files"
"""Entry of the record that lists what jounce wrote; whatever else is in the folder is a person's own."""

OUR_SUFFIXES = frozenset({".png", ".svg", ".csv", ".json", ".pdf"})
"""What a record without a list stands for."""

ADVICE = {
    errno.ENOSPC: "Free some space, or choose a place on another disk with --outputs.",
    errno.EDQUOT: "Your share of this disk is used up: free some space, or choose another place with --outputs.",
    errno.EACCES: "You may not write there: choose a folder of your own with --outputs.",
    errno.EPERM: "You may not write there: choose a folder of your own with --outputs.",
    errno.EROFS: "This disk can only be read: choose a place on another one with --outputs.",
    errno.ENOTDIR: "A part of this path is a file, not a folder: choose another place with --outputs.",
    errno.ENAMETOOLONG: "The name is too long for this disk: give the scenario file a shorter one.",
}
OTHERWISE = "Choose another place with --outputs."


def written(folder: Path, files: Callable[[Path], None]) -> Path:
    """Build a folder beside its place and then swap it in; what was there stays until the new one is complete.

    Files in the folder that jounce did not write are taken along.

    Parameters
    ----------
    folder : Path
        Where the results shall be.
    files : callable
        Writes all files, MARKER among them, into the folder that it is given.

    Returns
    -------
    Path
        The folder.

    Raises
    ------
    OutputError
        If anything cannot be written, or the place holds something that jounce did not write. Then, as after any
        other exception, what was there is as it was and nothing else is left behind.
    """
    made: list[Path] = []
    new: Path | None = None
    try:
        place = folder.resolve() if folder.is_symlink() else folder
        _recovered(place)
        own = _persons_own(place, folder)
        made = _parents(place)
        new = _beside(place, "new")
        new.mkdir()
        files(new)
        _listed(new)
        _taken_along(own, new, folder)
        _swapped(new, place)
    except BaseException as error:
        if new is not None:
            shutil.rmtree(new, ignore_errors=True)
        _removed(made)
        if isinstance(error, OSError):
            raise OutputError(_sentence(error, folder)) from None
        raise
    return folder


def _persons_own(place: Path, folder: Path) -> list[Path]:
    """Return what is in the folder and not ours; refuse a folder that is not ours at all."""
    if place.exists() and not place.is_dir():
        raise OutputError(f"{shown(folder)}: there is a file of this name. {OTHERWISE}")
    there = list(place.iterdir()) if place.is_dir() else []
    if not there:
        return []
    record = _record(place)
    if record is None:
        raise OutputError(
            f"{shown(folder)}: this folder holds files that jounce did not write, so it is left alone. {OTHERWISE}"
        )
    names = record.get(FILES)
    if isinstance(names, list):
        return [path for path in there if path.name not in names]
    return [path for path in there if path.is_dir() or path.suffix not in OUR_SUFFIXES]


def _record(place: Path) -> dict[str, Any] | None:
    """Return the record of a folder of results, None if it has none of ours."""
    try:
        data = json.loads((place / MARKER).read_text(encoding="utf-8"))
    except (FileNotFoundError, IsADirectoryError, ValueError):
        return None
    return data if isinstance(data, dict) and str(data.get("made by", "")).startswith("jounce") else None


def _listed(new: Path) -> None:
    """Note in the record what was written."""
    record = _record(new)
    if record is None:
        raise InternalError(f"the results have no {MARKER}, so they could never be replaced")
    record[FILES] = sorted(path.name for path in new.iterdir())
    (new / MARKER).write_text(json.dumps(record, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _taken_along(own: list[Path], new: Path, folder: Path) -> None:
    for path in own:
        if (new / path.name).exists():
            raise OutputError(
                f"{shown(folder / path.name)}: a file of your own has the name of a new result. Rename it, then try again."
            )
        if path.is_dir() and not path.is_symlink():
            shutil.copytree(path, new / path.name, symlinks=True)
        else:
            shutil.copy2(path, new / path.name, follow_symlinks=False)


def _swapped(new: Path, place: Path) -> None:
    if not place.exists():
        new.rename(place)
        return
    old = _beside(place, "old")
    try:
        place.rename(old)
        new.rename(place)
    except BaseException:
        if old.exists() and not place.exists():
            old.rename(place)
        raise
    shutil.rmtree(old, ignore_errors=True)


def _recovered(place: Path) -> None:
    """Put back results that a run, killed in the middle of its swap, left under their other name."""
    if place.exists() or not place.parent.is_dir():
        return
    left = [path for path in place.parent.iterdir() if path.name.startswith(f".{place.name}.old-")]
    if left:
        max(left, key=lambda path: path.stat().st_mtime).rename(place)


def _beside(place: Path, word: str) -> Path:
    return place.with_name(f".{place.name}.{word}-{secrets.token_hex(4)}")


def _parents(place: Path) -> list[Path]:
    """Make the folders above; return those that were not there, the innermost first."""
    missing = []
    for parent in place.parents:
        if parent.exists():
            break
        missing.append(parent)
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
    except OSError:
        _removed(missing)
        raise
    return missing


def _removed(made: list[Path]) -> None:
    for parent in made:
        try:
            parent.rmdir()
        except OSError:  # not made after all, or something else is in it by now
            continue


def _sentence(error: OSError, folder: Path) -> str:
    name = Path(error.filename).name if isinstance(error.filename, str) else ""
    # the folder that is being built has a name that means nothing to anybody
    which = "" if not name or name.startswith(".") or name == folder.name else f" ({name})"
    advice = ADVICE.get(error.errno or 0, OTHERWISE)
    reason = error.strerror or str(error) or type(error).__name__
    return f"{shown(folder)}: results cannot be written{which}: {reason}. Earlier results are as they were. {advice}"
