"""Writes a folder of results all at once or not at all, and never over what jounce did not write.

A folder is built beside its place and then changes names with what is there, in one step where the system can. A lock beside
the place says that a command is at it; who holds the lock also knows that whatever hidden folders are there were left by
commands that have been killed, and clears them up.
"""

import errno
import json
import os
import secrets
import shutil
import sys
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Any

from sim.describe.files.reader import shown
from sim.errors import InternalError, OutputError
from sim.machine.exchange import exchanged
from sim.machine.locks import locked

MARKER = "record.json"
"""The record of a folder of results. Only a folder that holds it may be replaced."""

FILES = "files"
"""Entry of the record that lists what jounce wrote; whatever else is in the folder is a person's own."""

OF = "of"
"""Entry of the record that says what the results are of (`sim.cli.folders`): another question does not replace them."""

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


def written(folder: Path, files: Callable[[Path], None], of: str = "") -> Path:
    """Build a folder beside its place and then swap it in; what was there stays until the new one is complete.

    Files in the folder that jounce did not write are taken along, those too that are saved while the new one is built. A
    second command for the same folder waits for the first.

    Parameters
    ----------
    folder : Path
        Where the results shall be.
    files : callable
        Writes all files, MARKER among them, into the folder that it is given.
    of : str
        What the results are of, as the record keeps it; results of something else are not replaced.

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
    parents: list[Path] = []
    try:
        # A link is followed, so that it still is one afterwards; `..` gets a name, which hidden folders beside it bear.
        place = folder.resolve() if folder.is_symlink() or folder.name in ("", "..") else folder
        if not place.name:
            raise OutputError(f"{shown(folder)}: this is the top of a disk. {OTHERWISE}")
        parents = _parents(place)
        # Beside the place, not in it: what is in it is swapped away.
        with locked(place.with_name(f".{place.name}.lock"), lambda: _waits(folder)) as alone:
            # Where the disk knows no locks, a hidden folder may be another command's that is at work.
            if alone:
                _cleared(place)
            # Refused now, not after hours of computing.
            _own(place, folder, of)
            new = _beside(place, "new")
            try:
                new.mkdir()
                files(new)
                _listed(new, of)
                # Looked at again: a person may have saved notes in the folder while the results were computed.
                _taken_along(_own(place, folder, of), new, folder)
                # On the disk before the swap: a power cut after it would else leave empty files for old ones.
                _kept(new)
                _swapped(new, place)
            finally:
                # Half-built after a failure; after an exchange `new` is the name that the old results have now.
                _given_up(new, place)
    # Ctrl-C too leaves no empty folders behind.
    except BaseException as error:
        _removed(parents)
        if isinstance(error, OSError):
            raise OutputError(_sentence(error, folder)) from None
        raise
    return folder


def replaced(path: Path, text: str) -> None:
    """Write one file beside its place and then put it there, so that it is the old one or the new one whatever happens.

    Raises
    ------
    OSError
        If it cannot be written; then nothing has changed.
    """
    new = _beside(path, "new")
    try:
        with new.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        new.replace(path)
    except BaseException:
        new.unlink(missing_ok=True)
        raise


def _waits(folder: Path) -> None:
    print(
        f"Another jounce command is writing {shown(folder)}: waiting until it has ended.", file=sys.stderr, flush=True
    )


def _own(place: Path, folder: Path, of: str) -> list[Path]:
    """Return what is in the folder and not ours; refuse a folder that is not ours at all, or holds results of something else."""
    if place.exists() and not place.is_dir():
        raise OutputError(f"{shown(folder)}: there is a file of this name. {OTHERWISE}")
    there = list(place.iterdir()) if place.is_dir() else []
    if not there:
        return []
    # The record is our mark: without it nothing proves that these files may go.
    record = _record(place)
    if record is None:
        raise OutputError(
            f"{shown(folder)}: this folder holds files that jounce did not write, so it is left alone. {OTHERWISE}"
        )
    # The place was free when it was chosen: another command has written there since.
    if of and record.get(OF, of) != of:
        raise OutputError(f"{shown(folder)}: this folder has results of another file meanwhile. {OTHERWISE}")
    return _not_ours(there, record)


def _not_ours(there: list[Path], record: dict[str, Any]) -> list[Path]:
    names = record.get(FILES)
    # Records of earlier versions have no list: there the kinds of files that jounce writes must do.
    if isinstance(names, list):
        return [path for path in there if path.name not in names]
    return [path for path in there if path.is_dir() or path.suffix not in OUR_SUFFIXES]


def record_of(place: Path) -> dict[str, Any] | None:
    """Return the record of a folder of results, None if it has none of ours."""
    return _record(place)


def _record(place: Path) -> dict[str, Any] | None:
    try:
        data = json.loads((place / MARKER).read_text(encoding="utf-8"))
    # Somebody else's record.json may hold anything, JSON nested past all depth too.
    except (FileNotFoundError, NotADirectoryError, IsADirectoryError, ValueError, RecursionError):
        return None
    return data if isinstance(data, dict) and str(data.get("made by", "")).startswith("jounce") else None


def _listed(new: Path, of: str) -> None:
    """Note in the record what was written."""
    record = _record(new)
    if record is None:
        raise InternalError(f"the results have no {MARKER}, so they could never be replaced")
    if of:
        record[OF] = of
    record[FILES] = sorted(path.name for path in new.iterdir())
    (new / MARKER).write_text(json.dumps(record, indent=2, ensure_ascii=False) + "\n", encoding="utf-8")


def _taken_along(own: list[Path], new: Path, folder: Path) -> None:
    """Put a person's own files into the new folder too: as a second name of each, or a copy where the disk has no such names."""
    for path in own:
        # A new result must not hide a person's file, nor the other way round: say it, and lose neither.
        if os.path.lexists(new / path.name):
            raise OutputError(
                f"{shown(folder / path.name)}: a file of your own has the name of a new result. Rename it, then try again."
            )
        # Links stay links: what they lead to is not ours to copy.
        if path.is_dir() and not path.is_symlink():
            shutil.copytree(path, new / path.name, symlinks=True, copy_function=_doubled)
        else:
            _doubled(path, new / path.name)


def _doubled(path: str | Path, to: str | Path) -> None:
    try:
        # No time and no room, however large it is; and what is saved into it meanwhile arrives in both.
        os.link(path, to, follow_symlinks=False)
    # Sticks and network disks have no second names for a file, some systems none for a link.
    except (OSError, NotImplementedError):
        shutil.copy2(path, to, follow_symlinks=False)


def _kept(new: Path) -> None:
    """Have the system write the new folder to the disk before it takes the place of the old one."""
    for path in new.iterdir():
        if path.is_file() and not path.is_symlink():
            # Windows flushes only what is open for writing.
            with path.open("rb+") if os.name == "nt" else path.open("rb") as file:
                os.fsync(file.fileno())
    _entries_kept(new)


def _entries_kept(folder: Path) -> None:
    """Have the names in a folder written too, on systems where a folder can be opened."""
    if os.name == "nt":
        return
    file = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(file)
    except OSError as error:
        if error.errno not in (errno.EINVAL, errno.EBADF, errno.ENOTSUP):  # a network's disk that knows no such thing
            raise
    finally:
        os.close(file)


def _swapped(new: Path, place: Path) -> None:
    """Put the new folder in its place; the old one, if there was one, then has a hidden name and is cleared up."""
    if not place.exists():
        new.rename(place)
    # One step: there is no moment without results, whenever the machine stops.
    elif exchanged(new, place):
        # Saved between the last look and the swap: it went with the old folder.
        _own_moved(new, place)
    else:
        # Two steps, elsewhere. Killed between them, the next command puts the old results back (`_cleared`).
        old = _beside(place, "old")
        try:
            place.rename(old)
            new.rename(place)
        except BaseException:
            if old.exists() and not place.exists():
                old.rename(place)
            raise
        _own_moved(old, place)
        _given_up(old, place)
    # A disk that cannot promise to have written its names is no reason to say that results failed.
    with suppress(OSError):  # it is in place
        _entries_kept(place.parent)


def _own_moved(left: Path, place: Path) -> None:
    """Move a person's files from a folder that is to go into the one in its place, where they are not there already."""
    record = _record(left)
    # Of a folder without a record nobody can say what is a person's; it was never results.
    if record is not None:
        for path in _not_ours(list(left.iterdir()), record):
            _moved(path, place / path.name)


def _moved(path: Path, to: Path) -> None:
    """Move a file or folder; of two versions of a file the one that was saved last stays."""
    if path.is_dir() and not path.is_symlink() and to.is_dir() and not to.is_symlink():
        for inner in list(path.iterdir()):
            _moved(inner, to / inner.name)
        return
    if os.path.lexists(to):
        if to.is_dir() or path.is_dir():  # a file where there was a folder: both stay
            to = to.with_name(f"{to.name} (before {secrets.token_hex(2)})")
        # The same file under two names, as `_doubled` leaves it, or an older version of it: nothing to move.
        elif path.lstat().st_ino == to.lstat().st_ino or path.lstat().st_mtime_ns <= to.lstat().st_mtime_ns:
            return
    path.replace(to)


def _given_up(left: Path, place: Path) -> None:
    """Remove a folder with a hidden name, its record first: without it, it is never taken for results again.

    It may be one that was in place a moment ago, and then have a person's files: they go to the place before.
    """
    if not left.is_dir():
        return
    record = _record(left)
    # Without a list it is a half-built folder: all in it is ours, or a second name of what is safe in place.
    if record is not None and FILES in record and place.is_dir():
        try:
            _own_moved(left, place)
        except OSError:  # it stays, and the next command tries again
            return
    with suppress(OSError):
        # First of all: killed in the middle of removing, half a folder must not come back as results.
        (left / MARKER).unlink()
    shutil.rmtree(left, ignore_errors=True)


def _cleared(place: Path) -> None:
    """Clear up what killed commands have left beside a place: results come back if they have none, a person's files always."""
    left = [
        path
        for path in place.parent.iterdir()
        if path.name.startswith((f".{place.name}.old-", f".{place.name}.new-")) and path.is_dir()
    ]
    # Of new ones never: whether all had been written nobody knows.
    old = [path for path in left if f".{place.name}.old-" in path.name and _record(path) is not None]
    if old and not place.exists():
        latest = max(old, key=lambda path: path.stat().st_mtime)
        latest.rename(place)
        left.remove(latest)
    for path in left:
        _given_up(path, place)


def _beside(place: Path, word: str) -> Path:
    # In the same folder, so on the same disk, where a change of name is one step; a token as others may do so too.
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
