"""What makes the compiler quicker changes nothing that it makes, and gives way where the compiler lacks the names for it."""

from collections import Counter

import numba
import numpy as np
import pytest
from numba.core import codegen
from numba.core.types.functions import BaseFunction

from sim.machine import callees
from sim.machine.callees import callee
from sim.machine.jit import FLAGS
from sim.machine.remembered import remembered


def doubled(values, place):
    """Return twice a value, or the number of values if there is none at that place."""
    count = 0
    if place < values.size:
        return 2.0 * values[place] + values[place] * 0.0
    for _ in range(values.size):
        count += 1
    return count * 1.0


@pytest.fixture
def values():
    return np.array([1.5, -2.0, 4.0])


def test_a_callee_is_put_into_its_caller(values):
    inner = callee(doubled)

    def caller(given, place):
        return inner(given, place) + inner(given, place + 1)

    outer = numba.njit(**FLAGS)(caller)
    assert outer(values, 1) == caller.__globals__["doubled"](values, 1) + doubled(values, 2) == 4.0
    (code,) = outer.inspect_llvm().values()
    calls = [line for line in code.splitlines() if " call " in line and "doubled" in line]
    assert not calls


def test_a_compiler_that_makes_libraries_otherwise_does_all_it_did(monkeypatch, values):
    monkeypatch.setattr(callees, "MethodType", lacking)
    inner = callee(doubled)
    assert numba.njit(lambda given, place: inner(given, place))(values, 2) == 8.0


def test_a_compiler_that_optimises_otherwise_does_all_it_did(monkeypatch, values):
    real, first = codegen.CPUCodegen._module_pass_manager, iter([True])

    def manager(self, **options):
        if options.get("cost") == "cheap" and next(first, False):
            lacking()
        return real(self, **options)

    monkeypatch.setattr(codegen.CPUCodegen, "_module_pass_manager", manager)
    inner = callee(doubled)
    assert numba.njit(lambda given, place: inner(given, place))(values, 2) == 8.0
    assert next(first, None) is None


def lacking(*_):
    raise AttributeError("a name of another version")


def test_an_operator_is_looked_up_once_for_each_pair_of_types(monkeypatch):
    asked = Counter()
    find = BaseFunction.get_call_type

    def counted(self, context, args, kws):
        asked[self, tuple(args)] += 1
        return find(self, context, args, kws)

    monkeypatch.setattr(BaseFunction, "get_call_type", counted)

    def polynomial(x, n):
        return x * x + x * x * x + x * n + x * n + n * n

    plain, quick = numba.njit(polynomial), numba.njit(polynomial)
    plain.compile((numba.float64, numba.int64))
    assert max(asked.values()) > 2
    often = Counter(asked)
    asked.clear()
    with remembered():
        quick.compile((numba.float64, numba.int64))
    assert asked.keys() == often.keys()
    assert set(asked.values()) == {1}
    assert plain(0.3, 3) == quick(0.3, 3)
    (one,), (other,) = plain.overloads.values(), quick.overloads.values()
    assert one.signature == other.signature
    assert sorted(map(str, one.type_annotation.typemap.values())) == sorted(
        map(str, other.type_annotation.typemap.values())
    )


def test_it_forgets_afterwards_even_if_the_work_fails():
    find = BaseFunction.get_call_type
    with remembered():
        assert BaseFunction.get_call_type is not find
    assert BaseFunction.get_call_type is find
    with pytest.raises(numba.TypingError), remembered():
        numba.njit(lambda x: x + "metres").compile((numba.float64,))
    assert BaseFunction.get_call_type is find
