"""How the kernel is compiled: flags, cache and lane counts, all in this one file.

Numba's disk cache looks only at the file of the function that it compiles. An edit of a force law
in another file would go unseen and the old law would run, silently. So the cache folder is named
by a hash of every kernel source: any edit compiles once and is then cached again.

If `sim.machine.COMPILES` is false, nothing here touches the compiler, and functions are left as they are written; so they
are if the compiler itself is switched off (NUMBA_DISABLE_JIT=1).
"""

import functools
import hashlib
from collections.abc import Callable
from pathlib import Path
from types import FunctionType
from typing import Any, TypeVar

import numpy as np

from sim import machine
from sim.machine import cache
from sim.machine.remembered import remembered

COMPILES = machine.COMPILES
if COMPILES:
    import numba

    from sim.machine.callees import callee

    config: Any = numba.config
    COMPILES = not config.DISABLE_JIT
    if not machine.PLAIN:
        # Let the compiler put independent scalar operations side by side: a sixth of a block of single precision. Numba leaves
        # it off; every proof of the kernel in tests runs with it on.
        config.SLP_VECTORIZE = 1

Function = TypeVar("Function", bound=Callable[..., Any])

FLAGS: dict[str, Any] = {"fastmath": {"nsz", "arcp", "contract", "afn"}, "error_model": "numpy"}
"""Compile flags of every kernel function but `exact` ones.

`nnan` and `ninf` are left out of fast-math on purpose: a run that blows up must be seen to. `reassoc` is too: sums are then put
in another order in one half of the lanes than in the other, and a set-up's last digit depended on where it stands in a block.
"""

EXACT: dict[str, Any] = {**FLAGS, "fastmath": False}
"""Those of functions whose sums no flag may rearrange."""

HOW = ("jit", "callees", "remembered")
"""Files of this folder that decide what machine code comes of the kernel's text."""

SINGLE = 1
"""Lanes of the kernel for one set-up, which also writes time histories."""

BLOCK = 16
"""Lanes of the kernel for many set-ups; fewer than 16 are not vectorised (two registers a row)."""

ONE = "single_run"
"""Name under which the run of one set-up is kept in the cache."""

DRIVEN = "driven_run"
"""Name under which that of a launch or a stop is."""

WIDE = "wide_block"
"""Name under which the block of double precision is."""

NARROW = "narrow_block"
"""Name under which the block of single precision is kept in the cache."""


def source_hash() -> str:
    """Return a hash of all kernel sources and of the compiler's version."""
    # Not the processor: that is in the compiler's own key.
    return _hash(numba.__version__ if COMPILES else "")


def text_hash() -> str:
    """Return a hash of all kernel sources alone: of what is compiled once and shipped, by whichever version."""
    return _hash("")


def _hash(first: str) -> str:
    digest = hashlib.sha256(first.encode())
    here = Path(__file__).parent
    for path in (*sorted((here.parent / "kernel").glob("*.py")), *(here / f"{name}.py" for name in HOW)):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


CACHE_FOLDER = cache.folder(source_hash() + ("-plain" if machine.PLAIN else "")) if machine.COMPILES else None
"""Where the compiled kernels of exactly these sources are kept; None if there is no place that is safe."""


def compiled(function: Function, further: Callable[[Any], Any] | None = None) -> Function:
    """Compile a kernel function, cached under the hash of all kernel sources.

    further : what its text is put through first, such as `narrowed`. That is done only when the function is not found in
    the cache, as it takes a while: its own text and name are the key.
    """
    if not COMPILES:
        return _plain(function)
    result: Function = _kept(function)
    dispatcher: Any = result
    if not machine.PLAIN:
        dispatcher._compiler.compile = _quick(dispatcher._compiler.compile)
    if further is not None:
        # Numba asks for it when the cache has nothing: only then is the copy written.
        dispatcher._compiler._get_implementation = lambda *_: further(function)
    return result


def _kept(function: Callable[..., Any]) -> Any:
    """Return a function that compiles when it is called, and then is kept, where there is a place for that."""
    config: Any = numba.config
    # It is read when a function is wrapped: others' functions in the process must keep their own place.
    before = config.CACHE_DIR
    # Without the interpreter's lock: a process that works along must also hear from the others.
    how = {"nogil": True, **FLAGS}
    if CACHE_FOLDER is None:
        cache.said(cache.NOT_KEPT.format(reason=cache.NO_PLACE))
        return numba.njit(**how)(function)
    config.CACHE_DIR = str(CACHE_FOLDER)
    try:
        dispatcher = numba.njit(cache=True, **how)(function)
    except RuntimeError as error:  # nothing can be written there: the disk is full
        cache.said(cache.NOT_KEPT.format(reason=str(error).partition(":")[0]))
        return numba.njit(**how)(function)
    finally:
        config.CACHE_DIR = before
    cache.sealed(dispatcher)
    return dispatcher


def _quick(work: Callable[..., Any]) -> Callable[..., Any]:
    """Return the compiler's work with the meanings of operators remembered meanwhile."""

    @functools.wraps(work)
    def quick(*values: Any) -> Any:
        with remembered():
            return work(*values)

    return quick


def _plain(function: Function) -> Function:
    """Return a function that runs as Python and divides by zero as compiled code does: to what is not finite, silently."""

    @functools.wraps(function)
    def silent(*values: Any) -> Any:
        with np.errstate(all="ignore"):
            return function(*values)

    return silent  # type: ignore[return-value]


def inlined(function: Function) -> Function:
    """Compile a small law that is always called from other kernel functions, and put into them."""
    if not COMPILES:
        return function
    result: Function = numba.njit(forceinline=True, **FLAGS)(function)
    return result


def exact(function: Function) -> Function:
    """Compile a small function whose additions are done as written: no flag may rearrange them."""
    if not COMPILES:
        return function
    result: Any = numba.njit(forceinline=True, **EXACT)(function)
    return result  # type: ignore[no-any-return]


def blocked(function: Function) -> Function:
    """Compile a loop over lanes, or a part of one, that is put into its caller for the lane count that it has there."""
    if not COMPILES:
        return function
    result: Function = callee(function, **FLAGS)
    return result


def narrowed(function: Callable[..., Any]) -> Any:
    """Return a kernel function in single precision: its own text, with its constants and its callees' rounded to that.

    The compiler takes a literal as a double and widens all that meets it, so literals and named constants are what has
    to be changed; types of arrays then carry through. Sums that are kept in arrays of doubles stay doubles.
    """
    known: dict[Any, Any] = {}

    def rounded(value: Any) -> Any:
        return np.float32(value) if type(value) is float else value

    def copied(original: Callable[..., Any]) -> FunctionType:
        own = dict(original.__globals__)
        for word in original.__code__.co_names:
            called: Any = own.get(word)
            if hasattr(called, "py_func"):  # a compiled callee: it needs a copy in single precision too
                if called not in known:  # one copy each: it may be called from many places
                    flags = {key: called.targetoptions[key] for key in FLAGS}
                    known[called] = callee(copied(called.py_func), **flags)
                own[word] = known[called]
            elif word in own:
                # Named constants of its module; those of another module are attributes, which this does not see.
                own[word] = rounded(called)
        # Literals of the text itself.
        code = original.__code__.replace(co_consts=tuple(map(rounded, original.__code__.co_consts)))
        narrow = FunctionType(code, own, original.__name__, original.__defaults__, original.__closure__)
        narrow.__qualname__, narrow.__module__ = original.__qualname__, original.__module__
        return narrow

    return copied(function)


def is_cached(name: str = "") -> bool:
    """Tell whether these sources, or their function of that name, have been compiled here before, or need not be."""
    if not machine.COMPILES:
        return True
    return CACHE_FOLDER is not None and CACHE_FOLDER.is_dir() and any(CACHE_FOLDER.rglob(f"*.{name}*.nbc"))
