"""How the kernel is compiled: flags, cache and lane counts, all in this one file.

Numba's disk cache looks only at the file of the function that it compiles. An edit of a force law
in another file would go unseen and the old law would run, silently. So the cache folder is named
by a hash of every kernel source: any edit compiles once and is then cached again.

If `sim.kernel.COMPILES` is false, nothing here touches the compiler, and functions are left as they are written.
"""

import functools
import hashlib
import os
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from types import FunctionType
from typing import Any, TypeVar

import numpy as np

from sim import kernel

LINEAR_ALGEBRA = "scipy.linalg"

if kernel.COMPILES:
    import numba

    if kernel.OWN_PROCESS and LINEAR_ALGEBRA not in sys.modules:
        sys.modules[LINEAR_ALGEBRA] = None  # type: ignore[assignment]
        try:
            import numba.np.arraymath
        finally:
            del sys.modules[LINEAR_ALGEBRA]

    numba.config.SLP_VECTORIZE = 1  # type: ignore[attr-defined]
    # Let the compiler put independent scalar operations side by side: a tenth of a single run. Numba leaves it off; every
    # proof of the kernel in tests runs with it on.

Function = TypeVar("Function", bound=Callable[..., Any])

FLAGS: dict[str, Any] = {"fastmath": {"nsz", "arcp", "contract", "afn", "reassoc"}, "error_model": "numpy"}
"""Compile flags of every kernel function.

`nnan` and `ninf` are left out of fast-math on purpose: a run that blows up must be seen to.
"""

SINGLE = 1
"""Lanes of the kernel for one set-up, which also writes time histories."""

BLOCK = 16
"""Lanes of the kernel for many set-ups; fewer than 16 are not vectorised (two registers a row)."""


def source_hash() -> str:
    """Return a hash of all kernel sources and of the compiler's version."""
    digest = hashlib.sha256(numba.__version__.encode() if kernel.COMPILES else b"")
    for path in sorted(Path(__file__).parent.glob("*.py")):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


def _cache_root() -> Path:
    """Return a folder that can be written: the user's cache, else the system's temporary one."""
    candidates = [os.environ.get("NUMBA_CACHE_DIR"), os.environ.get("XDG_CACHE_HOME")]
    for named in filter(None, candidates):
        if _writable(Path(named) / "jounce"):
            return Path(named) / "jounce"
    try:
        user = Path.home() / ".cache" / "jounce"
    except RuntimeError:
        user = None
    if user is not None and _writable(user):
        return user
    return Path(tempfile.gettempdir()) / f"jounce-cache-{os.getuid() if hasattr(os, 'getuid') else 'user'}"


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError:
        return False
    return os.access(folder, os.W_OK)


CACHE_FOLDER = _cache_root() / source_hash()
"""Where the compiled kernels of exactly these sources are kept."""


def compiled(function: Function) -> Function:
    """Compile a kernel function, cached under the hash of all kernel sources."""
    if not kernel.COMPILES:
        return _plain(function)
    config: Any = numba.config
    before = config.CACHE_DIR
    config.CACHE_DIR = str(CACHE_FOLDER)
    try:
        result: Function = numba.njit(cache=True, **FLAGS)(function)
    finally:
        config.CACHE_DIR = before
    return result


def _plain(function: Function) -> Function:
    """Return a function that runs as Python and divides by zero as compiled code does: to what is not finite, silently."""

    @functools.wraps(function)
    def silent(*values: Any) -> Any:
        with np.errstate(all="ignore"):
            return function(*values)

    return silent  # type: ignore[return-value]


def inlined(function: Function) -> Function:
    """Compile a small law that is always called from other kernel functions."""
    if not kernel.COMPILES:
        return function
    result: Function = numba.njit(**FLAGS)(function)
    return result


def blocked(function: Function) -> Function:
    """Put a loop over lanes into its caller, so that the lane count is a constant inside it."""
    if not kernel.COMPILES:
        return function
    result: Function = numba.njit(inline="always", **FLAGS)(function)
    return result


def light(function: Function) -> Function:
    """Return a function whose blocked callees are put in by the machine-code compiler, not into its own text.

    For one lane this runs as fast and compiles in half the time; for a block, loops over lanes would not be vectorised.
    """
    if not kernel.COMPILES:
        return function
    known: dict[str, Any] = {}

    def copied(original: Callable[..., Any]) -> FunctionType:
        own = dict(original.__globals__)
        for name in original.__code__.co_names:
            called: Any = own.get(name)
            if getattr(called, "targetoptions", {}).get("inline") == "always":
                if name not in known:
                    known[name] = numba.njit(forceinline=True, **FLAGS)(copied(called.py_func))
                own[name] = known[name]
        made = FunctionType(original.__code__, own, original.__name__, original.__defaults__, original.__closure__)
        made.__qualname__, made.__module__ = original.__qualname__, original.__module__
        return made

    result: Any = copied(function)
    return result  # type: ignore[no-any-return]


def is_cached() -> bool:
    """Tell whether these sources have been compiled on this machine before, or need not be."""
    return not kernel.COMPILES or (CACHE_FOLDER.is_dir() and any(CACHE_FOLDER.rglob("*.nbc")))
