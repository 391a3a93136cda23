"""Where compiled code is kept, and whether it is trusted: whoever can write it can have anything run.

The compiler keeps code as it was pickled. So it is read from a folder only that is this user's, that nobody else can write, in
a place where nobody else can put another in its stead; each file begins with a checksum of the rest. A file that is not as it
was written is thrown away and made anew; where nothing can be kept, the code is compiled each time. Either is said.
"""

import os
import pickle
import shutil
import stat
import sys
import tempfile
import warnings
from collections.abc import Callable, Iterator
from contextlib import suppress
from functools import cache, wraps
from hashlib import sha256
from pathlib import Path
from typing import Any

from sim import machine

DAMAGED = "What was kept of the compiled physics is damaged: it is thrown away, and compiled anew."
SHIPPED_DAMAGED = (
    "The compiled physics that came with jounce is damaged: it is compiled anew. Install jounce again to mend it."
)
NOT_KEPT = "The compiled physics cannot be kept ({reason}): each command compiles it anew, up to half a minute."
NO_PLACE = "no folder of your own that nobody else can write"


def folder(name: str) -> Path | None:
    """Return the folder of this name for compiled code, in the first place where it is safe; None if it is nowhere."""
    for root in _roots():
        # A place that cannot even be looked at is none: the next one is tried.
        with suppress(OSError):
            if _safe(root) and _safe(root / name) and os.access(root / name, os.W_OK):
                return root / name
    return None


def _roots() -> Iterator[Path]:
    """Yield the places: those that the user names, the user's cache, and a folder among the system's temporary files."""
    for named in filter(None, (os.environ.get("NUMBA_CACHE_DIR"), os.environ.get("XDG_CACHE_HOME"))):
        yield Path(named) / "jounce"
    with suppress(RuntimeError):
        yield Path.home() / ".cache" / "jounce"
    me = _me()
    # With the user's number: a shared folder, where each must have a name of their own.
    yield Path(tempfile.gettempdir()) / f"jounce-cache-{'user' if me is None else me}"


def _me() -> int | None:
    """Return the number of this user, None on a system that has none; there each user's folders are closed to others anyway."""
    return os.geteuid() if hasattr(os, "geteuid") else None


def _safe(place: Path) -> bool:
    """Tell whether a folder is this user's alone, made if it is not there; what others could write is thrown away and made anew."""
    if not place.parent.is_dir():
        place.parent.mkdir(parents=True)
    me = _me()
    if me is None:
        place.mkdir(exist_ok=True)
        return True
    # Whoever can rename a folder above can put another in its place, whatever this one's own rights.
    if not all(_keeps(parent.stat(), me) for parent in (place.parent.resolve(), *place.parent.resolve().parents)):
        return False
    with suppress(FileExistsError):
        place.mkdir(mode=0o700)
    status = place.lstat()  # not stat: a link would show the rights of what it points to
    if not stat.S_ISDIR(status.st_mode) or status.st_uid != me:
        return False
    if status.st_mode & 0o022:
        # Others may have written there before: closing it now would keep what they put.
        shutil.rmtree(place)
        place.mkdir(mode=0o700)
        status = place.lstat()
    return stat.S_ISDIR(status.st_mode) and status.st_uid == me and not status.st_mode & 0o022


def _keeps(found: os.stat_result, me: int) -> bool:
    """Tell whether nobody else can put another folder in the place of one in a folder of this state."""
    if found.st_uid not in (0, me):
        return False
    if found.st_mode & stat.S_ISVTX:  # there only its owner moves a folder
        return True
    # Many systems give each user a group of their own, and let it write: as a rule nobody else is in it.
    own_group = found.st_uid == me and found.st_gid == os.getegid()
    return not found.st_mode & (0o002 if own_group else 0o022)


@cache
def said(text: str) -> None:
    """Say once what a person should know: on standard error in a jounce command, as a warning in a program."""
    if machine.OWN_PROCESS:
        print(f"NOTICE: {text}", file=sys.stderr, flush=True)
    else:
        warnings.warn(text, RuntimeWarning, stacklevel=3)


def thrown_away(folder: Path, name: str) -> None:
    """Throw away all that is kept of a function, so that it is compiled anew."""
    for path in (*folder.rglob(f"{name}-*"), *folder.rglob(f"*.{name}-*")):
        with suppress(OSError):
            path.unlink()


def sealed(made: Any, also: Callable[[Any], None] = lambda result: None) -> None:
    """Have what the compiler keeps of a function checked when it is read, and done without where it cannot be written.

    also : given what the compiler has made, when it is kept.
    """
    kept: Any = getattr(made, "_cache", None)
    files = getattr(kept, "_cache_file", None)
    if files is None:  # compiling, or keeping, is switched off
        return
    _seal(files)
    load, save = kept.load_overload, kept.save_overload

    @wraps(load)
    def loaded(*given: Any) -> Any:
        try:
            return load(*given)
        except Exception:  # whatever comes of bytes that are not what was written
            said(DAMAGED)
            with suppress(OSError):
                # Without its index the compiler takes nothing of it, and compiles anew.
                Path(files._index_path).unlink()
            return None

    @wraps(save)
    def saved(*given: Any) -> None:
        try:
            save(*given)
            also(given[-1])
        except OSError as error:
            said(NOT_KEPT.format(reason=(error.strerror or str(error)).lower()))

    kept.load_overload, kept.save_overload = loaded, saved


PARTS = ("_index_path", "_data_path", "_open_for_write", "_dump", "_version", "_source_stamp")
"""What is used of the compiler's own keeping of files (numba.core.caching.IndexDataCacheFile)."""


def _seal(files: Any) -> None:
    """Have each file begin with a checksum of the rest, which is looked at before anything else is done with it."""
    if not all(hasattr(files, part) for part in PARTS):  # another version's: what fails is still met by `sealed`
        return

    def put(path: str, data: Any) -> None:
        raw = files._dump(data)
        with files._open_for_write(path) as file:
            file.write(sha256(raw).digest() + raw)

    def got(path: str) -> Any:
        whole = Path(path).read_bytes()
        mark, raw = whole[:MARK], whole[MARK:]
        if sha256(raw).digest() != mark:
            # Before unpickling: that already runs what the bytes say.
            raise ValueError(f"{path} is not as it was written")
        return pickle.loads(raw)

    def load_index() -> Any:
        try:
            version, stamp, names = got(files._index_path)
        except FileNotFoundError:
            return {}
        # As the compiler does: another version's, or of another source, is as good as none.
        return names if (version, stamp) == (files._version, files._source_stamp) else {}

    files._load_index = load_index
    files._save_index = lambda names: put(files._index_path, (files._version, files._source_stamp, names))
    files._load_data = lambda name: got(files._data_path(name))
    files._save_data = lambda name, data: put(files._data_path(name), data)


MARK = sha256().digest_size
"""Bytes of a checksum."""
