"""How the kernel is compiled: flags, cache and lane counts, all in this one file.

Numba's disk cache looks only at the file of the function that it compiles. An edit of a force law
in another file would go unseen and the old law would run, silently. So the cache folder is named
by a hash of every kernel source: any edit compiles once and is then cached again.

The compiler is loaded when something is compiled, not before: what was compiled on this machine is called without it
(`sim.machine.native`), and loading it takes longer than a comparison computes.

If `sim.machine.COMPILES` is false, nothing here touches the compiler: what comes compiled with the package is called, and other functions
are left as they are written. If the compiler itself is switched off (NUMBA_DISABLE_JIT=1) all of them are.
"""

import functools
import hashlib
import os
from collections.abc import Callable
from importlib.util import find_spec
from pathlib import Path
from types import FunctionType
from typing import Any, TypeVar

import numpy as np

from sim import machine
from sim.machine import cache, native, shipped
from sim.machine.callees import callee
from sim.machine.remembered import remembered

SWITCHED_OFF = os.environ.get("NUMBA_DISABLE_JIT", "0") not in ("", "0")

COMPILES = machine.COMPILES and not SWITCHED_OFF


@functools.cache
def _compiler() -> Any:
    """Return the compiler, loaded when it is first needed."""
    import numba

    if not machine.PLAIN:
        # Let the compiler put independent scalar operations side by side: a sixth of a block of single precision. Numba leaves
        # it off; every proof of the kernel in tests runs with it on.
        config: Any = numba.config
        config.SLP_VECTORIZE = 1
    return numba


Function = TypeVar("Function", bound=Callable[..., Any])

FLAGS: dict[str, Any] = {"fastmath": {"nsz", "arcp", "contract", "afn"}, "error_model": "numpy"}
"""Compile flags of every kernel function but `exact` ones.

`nnan` and `ninf` are left out of fast-math on purpose: a run that blows up must be seen to. `reassoc` is too: sums are then put
in another order in one half of the lanes than in the other, and a set-up's last digit depended on where it stands in a block.
"""

EXACT: dict[str, Any] = {**FLAGS, "fastmath": False}
"""Those of functions whose sums no flag may rearrange."""

HOW = ("jit", "callees", "native", "remembered")
"""Files of this folder that decide what machine code comes of the kernel's text."""

SINGLE = 1
"""Lanes of the kernel for one set-up, which also writes time histories."""

FEW = 4
"""Lanes of the kernel for a few set-ups with their time histories: a row of doubles is one register."""

BLOCK = 16
"""Lanes of the kernel for many set-ups; fewer than 16 are not vectorised (two registers a row)."""

ONE = "single_run"
"""Name under which the run of one set-up is kept in the cache."""

FOUR = "four_runs"
"""Name under which the run of a few set-ups is."""

DRIVEN = "driven_run"
"""Name under which that of a launch or a stop is."""

WIDE = "wide_block"
"""Name under which the block of double precision is."""

NARROW = "narrow_block"
"""Name under which the block of single precision is kept in the cache."""


def source_hash() -> str:
    """Return a hash of all kernel sources and of the compiler's version."""
    # Not the processor: that is in the compiler's own key.
    return _hash(_compiler_version() if COMPILES else "", HOW)


def _compiler_version() -> str:
    """Return which compiler is installed, without loading it: the text of the file in which it says so."""
    found = find_spec("numba")
    assert found is not None
    assert found.origin is not None
    return (Path(found.origin).parent / "_version.py").read_text(encoding="utf-8")


@functools.cache
def text_hash() -> str:
    """Return a hash of all kernel sources alone: of what is compiled once and shipped, by whichever version."""
    # How machine code is kept and read back does not change what is shipped.
    return _hash("", ("jit", "callees"))


def _hash(first: str, how: tuple[str, ...]) -> str:
    digest = hashlib.sha256(first.encode())
    here = Path(__file__).parent
    for path in (*sorted((here.parent / "kernel").glob("*.py")), *(here / f"{name}.py" for name in how)):
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]


CACHE_FOLDER = cache.folder(source_hash() + ("-plain" if machine.PLAIN else "")) if machine.COMPILES else None
"""Where the compiled kernels of exactly these sources are kept; None if there is no place that is safe."""


class Compiled:
    """A kernel function that is compiled when it is called, or asked for anything else: until then the compiler is not loaded.

    To the compiler, which meets it as a name in another function's text, it is what it makes of it (`_numba_type_`).
    """

    def __init__(self, function: Callable[..., Any], make: Callable[[], Any], folder: Path | None = None) -> None:
        functools.update_wrapper(self, function)
        self.py_func = function
        self._make, self._folder = make, folder
        self._made: Any = None
        self._entries: dict[str, native.Entry | None] = {}

    @property
    def made(self) -> Any:
        """What the compiler makes of it."""
        if self._made is None:
            self._made = self._make()
        return self._made

    @property
    def _numba_type_(self) -> Any:
        return self.made._numba_type_

    def __getattr__(self, name: str) -> Any:
        # Python itself asks for many a thing that nothing has.
        if name.startswith("__"):
            raise AttributeError(name)
        return getattr(self.made, name)

    def __call__(self, *given: Any) -> Any:
        """Run it."""
        entry = self._entry(given)
        return self.made(*given) if entry is None else entry.bound(given)()

    def bound(self, *given: Any) -> Callable[[], Any]:
        """Return a call with these arguments, whose arrays are read each time that it is called."""
        entry = self._entry(given)
        return functools.partial(self.made, *given) if entry is None else entry.bound(given)

    def _entry(self, given: tuple[Any, ...]) -> native.Entry | None:
        if machine.PLAIN or (words := native.words(given)) is None:
            return None
        if words not in self._entries:
            # In this order, whatever this process has compiled meanwhile: its last digits are those of every other process.
            self._entries[words] = self._shipped(words) or self._read_back(words)
        return self._entries[words]

    def _shipped(self, words: str) -> native.Entry | None:
        try:
            return shipped.entry(self.py_func, words, text_hash())
        except Exception:  # a damaged file is no reason not to run: it is compiled
            cache.said(cache.SHIPPED_DAMAGED)
            return None

    def _read_back(self, words: str) -> native.Entry | None:
        # What this process has compiled is as good, and there already.
        if self._folder is None or self._made is not None:
            return None
        try:
            return native.entry(self._folder, self.py_func, words)
        except Exception:  # whatever comes of bytes that are not what was written
            cache.said(cache.DAMAGED)
            cache.thrown_away(self._folder, self.__name__)
            return None


def bound(function: Callable[..., Any], *given: Any) -> Callable[[], Any]:
    """Return a call of a kernel function with these arguments, whose arrays are read each time that it is called.

    For a call that is done again and again: handing over so many arguments takes longer than to evaluate the equations once.
    """
    return function.bound(*given) if isinstance(function, Compiled) else functools.partial(function, *given)


def compiled(function: Function, further: Callable[[Any], Any] | None = None) -> Function:
    """Compile a kernel function, cached under the hash of all kernel sources.

    further : what its text is put through first, such as `narrowed`. That is done only when the function is not found in
    the cache, as it takes a while: its own text and name are the key.
    """
    if SWITCHED_OFF or (machine.PLAIN and not COMPILES):
        return _plain(function)
    if not COMPILES:  # what comes with the package is there without the compiler
        return Compiled(function, lambda: _plain(function))  # type: ignore[return-value]

    def make() -> Any:
        dispatcher: Any = _kept(function)
        if not machine.PLAIN:
            dispatcher._compiler.compile = _quick(dispatcher._compiler.compile)
        if further is not None:
            # Numba asks for it when the cache has nothing: only then is the copy written.
            dispatcher._compiler._get_implementation = lambda *_: further(function)
        return dispatcher

    folder = None if machine.PLAIN else CACHE_FOLDER
    return Compiled(function, make, folder)  # type: ignore[return-value]


def _kept(function: Callable[..., Any]) -> Any:
    """Return a function that compiles when it is called, and then is kept, where there is a place for that."""
    numba = _compiler()
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
    folder = CACHE_FOLDER
    cache.sealed(dispatcher, lambda made: None if machine.PLAIN else native.kept(folder, function, made))
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
    return Compiled(function, lambda: _compiler().njit(forceinline=True, **FLAGS)(function))  # type: ignore[return-value]


def exact(function: Function) -> Function:
    """Compile a small function whose additions are done as written: no flag may rearrange them."""
    if not COMPILES:
        return function
    return Compiled(function, lambda: _compiler().njit(forceinline=True, **EXACT)(function))  # type: ignore[return-value]


def blocked(function: Function) -> Function:
    """Compile a loop over lanes, or a part of one, that is put into its caller for the lane count that it has there."""
    if not COMPILES:
        return function
    return Compiled(function, lambda: _callee(function, FLAGS))  # type: ignore[return-value]


def _callee(function: Callable[..., Any], flags: dict[str, Any]) -> Any:
    _compiler()
    return callee(function, **flags)


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
                    known[called] = _callee(copied(called.py_func), flags)
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
    if not machine.COMPILES or shipped.has(name, text_hash()):
        return True
    return CACHE_FOLDER is not None and CACHE_FOLDER.is_dir() and any(CACHE_FOLDER.rglob(f"*.{name}*.nbc"))
