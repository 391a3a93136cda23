"""Files that a copy of a process writes ahead: each as if it had been written where it was wanted, errors too."""

import os
import signal
import sys

import pytest

from sim.machine.ahead import written_ahead
from tests.waiting import until, written

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="processes are split off on Linux alone")

LONG = "0123456789" * 100_000


def whose(text):
    """Return what writes a text and the number of the process that wrote it."""
    return lambda path: path.write_text(f"{text} {os.getpid()}")


def test_files_come_as_they_were_written(split, tmp_path):
    began = tmp_path / "began"

    def last(path):
        path.write_bytes(b"\0\xff\n")
        began.write_text("x")

    with written_ahead([whose("first"), whose(LONG), last]) as put:
        if split:
            until(lambda: written(began))
        for number in (2, 0, 1):
            put(number, tmp_path / str(number))
    text, who = (tmp_path / "0").read_text().split()
    assert text == "first"
    assert (int(who) != os.getpid()) == split
    assert (tmp_path / "1").read_text().split()[0] == LONG
    assert (tmp_path / "2").read_bytes() == b"\0\xff\n"


def test_what_the_copy_is_at_is_waited_for(split, tmp_path):
    began, may_end, path = tmp_path / "began", tmp_path / "may end", tmp_path / "file"

    def slow(at):
        with at.open("w") as file:
            file.write("begun ")
            file.flush()
            began.write_text("x")
            if split:
                until(lambda: written(may_end))
            file.write(f"ended {os.getpid()}")

    with written_ahead([slow]) as put:
        if split:
            until(lambda: written(began))
        may_end.write_text("x")
        put(0, path)
    begin, end, who = path.read_text().split()
    assert (begin, end) == ("begun", "ended")
    assert (int(who) != os.getpid()) == split


def test_what_is_wanted_before_the_copy_comes_to_it_is_written_here(split, tmp_path):
    stays = tmp_path / "stays"

    def at_it(path):
        stays.write_text("x")
        signal.pause()

    with written_ahead([at_it, whose("second")]) as put:
        if split:
            until(lambda: written(stays))
        put(1, tmp_path / "1")
        # The body ends, and with it the copy that would never.
    assert (tmp_path / "1").read_text() == f"second {os.getpid()}"


def test_a_copy_that_is_ended_leaves_its_files_to_others(split, tmp_path):
    first, began = os.getpid(), tmp_path / "began"

    def ends_there(path):
        path.write_text("half")
        if os.getpid() != first:
            began.write_text("x")
            os.kill(os.getpid(), signal.SIGKILL)
        path.write_text(f"whole {os.getpid()}")

    with written_ahead([ends_there, whose("second")]) as put:
        # Else this process may come to the first file sooner, and the copy goes on with the second.
        if split:
            until(lambda: written(began))
        for number in range(2):
            put(number, tmp_path / str(number))
    assert (tmp_path / "0").read_text() == f"whole {first}"
    assert (tmp_path / "1").read_text() == f"second {first}"


def test_an_error_is_met_by_whoever_wants_the_file(split, tmp_path, capfd):
    def fails(path):
        raise ValueError("no such channel")

    with written_ahead([fails, whose("second")]) as put:
        put(1, tmp_path / "1")
        with pytest.raises(ValueError, match="no such channel"):
            put(0, tmp_path / "0")
    assert (tmp_path / "1").read_text().startswith("second")
    assert capfd.readouterr().err == ""


def test_a_file_that_nobody_wants_costs_no_wait(split, tmp_path):
    with written_ahead([lambda path: signal.pause()]):
        pass


def test_none_is_written_where_there_are_none(split):
    with written_ahead([]) as put:
        assert callable(put)
