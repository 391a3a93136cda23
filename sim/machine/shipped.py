"""Machine code of the kernel that comes with the package, for the processors and the system on which it has been tried.

A first run on a machine would wait half a minute in all for the compiler, and every later one only reads back what that made. So
what it makes for an ordinary processor of today (`PROCESSOR`) lies beside this file, written by `python -m sim.cli.make_shipped`
after every change of the kernel, and is called as what this machine has compiled is (`sim.machine.native`). It is used only if it was
made from exactly these sources, and only on such a processor: anywhere else everything is compiled, as before.
"""

import json
import os
import platform
from collections.abc import Callable
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any

from sim import machine
from sim.machine import native

FOLDER = Path(__file__).parent / "shipped"

PROCESSOR = "x86-64-v3"
"""Name of the processor for LLVM: the third level of the x86-64 psABI, 256-bit vectors with fused sums, which servers and desktops
have had since about 2013 (Intel) and 2017 (AMD)."""

NEEDED = (
    "sse3", "ssse3", "sse4.1", "sse4.2", "popcnt", "cx16", "sahf",
    "avx", "avx2", "bmi", "bmi2", "f16c", "fma", "lzcnt", "movbe", "xsave",
)  # fmt: skip
"""What that level asks of a processor, in LLVM's words."""

MANIFEST = "made_from.json"


def name_of(function: Callable[..., Any], given: str) -> str:
    """Return the file of a function for arguments in words (`sim.machine.native`)."""
    # With its module: two functions of one name in two files are two.
    key = sha256(f"{function.__module__} {given}".encode()).hexdigest()[:16]
    return f"{function.__name__}-{key}{native.SUFFIX}"


def entry(function: Callable[..., Any], given: str, sources: str) -> native.Entry | None:
    """Return the machine code of a function for such arguments; None if it does not come with the package, or not for here.

    Parameters
    ----------
    function : callable
        As it is written.
    given : str
        Its arguments in words.
    sources : str
        Hash of the kernel's sources now.

    Raises
    ------
    native.DamagedError
        If the file is not as it was written.
    """
    file = name_of(function, given)
    made = _made_from()
    if not _of_these_sources(function, made, sources) or file not in made["objects"] or not suits():
        return None
    whole = (FOLDER / file).read_bytes()
    if sha256(whole).hexdigest() != made["objects"][file]:
        raise native.DamagedError(file)
    return native.unpacked(whole, file)


def has(function: str, sources: str) -> bool:
    """Tell whether a function's machine code comes with the package, made from these sources and for this machine."""
    made = _made_from()
    there = any(file.startswith(f"{function}-") for file in made.get("objects", {}))
    return there and made["sources"] == sources and suits()


@cache
def suits() -> bool:
    """Tell whether this machine runs it, and nobody has asked for anything else."""
    if not native.WHERE_TRIED or platform.machine() != "x86_64" or machine.PLAIN:
        return False
    if any(key.startswith("NUMBA_") and key != "NUMBA_CACHE_DIR" for key in os.environ):
        return False
    features = native.llvm().get_host_cpu_features()
    return all(features.get(word, False) for word in NEEDED)


def _of_these_sources(function: Callable[..., Any], made: dict[str, Any], sources: str) -> bool:
    # The kernel's files as a whole; what is compiled elsewhere, by its file besides.
    own = made.get("files", {}).get(function.__module__)
    return made.get("sources") == sources and own in (None, native.hash_of(function.__code__.co_filename))


@cache
def _made_from() -> dict[str, Any]:
    """Return what the machine code was made from and which files there are; empty without it."""
    try:
        made: dict[str, Any] = json.loads((FOLDER / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return made
