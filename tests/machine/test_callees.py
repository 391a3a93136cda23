"""What makes the compiler quicker changes nothing that it makes, and gives way where the compiler lacks the names for it."""

from collections import Counter

import numba
import numpy as np
import pytest
from numba.core import codegen
from numba.core.types.functions import BaseFunction

from sim import machine
from sim.kernel.equations import accelerations, axle_block
from sim.kernel.layout import MOTION
from sim.machine import callees
from sim.machine.callees import callee
from sim.machine.jit import BLOCK, FLAGS, SINGLE
from sim.machine.remembered import remembered


@pytest.fixture(autouse=True)
def switched_on(monkeypatch):
    """What is asked here is how it works, not whether it is switched on."""
    monkeypatch.setattr(machine, "PLAIN", False)


def doubled(values, place, lanes):
    """Return twice a value, or the number of values if there is none at that place."""
    count = 0
    if lanes > 3:
        return 100.0
    if place < values.size:
        return 2.0 * values[place] + values[place] * 0.0
    for _ in range(values.size):
        count += 1
    return count * 1.0


@pytest.fixture
def values():
    return np.array([1.5, -2.0, 4.0])


def test_a_callee_is_put_into_its_caller(values):
    inner = callee(doubled, **FLAGS)

    def caller(given, place):
        return inner(given, place, 1) + inner(given, place + 1, 1)

    outer = numba.njit(**FLAGS)(caller)
    assert outer(values, 1) == doubled(values, 1, 1) + doubled(values, 2, 1) == 4.0
    (code,) = outer.inspect_llvm().values()
    calls = [line for line in code.splitlines() if " call " in line and "doubled" in line]
    assert not calls


def test_a_callee_knows_the_constants_that_it_is_called_with():
    """In a block all of them, as it is vectorised for them; in a single run only what decides its text."""
    inner = callee(summed, **FLAGS)
    block = numba.njit(**FLAGS)(lambda m: inner(m, 0, 4) + inner(m, 1, 4))
    m = np.arange(8.0)
    assert block(m) == m.sum()
    assert [tuple(of.literal_value for of in one.args[1:]) for one in inner.nopython_signatures] == [(0, 4), (1, 4)]
    single = numba.njit(**FLAGS)(lambda m: inner(m, 0, 1) + inner(m, 1, 1))
    assert single(m) == m[0] + m[1]
    (one,) = inner.nopython_signatures[2:]
    assert one.args[1] == numba.int64
    assert one.args[2].literal_value == 1


def test_a_callee_can_be_called_by_python_whatever_it_was_compiled_for():
    inner = callee(summed, **FLAGS)
    m = np.arange(8.0)
    for lanes in (1, 4):
        assert numba.njit(**FLAGS)(lambda m, lanes=lanes: inner(m, 1, lanes))(m) == summed(m, 1, lanes)
    assert numba.njit(**FLAGS)(lambda m: inner(m, 1, 1) + inner(m, 1, 4))(m) == summed(m, 1, 1) + summed(m, 1, 4)
    for lanes in (1, 4, 2):
        assert inner(m, 1, lanes) == summed(m, 1, lanes)


def summed(m, row, lanes):
    total = 0.0
    for lane in range(lanes):
        total += m[row * lanes + lane]
    return total


@pytest.mark.hours
@pytest.mark.long  # it compiles from nothing
@pytest.mark.skipif(machine.PLAIN, reason="asks of the kernel as it is compiled with what JOUNCE_PLAIN switches off")
def test_a_single_run_compiles_each_function_once_and_a_block_knows_which_axle():
    """Else the first run takes twice as long, or a block reads its rows lane by lane."""
    for lanes in (SINGLE, BLOCK):
        numba.njit(**FLAGS)(partly(lanes)).compile((numba.typeof(np.zeros(1)),))
    held = [one for one in axle_block.nopython_signatures if not one.args[-1].literal_value]
    by_lanes = Counter(one.args[2].literal_value for one in held)
    assert by_lanes == {SINGLE: 1, BLOCK: 4}  # general or not, front and rear
    for one in held:
        if one.args[2].literal_value == BLOCK:
            assert {type(of).__name__ for of in one.args[1:]} == {"IntegerLiteral", "BooleanLiteral"}


def partly(lanes):
    def equations(m):
        accelerations(m, lanes, MOTION, True, False, 0.0, 0.0)
        accelerations(m, lanes, MOTION, False, False, 0.0, 0.0)

    return equations


def test_a_compiler_that_makes_libraries_otherwise_does_all_it_did(monkeypatch, values):
    monkeypatch.setattr(callees, "MethodType", lacking)
    inner = callee(doubled, **FLAGS)
    assert numba.njit(lambda given, place: inner(given, place, 1))(values, 2) == 8.0


def test_a_compiler_that_optimises_otherwise_does_all_it_did(monkeypatch, values):
    real, first = codegen.CPUCodegen._module_pass_manager, iter([True])

    def manager(self, **options):
        if options.get("cost") == "cheap" and next(first, False):
            lacking()
        return real(self, **options)

    monkeypatch.setattr(codegen.CPUCodegen, "_module_pass_manager", manager)
    inner = callee(doubled, **FLAGS)
    assert numba.njit(lambda given, place: inner(given, place, 1))(values, 2) == 8.0
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
