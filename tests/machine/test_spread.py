"""Work spread over processes: each part done once, by this process and others, whatever their number; errors come through,
and a process that is killed loses nothing."""

import errno
import os
import signal
import sys
import time
import warnings
from concurrent.futures import Future, wait
from functools import partial
from importlib import import_module
from multiprocessing import Pipe
from pathlib import Path

import pytest

from sim.cli.tuned_folders import _each
from sim.errors import RunError
from sim.machine import spread
from sim.machine.spread import IDLE_S, KILLED, KILLED_MOST, Spread, begun
from tests.waiting import FOR_EVER_S, is_running, until, written


class Slow:
    """A problem whose parts say who did them."""

    def solved(self, part):
        time.sleep(0.02)
        if part == "wrong":
            raise RunError("this part cannot be done")
        return os.getpid(), part


@pytest.mark.parametrize("parts", [1, 3, 40])
def test_each_part_is_done_once(parts):
    wanted = [f"part {number}" for number in range(parts)]
    with Spread(Slow(), 2) as spread:
        found = dict(spread.each(wanted))
        again = dict(spread.each(wanted))  # the processes are kept
    assert [found[number][1] for number in range(parts)] == wanted
    assert [again[number][1] for number in range(parts)] == wanted
    assert os.getpid() in {pid for pid, _ in found.values()}  # this process works along


def test_others_work_too():
    with Spread(Slow(), 2) as spread:

        def others():
            found = [pid for _, (pid, _) in spread.each(list(range(400)))]  # so many that they go in lots
            assert len(found) == 400
            return set(found) - {os.getpid()}

        assert len(until(others)) == 1  # of a busy machine, another may start only when this one has done all


def test_others_begun_before_there_is_work_are_those_that_do_it():
    begun(1, 40, "sim.errors")  # this process alone: nothing is begun
    begun(2, 1, "sim.errors")
    begun(2, 40, "sim.errors")
    with Spread(Slow(), 2) as spread:

        def others():
            return {pid for _, (pid, _) in spread.each(list(range(40)))} - {os.getpid()}

        assert len(until(others)) == 1


def test_a_process_that_only_waits_has_each_part_done_once_by_another():
    with Spread(Slow(), 2, along=False) as spread:
        found = dict(spread.each(list(range(7))))
    assert [found[number][1] for number in range(7)] == list(range(7))
    assert os.getpid() not in {pid for pid, _ in found.values()}


class Long:
    """Its first part is wrong; the others say where they are done, and go on until they are ended from outside."""

    def __init__(self, folder):
        self.folder = folder

    def solved(self, part):
        if part == 0:
            until(lambda: any(self.folder.iterdir()))
            raise RunError("this part cannot be done")
        (self.folder / str(os.getpid())).touch()
        time.sleep(FOR_EVER_S)


def test_an_error_ends_what_others_are_at(tmp_path):
    with Spread(Long(tmp_path), 2, along=False) as spread, pytest.raises(RunError, match="cannot be done"):
        list(spread.each([0, 1]))
    (other,) = tmp_path.iterdir()
    assert not is_running(int(other.name))


class InStep:
    """A pool of one process that does a part whenever this process does one, and those that it waits for; a problem of the same pace."""

    def __init__(self):
        self.queue, self.waited = [], 0

    def submit(self, work, sent, parts):
        self.queue.append((Future(), parts))
        return self.queue[-1][0]

    def step(self):
        if self.queue:
            future, parts = self.queue.pop(0)
            future.set_result([(number, part) for number, part in parts])

    def solved(self, part):
        self.step()
        return part

    def wait(self, pending, timeout, until):
        if timeout is None:
            self.waited += 1
            self.step()
        return wait(pending, 0.0, until)

    def __getstate__(self):
        return {}


@pytest.mark.parametrize("parts", range(2, 20))
def test_two_of_one_pace_share_the_parts_evenly(parts, monkeypatch):
    pool = InStep()
    monkeypatch.setattr(spread, "processes", lambda *count: pool)
    monkeypatch.setattr(spread, "wait", pool.wait)
    with Spread(pool, 2) as of:
        assert dict(of.each(range(parts))) == dict(enumerate(range(parts)))
    # Of an odd number one of them does one more, for which this process may wait.
    assert pool.waited <= parts % 2


def test_one_worker_is_this_process():
    with Spread(Slow(), 1) as spread:
        assert {pid for _, (pid, _) in spread.each([1, 2, 3])} == {os.getpid()}


@pytest.mark.parametrize("place", [0, 1, 5])
def test_an_error_comes_through(place):
    """Of a part that this process does, or another."""
    parts = ["right"] * 6
    parts[place] = "wrong"
    with Spread(Slow(), 2) as spread, pytest.raises(RunError, match="cannot be done"):
        list(spread.each(parts))


def test_stopped_in_the_middle_it_can_be_asked_again():
    with Spread(Slow(), 2) as spread:
        going = spread.each(list(range(50)))
        next(going)
        going.close()
        assert len(dict(spread.each(list(range(4))))) == 4


def test_results_are_written_side_by_side_after_a_search(tmp_path):
    """By whatever processes have searched."""
    with Spread(Slow(), 2) as spread:
        list(spread.each(range(6)))
    files = [tmp_path / str(number) for number in range(5)]
    _each([partial(Path.touch, file) for file in files], 2)
    assert all(file.exists() for file in files)


def touched_or_killed(file, flag, caller):
    """Write a file, but be killed over it the first time in another process than the caller's."""
    if os.getpid() != caller and not flag.exists():
        flag.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    file.touch()


def test_results_whose_process_is_killed_are_written_again(tmp_path):
    """A search of hours does not end at a picture."""
    files = [tmp_path / str(number) for number in range(5)]
    _each([partial(touched_or_killed, file, tmp_path / "killed", os.getpid()) for file in files], 2)
    assert all(file.exists() for file in (*files, tmp_path / "killed"))


def noted(file):
    """Note in a file who is at it, for as long as it takes another to load."""
    with file.open("a", encoding="utf-8") as out:
        out.write(f"{os.getpid()}\n")
    time.sleep(0.1)


def test_a_folder_is_begun_by_one_process_only(tmp_path):
    """Though others may still be loading when this one has nothing left to do."""
    get_reusable_executor = import_module("joblib.externals.loky").get_reusable_executor
    get_reusable_executor(max_workers=1, timeout=IDLE_S).shutdown()
    files = [tmp_path / str(number) for number in range(3)]
    _each([partial(noted, file) for file in files], 2)
    assert [len(file.read_text(encoding="utf-8").splitlines()) for file in files] == [1, 1, 1]


class Deadly:
    """Squares numbers; other processes than the caller's are killed over them, once or always."""

    def __init__(self, flag, always=False):
        self.flag, self.always, self.caller = flag, always, os.getpid()

    def solved(self, part):
        time.sleep(0.02)
        if os.getpid() != self.caller and (self.always or not self.flag.exists()):
            with self.flag.open("a") as out:
                out.write("x")
            os.kill(os.getpid(), signal.SIGKILL)
        return part * part


@pytest.mark.parametrize("times", [1, 2])
def test_a_pool_that_breaks_while_it_is_resized_is_replaced(monkeypatch, times):
    """As a killed process leaves it: its pipes are closed, and only the next call knows; what is met twice is another matter."""
    given, left = object(), [OSError("handle is closed")] * times

    def asked(**_):
        if left:
            raise left.pop()
        return given

    monkeypatch.setattr("joblib.externals.loky.get_reusable_executor", asked)
    monkeypatch.setattr(sys, "unraisablehook", sys.unraisablehook)
    if times == 1:
        assert spread.processes(1, 1) is given
    else:
        with pytest.raises(OSError, match="handle is closed"):
            spread.processes(1, 1)


def test_a_process_that_left_is_replaced_without_a_word(monkeypatch):
    """As the pool's own thread says it; any other warning of it, and the same sentence of anyone else, is still said."""
    monkeypatch.setattr("joblib.externals.loky.get_reusable_executor", lambda **_: None)
    left = "A worker stopped while some jobs were given to the executor. This can be caused by a too short worker timeout or by a memory leak."
    module = "joblib.externals.loky.process_executor"
    with warnings.catch_warnings(record=True) as told:
        warnings.simplefilter("always")
        warnings.warn_explicit(left, UserWarning, "a.py", 787, module)
        assert len(told) == 1
        spread.processes(1, 1)
        warnings.warn_explicit(left, UserWarning, "a.py", 787, module)
        assert len(told) == 1
        warnings.warn_explicit("another", UserWarning, "a.py", 787, module)
        warnings.warn_explicit(left, UserWarning, "a.py", 787, "mine")
        assert len(told) == 3


def test_processes_stay_where_there_is_less_to_do_than_there_are_of_them(monkeypatch):
    """A search asks for a population of six parts, then for one of three; and so on."""
    asked = []

    def pool(max_workers, timeout):
        asked.append(max_workers)
        return get_reusable_executor(max_workers=max_workers, timeout=timeout)

    get_reusable_executor = import_module("joblib.externals.loky").get_reusable_executor
    monkeypatch.setattr("joblib.externals.loky.get_reusable_executor", pool)
    monkeypatch.setattr(spread, "_there", 0)
    with Spread(Slow(), 4) as of:
        for parts in (2, 8, 3, 8):
            assert len(dict(of.each(range(parts)))) == parts
    with Spread(Slow(), 2) as of:  # as many as its own work may have
        assert len(dict(of.each(range(8)))) == 8
    assert asked == [1, 3, 3, 3, 1]


def test_pipes_of_a_pool_that_broke_go_without_a_word(monkeypatch):
    """What else is met in throwing away is said as before."""
    said = []
    monkeypatch.setattr(sys, "unraisablehook", said.append)

    def thrown_away():
        pipe, other = Pipe()
        os.close(pipe.fileno())
        del pipe
        other.close()

    thrown_away()
    assert [one.exc_value.errno for one in said] == [errno.EBADF]
    spread._hush_closed_pipes()
    thrown_away()
    assert len(said) == 1

    class Faulty:
        def __del__(self):
            raise OSError(errno.EBADF, "of another kind")

    Faulty()
    assert len(said) == 2


@pytest.mark.parametrize("always", [False, True], ids=["once", "whenever one is sent something"])
def test_what_a_killed_process_had_is_done_again_with_one_less(tmp_path, always):
    """By processes that the first one only waits for, and at last by this one."""
    said = []
    with Spread(Deadly(tmp_path / "killed", always), workers=3, along=False, note=said.append) as spread:
        assert sorted(spread.each(range(9))) == [(n, n * n) for n in range(9)]
    assert said == [KILLED] * (KILLED_MOST if always else 1)


@pytest.mark.parametrize("always", [False, True], ids=["once", "whenever one is sent something"])
def test_what_a_killed_process_had_is_done_again(tmp_path, always):
    with Spread(Deadly(tmp_path / "killed", always), workers=2) as spread:

        def deadly():  # until another process has begun, which on a busy machine may be only when this one has done all
            assert sorted(spread.each(range(400))) == [(n, n * n) for n in range(400)]  # each once
            return len(written(tmp_path / "killed"))

        deaths = until(deadly)
    assert 1 <= deaths <= (KILLED_MOST if always else 1)
