"""Names of folders and files for results: readable, in any script, distinct, and allowed on every system."""

import os
import re
import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path

from sim.describe.files.standard_input import WORDS, is_given

MOST_BYTES, MOST_BYTES_IN_ALL = 120, 200
"""Length of a name, and of one that several were joined to: something is put before and after it, and a disk takes 255 bytes."""

DEVICES = frozenset({"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))})
"""Names that stand for devices on Windows, whatever follows the point: its documentation, "Naming files, paths, and namespaces"."""

NOTHING = "setup"
"""Name of what has neither letters nor digits."""


def slug(text: str) -> str:
    """Return a text as a file name: small letters and digits of any script, with one underscore for whatever is between.

    Different texts may have the same name: see `distinct`, and `place`.
    """
    # Twice: folding letters can take apart what the first had put together.
    plain = unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", text).casefold())
    # Marks are parts of letters: without them, words of many scripts would be torn apart, and be alike.
    kept = "".join(sign if unicodedata.category(sign)[0] in "LNM" else "_" for sign in plain)
    name = re.sub("_+", "_", kept).strip("_") or NOTHING
    name = _shortened(name, MOST_BYTES, text)
    # Windows would write to the device, and no file would be there.
    return f"{name}_" if name in DEVICES else name


def _shortened(name: str, most: int, text: str) -> str:
    """Return a name of so many bytes at most, which still differs from that of another text."""
    if len(name.encode()) <= most:
        return name
    # Two long names that differ only at their end would be cut to the same one.
    mark = _digest(text)[:8]
    return name.encode()[: most - len(mark) - 1].decode(errors="ignore").rstrip("_") + f"_{mark}"


def distinct(texts: Iterable[str], reserved: Iterable[str] = (), ends: Sequence[str] = ("",)) -> dict[str, str]:
    """Return a file name for each of some texts, no two alike and none that is reserved, whichever of the ends is put to it."""
    taken, names = set(reserved), {}
    for text in dict.fromkeys(texts):
        name = slug(text)
        while any(name + end in taken for end in ends):
            name += "_"
        taken.update(name + end for end in ends)
        names[text] = name
    return names


@dataclass(frozen=True)
class Results:
    """Where results go.

    Attributes
    ----------
    folder : Path
    of : str
        What they are of, as the record keeps it, so that other results are not taken for them.
    """

    folder: Path
    of: str


def place(outputs: Path, file: Path, after: str = "", *exact: str) -> Results:
    """Return the folder for results of a file: its name, or that with a number if results of another file have it.

    A file that is itself in a folder of results, as `tuned.yaml` is, has that folder's name before its own.

    Parameters
    ----------
    outputs : Path
        Folder of all results.
    file : Path
        Scenario, vehicle, course, or measured file.
    after : str
        What follows its name.
    exact : str
        What else these results are of, in full, where `after` holds less of it.
    """
    from sim.show.report.write import record_of

    if is_given(file):
        return _free(outputs, f"{slug(WORDS)}{after}", _digest(WORDS, after, *exact))
    there = file.resolve()
    # Otherwise every tuned.yaml would write to the same outputs/tuned.
    stem = slug(file.stem) if record_of(there.parent) is None else slug(f"{there.parent.name} {file.stem}")
    try:
        # From the outputs: a whole folder of work can be moved or unpacked elsewhere and still knows its results.
        way = Path(os.path.relpath(there, outputs.resolve())).as_posix()
    except ValueError:  # on another drive
        way = there.as_posix()
    return _free(outputs, f"{stem}{after}", _digest(way, after, *exact))


def beside(results: Results, after: str, *exact: str) -> Results:
    """Return a further folder for the same results."""
    return _free(results.folder.parent, f"{results.folder.name}{after}", _digest(results.of, after, *exact))


def _free(outputs: Path, name: str, of: str) -> Results:
    from sim.show.report.write import OF, record_of

    name, number = _shortened(name, MOST_BYTES_IN_ALL, of), 1
    while True:
        folder = outputs / (name if number == 1 else f"{name}-{number}")
        record = record_of(folder)
        # A record without an entry is of an earlier version, which had one folder a name: replaced as it was then.
        if record is None or record.get(OF, of) == of:
            return Results(folder, of)
        number += 1


def _digest(*words: str) -> str:
    """Return what stands for words in a record, which holds no path of anybody's machine."""
    # Joined by what no word holds; file names that are no text have surrogates; 64 bits are plenty for a folder.
    return sha256("\0".join(words).encode(errors="surrogatepass")).hexdigest()[:16]
