"""Compiled code kept as what the processor runs, and called without the compiler being loaded.

Reading a function back by the compiler's own cache means loading all of the compiler first, its tables of types and of array
functions too: 0.9 s of processor time in each command, of which a function itself is some milliseconds. So beside that cache
stands the machine code alone, with the name of its entry and what it takes; LLVM, which the compiler stands on, puts it into
memory, and it is called with plain pointers and numbers.

What it takes is written here as a word: for each argument the letter of an array's type and its number of dimensions
(`d2`), or INTEGER, DOUBLE or SINGLE for a number. Anything else is left to the compiler.
"""

import ctypes
import os
import sys
from collections.abc import Callable
from contextlib import suppress
from functools import cache
from hashlib import sha256
from pathlib import Path
from secrets import token_hex
from typing import Any

import numpy as np

INTEGER, DOUBLE, SINGLE = "i", "f", "s"

NUMBERS: dict[type, str] = {int: INTEGER, np.int64: INTEGER, float: DOUBLE, np.float64: DOUBLE, np.float32: SINGLE}
"""Words of the types of numbers."""

AS_C: dict[str, Any] = {INTEGER: ctypes.c_int64, DOUBLE: ctypes.c_double, SINGLE: ctypes.c_float}

WHERE_TRIED = sys.platform == "linux"
"""How a compiled function is called is the same on other systems by the compiler's rules; it has been tried on this one."""

SUFFIX = ".native"
"""Ending of these files."""

MARK = sha256().digest_size


class DamagedError(Exception):
    """A file is not as it was written."""


def _word(value: Any) -> str | None:
    # A number with what is known of it is a float to whoever computes with it, and so to compiled code.
    return NUMBERS.get(type(value)) or (DOUBLE if isinstance(value, float) else None)


def words(given: tuple[Any, ...]) -> str | None:
    """Return what a function is given as words; None if there is something in it that is left to the compiler."""
    found = []
    for value in given:
        if type(value) is np.ndarray:
            if not value.flags.carray or value.dtype.byteorder == ">":
                return None
            found.append(f"{value.dtype.char}{value.ndim}")
        else:
            word = _word(value)
            if word is None:
                return None
            found.append(word)
    return " ".join(found)


def in_c(given: tuple[Any, ...]) -> list[Any]:
    """Return arguments as the machine code takes them: an array as its place and shape, and nothing that owns it."""
    out: list[Any] = []
    for value in given:
        if type(value) is np.ndarray:
            # The compiler's own layout: owner, parent, items, bytes an item, place, then lengths and strides in bytes.
            for number in (
                0, 0, value.size, value.itemsize, value.__array_interface__["data"][0], *value.shape, *value.strides,
            ):  # fmt: skip
                out.append(ctypes.c_int64(number))
        else:
            word = _word(value)
            assert word is not None  # `words` has left such arguments to the compiler
            out.append(AS_C[word](value))
    return out


class Entry:
    """Machine code of one function for one kind of arguments, in memory."""

    def __init__(self, address: int, gives: str) -> None:
        self._call = ctypes.CFUNCTYPE(ctypes.c_int32)(address)
        self._gives = gives

    def bound(self, given: tuple[Any, ...]) -> Callable[[], Any]:
        """Return a call with these arguments, whose arrays are read when it is called."""
        result: Any = AS_C.get(self._gives, ctypes.c_int64)(0)
        error = ctypes.c_void_p(None)
        whole = (ctypes.byref(result), ctypes.byref(error), *in_c(given))
        call, gives = self._call, bool(self._gives)

        def go(_held: tuple[Any, ...] = given) -> Any:  # whoever holds the call holds the arrays
            status = call(*whole)
            if status != 0 and status != NONE:
                raise RuntimeError(f"compiled code ended with status {status}")
            return result.value if gives else None

        return go


NONE = -2
"""Status with which a function ends that returns nothing."""


def of_types(args: Any, returned: Any) -> tuple[str, str] | None:
    """Return a compiled function's arguments and result in words, from the compiler's types; None if it takes or gives something else."""
    from numba import types

    numbers = {types.int64: INTEGER, types.float64: DOUBLE, types.float32: SINGLE}
    found = []
    for one in args:
        if isinstance(one, types.Array):
            if one.layout != "C" or not one.mutable or not one.aligned:
                return None
            found.append(f"{np.dtype(str(one.dtype)).char}{one.ndim}")
        elif one in numbers:
            found.append(numbers[one])
        else:
            return None
    results = {types.int64: INTEGER, types.float64: DOUBLE, types.none: ""}
    return (" ".join(found), results[returned]) if returned in results else None


def kept(folder: Path, function: Callable[..., Any], made: Any) -> None:
    """Keep what the compiler has made (a compile result) of a function."""
    if not WHERE_TRIED:
        return
    what = of_types(made.signature.args, made.signature.return_type)
    if what is None:
        return
    _, _, (code, _) = made.library.serialize_using_object_code()
    # Two words and the code, plain: nothing that is read back here is more than data until the processor runs it.
    raw = b"\0".join((made.fndesc.llvm_func_name.encode(), what[1].encode(), code))
    path = place(folder, function, what[0])
    new = path.with_name(f"{path.name}.{token_hex(4)}")
    try:
        new.write_bytes(sha256(raw).digest() + raw)
        new.replace(path)
    except OSError:
        with suppress(OSError):
            new.unlink(missing_ok=True)


def entry(folder: Path, function: Callable[..., Any], given: str) -> Entry | None:
    """Return the machine code of a function for such arguments; None if it has not been kept.

    Raises
    ------
    DamagedError
        If the file is not as it was written.
    """
    if not WHERE_TRIED:
        return None
    try:
        whole = place(folder, function, given).read_bytes()
    except OSError:
        return None
    return unpacked(whole, function.__name__)


def unpacked(whole: bytes, name: str) -> Entry:
    """Return the machine code that a file holds, put into memory.

    Parameters
    ----------
    whole : bytes
        What the file holds.
    name : str
        What to call it if it is damaged.

    Raises
    ------
    DamagedError
        If it is not as it was written.
    """
    mark, raw = whole[:MARK], whole[MARK:]
    if sha256(raw).digest() != mark:
        raise DamagedError(name)
    symbol, gives, code = raw.split(b"\0", 2)
    return Entry(_in_memory(symbol.decode(), code), gives.decode())


def _by_key(folder: Path, function: Callable[..., Any], given: str) -> Path:
    key = sha256(f"{given} {_processor()} {_text(function)}".encode()).hexdigest()[:16]
    return folder / f"{function.__name__}-{key}{SUFFIX}"


place: Callable[[Path, Callable[..., Any], str], Path] = _by_key
"""Where the code of a function for such arguments is kept; what is compiled to be shipped goes elsewhere, under other names."""


def _text(function: Callable[..., Any]) -> str:
    """Return what tells a function from an older one of its name: its file's text, and what it has from the function around it."""
    code = function.__code__
    around = [cell.cell_contents for cell in function.__closure__ or ()]
    own = [getattr(one, "__qualname__", repr(one)) for one in around]
    return f"{function.__module__} {hash_of(code.co_filename)} {code.co_firstlineno} {sha256(code.co_code).hexdigest()} {own}"


@cache
def hash_of(file: str) -> str:
    """Return the hash of a file's text; empty if there is none, as it was typed in."""
    try:
        return sha256(Path(file).read_bytes()).hexdigest()
    except OSError:
        return ""


@cache
def _processor() -> str:
    """Return for which processor code is made, and what a person has set about it."""
    here = llvm()
    set_by_hand = sorted(f"{key}={value}" for key, value in os.environ.items() if key.startswith("NUMBA_"))
    own = [one for one in set_by_hand if not one.startswith("NUMBA_CACHE_DIR=")]
    return " ".join((here.get_host_cpu_name(), here.get_host_cpu_features().flatten(), *own))


@cache
def llvm() -> Any:
    """Return what the compiler stands on, loaded when it is first needed."""
    import llvmlite.binding

    return llvmlite.binding


_held: list[Any] = []
"""What holds the code in memory, for as long as the process lives."""


def _in_memory(symbol: str, code: bytes) -> int:
    here = llvm()
    here.initialize_native_target()
    here.initialize_native_asmprinter()
    machine = here.Target.from_default_triple().create_target_machine(jit=True)
    engine = here.create_mcjit_compiler(here.parse_assembly(""), machine)
    # The way in for Python is in it too, and asks for the compiler's helpers. Nobody goes that way: any place does for them, and
    # the compiler names the true ones if it is loaded after all.
    for helper in HELPERS:
        if here.address_of_symbol(helper) is None:
            here.add_symbol(helper, here.address_of_symbol("abort"))
    engine.add_object_file(here.ObjectFileRef.from_data(code))
    engine.finalize_object()
    _held.append(engine)
    address = engine.get_function_address(symbol)
    if not address:
        raise DamagedError(symbol)
    return int(address)


HELPERS = (
    "NRT_MemInfo_call_dtor", "NRT_adapt_ndarray_from_python", "NRT_adapt_ndarray_to_python_acqref", "NRT_Free",
    "NRT_MemInfo_alloc_aligned", "NRT_Allocate", "numba_gil_ensure", "numba_gil_release", "numba_do_raise",
    "numba_unpickle", "numba_runtime_build_excinfo_struct",
)  # fmt: skip
"""The compiler's helpers that machine code may name."""
