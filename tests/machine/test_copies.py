"""Work in a copy of the process: done once, its error told here, and none of it left when the body fails."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim import machine
from sim.machine import copies as module
from sim.machine.copies import in_copy, waiting_copy
from tests.waiting import FOR_EVER_S, PATIENCE_S, until, written

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")


@pytest.fixture(params=[True, False], ids=["split off", "afterwards"])
def split(request, monkeypatch):
    monkeypatch.setattr(machine, "OWN_PROCESS", request.param)
    monkeypatch.setattr(module.os, "sched_getaffinity", lambda process: {0, 1})
    return request.param


def test_work_is_done_once_and_elsewhere(split, tmp_path):
    file = tmp_path / "who"

    def work():
        with file.open("a") as out:
            out.write(f"{os.getpid()}\n")

    with in_copy(work):
        done = (os.getpid(), "body")
    assert done == (os.getpid(), "body")
    (who,) = file.read_text().split()
    assert (int(who) != os.getpid()) == split


def test_what_fails_there_is_told_here(split, tmp_path, capfd):
    tries = tmp_path / "tries"

    def work():
        with tries.open("a") as out:
            out.write("x")
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space left"), in_copy(work):
        pass
    assert tries.read_text() == ("xx" if split else "x")
    assert capfd.readouterr() == ("", "")  # the copy says nothing of its own


def test_a_body_that_fails_ends_the_copy(split, tmp_path):
    began, ended = tmp_path / "began", tmp_path / "ended"

    def work():
        began.write_text(str(os.getpid()))
        time.sleep(FOR_EVER_S)
        ended.touch()

    def body():
        if split:
            until(lambda: written(began))
        raise ValueError("body")

    with pytest.raises(ValueError, match="body"), in_copy(work):
        body()
    assert began.exists() == split
    assert not ended.exists()
    if split:
        with pytest.raises(ChildProcessError):  # it is not left to be waited for
            os.waitpid(int(began.read_text()), os.WNOHANG)


def test_one_core_does_it_by_itself(monkeypatch, tmp_path):
    monkeypatch.setattr(machine, "OWN_PROCESS", True)
    monkeypatch.setattr(module.os, "sched_getaffinity", lambda process: {0})
    found = []
    with in_copy(lambda: found.append(os.getpid())):
        assert not found
    assert found == [os.getpid()]


def test_a_process_that_is_ended_takes_its_copy_along(child):
    script = f"""
import os, time
from sim import machine
from sim.machine import copies as module

machine.OWN_PROCESS = True
module.os.sched_getaffinity = lambda process: {{0, 1}}

def work():
    print(os.getpid(), flush=True)
    time.sleep({FOR_EVER_S})

with module.in_copy(work):
    time.sleep({FOR_EVER_S})
"""
    root = str(Path(__file__).parents[2])
    environment = {**os.environ, "PYTHONPATH": root}
    first = child([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, env=environment)
    assert int(first.stdout.readline()) != first.pid
    first.kill()
    first.communicate(timeout=PATIENCE_S)  # ends when the copy, which writes to the same place, has ended as well


def noted(file, word):
    with file.open("a") as out:
        out.write(f"{word} {os.getpid()}\n")


def test_work_is_done_where_it_was_loaded_for(split, tmp_path):
    file = tmp_path / "who"
    with waiting_copy(lambda: noted(file, "loaded")) as done:
        done(noted, file, "done")
    lines = [line.split() for line in file.read_text().splitlines()]
    assert [line[0] for line in lines] == (["loaded", "done"] if split else ["done"])
    assert {int(line[1]) != os.getpid() for line in lines} == {split}


def broken():
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("loads", [True, False])
def test_what_fails_there_is_done_here(split, tmp_path, capfd, loads):
    file = tmp_path / "who"
    with waiting_copy(int if loads else broken) as done:
        if loads:
            with pytest.raises(OSError, match="No space left"):
                done(broken)
        else:
            done(noted, file, "done")
            assert file.read_text() == f"done {os.getpid()}\n"
    assert capfd.readouterr() == ("", "")


def test_a_body_that_fails_ends_what_loads(split, tmp_path):
    began = tmp_path / "began"

    def load():
        began.write_text(str(os.getpid()))
        time.sleep(FOR_EVER_S)

    def body():
        if split:
            until(lambda: written(began))
        raise ValueError("body")

    with pytest.raises(ValueError, match="body"), waiting_copy(load):
        body()
    assert began.exists() == split
    if split:
        with pytest.raises(ChildProcessError):
            os.waitpid(int(began.read_text()), os.WNOHANG)


def test_a_copy_opens_its_own_fonts(split, tmp_path):
    """Of a file that is open in both, one would read where the other has gone."""
    from sim.show.plots.lettering import _face

    open_here, own = _face(False), tmp_path / "own"
    with in_copy(lambda: own.write_text(str(_face(False) is not open_here))):
        pass
    assert own.read_text() == str(split)
