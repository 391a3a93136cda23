"""Writes a folder of results all at once or not at all."""

import shutil
import tempfile
from collections.abc import Callable
from pathlib import Path

from sim.errors import OutputError
from sim.files.reader import shown

MARKER = "record.json"
"""A folder that holds this file was written by jounce and may be replaced."""


def written(folder: Path, fill: Callable[[Path], None]) -> Path:
    """Build a folder beside its place and then swap it in; what was there stays until the new one is complete.

    Parameters
    ----------
    folder : Path
        Where the results shall be.
    fill : callable
        Writes all files into the folder that it is given.

    Raises
    ------
    OutputError
        If anything cannot be written, or the place holds something that jounce did not write.
    """
    if folder.exists() and not folder.is_dir():
        raise OutputError(f"{shown(folder)}: there is a file of this name; choose another place with --outputs.")
    if folder.is_dir() and any(folder.iterdir()) and not (folder / MARKER).is_file():
        raise OutputError(
            f"{shown(folder)}: this folder holds files that jounce did not write, so it is left alone. "
            "Choose another place with --outputs."
        )
    new: Path | None = None
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        new = Path(tempfile.mkdtemp(prefix=f".{folder.name}-", dir=folder.parent))
        fill(new)
        new.chmod(0o755)
        _swapped(new, folder)
    except OSError as error:
        raise OutputError(
            f"{shown(folder)}: results cannot be written: {error.strerror or error}. Earlier results are as they were. "
            "Free some space or choose another place with --outputs."
        ) from None
    finally:
        if new is not None:
            shutil.rmtree(new, ignore_errors=True)
    return folder


def _swapped(new: Path, folder: Path) -> None:
    if not folder.exists():
        new.rename(folder)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{folder.name}-old-", dir=folder.parent))
    aside = old / folder.name
    try:
        folder.rename(aside)
        try:
            new.rename(folder)
        except OSError:
            aside.rename(folder)
            raise
    finally:
        shutil.rmtree(old, ignore_errors=True)
