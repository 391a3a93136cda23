"""Work in a copy of the process: done once, its error told here, and none of it left when the body fails."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from sim import machine
from sim.machine import copies as module
from sim.machine.copies import can_split, in_copy, shared_out
from sim.machine.found import found_by_two
from tests.waiting import FOR_EVER_S, PATIENCE_S, until, written

PUSH = Path(__file__).parents[2] / "scenarios" / "push_on_the_bumper.yaml"

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")


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


def _noting(file, number, slow_there=False):
    here = os.getpid()

    def piece():
        if slow_there and os.getpid() != here:
            time.sleep(0.2)
        with file.open("a") as out:
            out.write(f"{number} {os.getpid()}\n")

    return piece


def test_pieces_are_each_done_once(split, tmp_path):
    file = tmp_path / "who"
    with shared_out([_noting(file, number) for number in range(50)]) as share:
        share()
    lines = [line.split() for line in file.read_text().splitlines()]
    assert sorted(int(number) for number, _ in lines) == list(range(50))


def test_pieces_are_done_in_both_from_both_ends(split, tmp_path):
    file = tmp_path / "who"
    with shared_out([_noting(file, number, slow_there=True) for number in range(6)]):
        if split:
            until(lambda: written(file))  # the copy has done its first
    who = dict(line.split() for line in file.read_text().splitlines())
    assert sorted(who) == list("012345")
    assert (who["0"] != str(os.getpid())) == split
    assert who["5"] == str(os.getpid())


def test_pieces_of_a_copy_that_fails_are_done_here(split, tmp_path, capfd):
    file, here = tmp_path / "who", os.getpid()

    def fails_there():
        if os.getpid() != here:
            raise OSError(28, "No space left on device")
        _noting(file, 1)()

    with shared_out([_noting(file, 0), fails_there, _noting(file, 2)]):
        if split:
            until(lambda: written(file))
    # What the copy had done is done again: nobody knows how far it was.
    assert set(line.split()[0] for line in file.read_text().splitlines()) == set("012")
    assert capfd.readouterr() == ("", "")


def test_a_piece_that_fails_everywhere_is_met_here(split):
    def fails():
        raise OSError(28, "No space left on device")

    with pytest.raises(OSError, match="No space left"), shared_out([fails]):
        pass


def test_a_body_that_fails_after_its_copy_has_ended_kills_nobody(split, monkeypatch):
    """The number of a process that was waited for may be another one's by then."""
    monkeypatch.setattr(module.os, "kill", lambda *of: pytest.fail("nobody is left to be killed"))

    def asked():
        with found_by_two([lambda: 7, lambda: 8]) as found:
            assert found() == [7, 8]
            raise ValueError("body")

    with pytest.raises(ValueError, match="body"):
        asked()


def test_a_system_without_room_for_a_copy_does_all_by_itself(monkeypatch, tmp_path):
    def no_room():
        raise OSError(12, "Cannot allocate memory")

    monkeypatch.setattr(machine, "OWN_PROCESS", True)
    monkeypatch.setattr(machine, "PLAIN", False)
    monkeypatch.setattr(module, "can_split", lambda: True)
    monkeypatch.setattr(module.os, "fork", no_room)
    file = tmp_path / "who"
    with in_copy(_noting(file, 0)), shared_out([_noting(file, 1), _noting(file, 2)]):
        pass
    with found_by_two([os.getpid, os.getpid]) as found:
        assert found() == [os.getpid()] * 2
    assert sorted(file.read_text().split()) == sorted(f"0 {os.getpid()} 1 {os.getpid()} 2 {os.getpid()}".split())


def test_one_core_does_it_by_itself(monkeypatch, tmp_path):
    monkeypatch.setattr(machine, "OWN_PROCESS", True)
    monkeypatch.setattr(machine, "PLAIN", False)
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
    environment = {**os.environ, "PYTHONPATH": root, "JOUNCE_PLAIN": ""}
    first = child([sys.executable, "-c", script], stdout=subprocess.PIPE, text=True, env=environment)
    assert int(first.stdout.readline()) != first.pid
    first.kill()
    first.communicate(timeout=PATIENCE_S)  # ends when the copy, which writes to the same place, has ended as well


def test_none_is_made_while_a_thread_runs_or_when_switched_off(split, monkeypatch):
    """A copy has the first process' locks as they are, and none of its threads to unlock them."""
    assert can_split() == split
    ended = threading.Event()
    thread = threading.Thread(target=ended.wait)
    thread.start()
    assert not can_split()
    who = []
    with in_copy(lambda: who.append(os.getpid())):
        pass
    assert who == [os.getpid()]
    ended.set()
    thread.join()
    assert can_split() == split
    monkeypatch.setattr(machine, "PLAIN", True)
    assert not can_split()


COUNTED = """
import sys, threading
from sim.cli import main
from sim.machine import copies

real, seen = copies._split_off, []
copies.os.sched_getaffinity = lambda process: {0, 1}
copies._split_off = lambda work: (seen.append(threading.active_count()), real(work))[1]
assert main() in (0, 3)
print("threads:", *seen)
"""


def test_pictures_are_split_off_before_the_spinner_turns(tmp_path):
    """Half of a command's pictures are drawn by a copy, which is made while no other thread runs; in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-c", COUNTED, "simulate", str(PUSH), "--outputs", str(tmp_path)],
        capture_output=True, text=True, check=True, env={**os.environ, "JOUNCE_PLAIN": ""},
    )  # fmt: skip
    counts = next(line for line in done.stdout.splitlines() if line.startswith("threads:")).split()[1:]
    assert counts
    assert set(counts) == {"1"}


def test_a_copy_opens_its_own_fonts(split, tmp_path):
    """Of a file that is open in both, one would read where the other has gone."""
    from sim.show.plots.lettering import _face

    open_here, own = _face(False), tmp_path / "own"
    with in_copy(lambda: own.write_text(str(_face(False) is not open_here))):
        pass
    assert own.read_text() == str(split)
