"""Values that a process and its copy find: each once, arrays as they were, errors as if one process had done all."""

import os
import signal
import sys
import time
from dataclasses import dataclass

import numpy as np
import pytest

from sim.machine import found as module
from sim.machine.found import found_by_two
from tests.waiting import FOR_EVER_S, until, written

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")


@dataclass(frozen=True)
class Part:
    name: str


@dataclass(frozen=True)
class Result:
    part: Part
    who: int
    arrays: dict[str, np.ndarray]


def test_all_values_come_in_order(split):
    with found_by_two([lambda number=number: number * number for number in range(50)]) as found:
        assert found() == [number * number for number in range(50)]


def test_both_processes_find_some(split, tmp_path):
    began = tmp_path / "began"

    def first():
        began.write_text("x")
        return os.getpid()

    with found_by_two([first, os.getpid, os.getpid, os.getpid]) as found:
        if split:
            until(lambda: written(began))
        who = found()
    assert (who[0] != os.getpid()) == split


def test_arrays_and_known_parts_come_as_they_were(split):
    part, drawn = Part("front"), np.random.default_rng(4)
    whole = drawn.normal(size=(1000, 7))
    arrays = {
        "whole": whole, "column": whole[:, 3], "turned": whole.T, "none": np.zeros(0), "counts": np.arange(5, dtype=np.int32),
        "yes": np.array([True, False]), "one": np.float64(2.5) * np.ones(()),
    }  # fmt: skip

    def one():
        return Result(
            part, os.getpid(), {name: values.copy() if name == "whole" else values for name, values in arrays.items()}
        )

    with found_by_two([one, lambda: (time.sleep(0.05), one())[1]], known=[part]) as found:
        values = found()
    for value in values:
        assert value.part is part
        for name, array in arrays.items():
            np.testing.assert_array_equal(value.arrays[name], array)
            assert value.arrays[name].dtype == array.dtype
    # Whoever changes an array changes it in that value alone.
    values[0].arrays["whole"][0, 0] = 1e9
    assert values[1].arrays["whole"][0, 0] == whole[0, 0] == arrays["whole"][0, 0]


def test_of_several_errors_the_first_is_met(split, capfd):
    def fails(number):
        raise ValueError(f"piece {number}")

    pieces = [lambda: 0, *(lambda number=number: fails(number) for number in range(1, 5))]
    with pytest.raises(ValueError, match="piece 1"), found_by_two(pieces) as found:
        found()
    assert capfd.readouterr() == ("", "")


def test_what_fails_in_the_copy_alone_is_found_here(split, capfd):
    here = os.getpid()

    def piece():
        if os.getpid() != here:
            raise OSError(28, "No space left on device")
        return 7

    with found_by_two([piece, piece, piece]) as found:
        assert found() == [7, 7, 7]
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize("when", ["at its piece", "while it writes"])
def test_a_copy_that_is_killed_costs_nothing_but_time(split, tmp_path, monkeypatch, when):
    here, began = os.getpid(), tmp_path / "began"

    def killed():
        began.write_text("x")
        os.kill(os.getpid(), signal.SIGKILL)

    def piece():
        if os.getpid() != here and when == "at its piece":
            killed()
        return np.ones(10_000)

    if when == "while it writes":
        real = module.os.pwrite

        def write(place, data, begin):
            # All but how long it is, which comes last.
            if os.getpid() != here and begin == 0 and len(data) == 8:
                killed()
            return real(place, data, begin)

        monkeypatch.setattr(module.os, "pwrite", write)
    with found_by_two([piece, piece]) as found:
        if split:
            until(lambda: written(began))
        values = found()
    for value in values:
        np.testing.assert_array_equal(value, np.ones(10_000))


def test_a_body_that_fails_leaves_no_copy(split, tmp_path):
    began = tmp_path / "began"

    def work():
        began.write_text(str(os.getpid()))
        time.sleep(FOR_EVER_S)

    def body():
        if split:
            until(lambda: written(began))
        raise ValueError("body")

    with pytest.raises(ValueError, match="body"), found_by_two([work, work]):
        body()
    assert began.exists() == split
    if split:
        with pytest.raises(ChildProcessError):  # it is not left to be waited for
            os.waitpid(int(began.read_text()), os.WNOHANG)


def test_who_begins_what_is_told(split):
    told = []
    with found_by_two([lambda: 1]) as found:
        assert found(told.append) == [1]
    assert told == [0]
