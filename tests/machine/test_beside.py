"""Work that another process does beside this one: done once, wherever it can be done, and given up with what it is beside."""

import os
import signal
import time
from contextlib import contextmanager
from functools import partial

import pytest

from sim.errors import RunError
from sim.machine.beside import done_beside
from tests.waiting import FOR_EVER_S, is_running, until, written


def noted(file, begin=None):
    """Note who does it, once there is the file with which it may begin."""
    if begin is not None:
        until(begin.exists)
    with file.open("a", encoding="utf-8") as out:
        out.write(f"{os.getpid()}\n")


def who(file):
    return [int(line) for line in written(file).split()]


def test_another_process_does_it_meanwhile(tmp_path):
    with done_beside(partial(noted, tmp_path / "done"), 2):
        until(lambda: who(tmp_path / "done"))
    (other,) = who(tmp_path / "done")
    assert other != os.getpid()


def test_it_is_waited_for(tmp_path):
    with done_beside(partial(noted, tmp_path / "done", tmp_path / "begin"), 2):
        assert not who(tmp_path / "done")
        (tmp_path / "begin").touch()
    assert len(who(tmp_path / "done")) == 1


def test_one_worker_does_it_afterwards(tmp_path):
    with done_beside(partial(noted, tmp_path / "done"), 1):
        assert not who(tmp_path / "done")
    assert who(tmp_path / "done") == [os.getpid()]


@contextmanager
def noting(file):
    with file.open("a", encoding="utf-8") as out:
        out.write("within\n")
    yield


def test_it_is_done_within_what_is_sent_along(tmp_path):
    with done_beside(partial(noted, tmp_path / "done"), 2, partial(noting, tmp_path / "about")):
        pass
    assert written(tmp_path / "about") == "within\n"


def killed(file, caller):
    """Be killed over it in another process than the caller's."""
    noted(file)
    if os.getpid() != caller:
        os.kill(os.getpid(), signal.SIGKILL)


def test_what_a_killed_process_had_is_done_here(tmp_path):
    with done_beside(partial(killed, tmp_path / "done", os.getpid()), 2):
        pass
    first, second = who(tmp_path / "done")
    assert first != os.getpid()
    assert second == os.getpid()


def wrong():
    raise RunError("this cannot be done")


@pytest.mark.parametrize("workers", [1, 2])
def test_its_error_comes_through(workers):
    with pytest.raises(RunError, match="cannot be done"), done_beside(wrong, workers):
        pass


def for_ever(file):
    noted(file)
    time.sleep(FOR_EVER_S)


def test_an_error_of_what_it_is_beside_ends_it(tmp_path):
    def stopped():
        with done_beside(partial(for_ever, tmp_path / "begun"), 2):
            until(lambda: who(tmp_path / "begun"))
            wrong()

    with pytest.raises(RunError, match="cannot be done"):
        stopped()
    (other,) = who(tmp_path / "begun")
    assert not is_running(other)
