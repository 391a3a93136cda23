"""Values that two processes find, this one and a copy of it, and that all come together here."""

import io
import mmap
import os
import pickle
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from typing import Any

from sim.machine.copies import Copy, begun, can_split, is_taken, memory

ALIGNED = 64
"""Arrays begin at multiples of so many bytes, as compiled code likes them."""


@contextmanager
def found_by_two(
    pieces: Sequence[Callable[[], Any]], known: Sequence[object] = ()
) -> Iterator[Callable[..., list[Any]]]:
    """Find values in a copy of this process, from the first on, and here, from the last on; whoever is free takes the next.

    Where no copy is made all are found here, in order; where it fails, or one of its pieces does, they are found here again, so that
    an error is met here, and of several that of the first.

    Parameters
    ----------
    pieces : sequence of callables
        Each returns a value that can be pickled. Arrays in it come back through memory that both processes have, and are copied once.
    known : sequence of objects
        Which both processes have, so that they are not sent: a value that holds one holds that very object here too.

    Yields
    ------
    callable
        Does this process' share and returns all values. A function that it is given is told the number of each piece that is begun here.
        To be called once; what else this process has to do comes before that.
    """
    with ExitStack() as kept:
        copy, claims, sent = None, -1, []
        if can_split() and len(pieces) > 1:
            claims, *sent = (memory(kept, name) for name in ("claims", *("value" for _ in pieces)))
            copy = begun(lambda: _send(pieces, claims, sent, known))
        if copy is not None:
            kept.enter_context(copy)
        yield lambda tell=_nobody: _all(pieces, copy, claims, sent, known, tell)


def _nobody(number: int) -> None:
    """Tell nobody."""


def _all(
    pieces: Sequence[Callable[[], Any]], copy: Copy | None, claims: int, sent: Sequence[int], known: Sequence[object],
    tell: Callable[[int], object],
) -> list[Any]:  # fmt: skip
    values: dict[int, Any] = {}
    if copy is not None:
        for number in reversed(range(len(pieces))):
            if not is_taken(claims, number):
                tell(number)
                try:
                    values[number] = pieces[number]()
                # Of several that fail the first one counts, and the copy may be at that.
                except Exception:
                    break
        copy.failed()
        for number in set(range(len(pieces))) - set(values):
            if os.pread(sent[number], 8, 0).strip(b"\0"):
                values[number] = _received(sent[number], known)
    for number in range(len(pieces)):
        if number not in values:
            tell(number)
            values[number] = pieces[number]()
    return [values[number] for number in range(len(pieces))]


def _send(pieces: Sequence[Callable[[], Any]], claims: int, sent: Sequence[int], known: Sequence[object]) -> None:
    for number, piece in enumerate(pieces):
        if not is_taken(claims, number):
            _write(sent[number], piece(), known)


def _write(place: int, value: Any, known: Sequence[object]) -> None:
    """Write a value: how long its parts are, the parts themselves; the first one says what the others, its arrays, are."""
    arrays: list[pickle.PickleBuffer] = []
    head = io.BytesIO()
    _Pickler(head, known, arrays).dump(value)
    parts = [head.getbuffer(), *(array.raw() for array in arrays)]
    lengths = pickle.dumps([part.nbytes for part in parts])
    begins = _begins(len(lengths), [part.nbytes for part in parts])
    # The length of the list of lengths comes last: without it nothing is taken as written.
    for begin, part in zip(begins, parts, strict=False):
        os.pwrite(place, part, begin)
    os.pwrite(place, lengths, 8)
    os.pwrite(place, len(lengths).to_bytes(8, "little"), 0)


def _begins(lengths: int, parts: Sequence[int]) -> list[int]:
    """Return where parts begin, and where all end, after a list of lengths of so many bytes."""
    begins = [_aligned(8 + lengths)]
    for part in parts:
        begins.append(_aligned(begins[-1] + part))
    return begins


def _aligned(place: int) -> int:
    return -(-place // ALIGNED) * ALIGNED


def _received(place: int, known: Sequence[object]) -> Any:
    # Private pages: what is changed in an array here is changed here alone. They are there as long as an array of them is.
    read = memoryview(mmap.mmap(place, 0, access=mmap.ACCESS_COPY))
    many = int.from_bytes(read[:8], "little")
    parts = pickle.loads(read[8 : 8 + many])
    begins = _begins(many, parts)
    head, *arrays = (read[begin : begin + part] for begin, part in zip(begins, parts, strict=False))
    return _Unpickler(io.BytesIO(head), known, arrays).load()


class _Pickler(pickle.Pickler):
    def __init__(self, file: io.BytesIO, known: Sequence[object], arrays: list[pickle.PickleBuffer]) -> None:
        super().__init__(file, 5, buffer_callback=arrays.append)
        self._known = {id(one): number for number, one in enumerate(known)}

    def persistent_id(self, obj: Any) -> int | None:
        return self._known.get(id(obj))


class _Unpickler(pickle.Unpickler):
    def __init__(self, file: io.BytesIO, known: Sequence[object], arrays: Sequence[memoryview]) -> None:
        super().__init__(file, buffers=arrays)
        self._known = known

    def persistent_load(self, pid: int) -> object:
        return self._known[pid]
