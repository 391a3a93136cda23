"""Whatever fails while results are written, the earlier ones stay whole."""

import builtins
import errno
import io
import os
import shutil
from pathlib import Path

import pytest

from sim.errors import OutputError
from sim.show.report import write
from sim.show.report.write import MARKER, written
from tests.show.report.folders import failing, results, snapshot


@pytest.mark.parametrize(
    "error", [OSError(errno.ENOSPC, "No space left on device"), KeyboardInterrupt(), ValueError("a bug"), MemoryError()]
)
def test_failure_half_way_leaves_everything_as_it_was(out, error):
    before = snapshot(out.parents[1])
    wanted = OutputError if isinstance(error, OSError) else type(error)
    with pytest.raises(wanted):
        written(out, failing(error))
    assert snapshot(out.parents[1]) == before


def test_failure_leaves_no_folders_behind(tmp_path):
    with pytest.raises(OutputError):
        written(tmp_path / "a" / "b" / "c", failing(OSError(errno.ENOSPC, "No space left on device")))
    assert snapshot(tmp_path) == {}


def test_disk_full_while_a_file_is_written(out, monkeypatch):
    """The file is opened and takes some bytes before the disk is full."""
    real = io.open

    class Full(io.StringIO):
        def write(self, text):
            raise OSError(errno.ENOSPC, "No space left on device", str(self.name))

    def opened(file, mode="r", *args, **kwargs):
        stream = real(file, mode, *args, **kwargs)
        if "w" in mode and str(file).endswith("late.csv"):
            stream.write("0.0,0.1")
            stream.close()
            full = Full()
            full.name = str(file)
            return full
        return stream

    def files(into: Path) -> None:
        results("summary.csv", text="half")(into)
        with builtins.open(into / "late.csv", "w") as file:  # noqa: PTH123 - the one that is replaced
            file.write("0.2,0.3")

    before = snapshot(out.parents[1])
    monkeypatch.setattr(builtins, "open", opened)
    with pytest.raises(OutputError) as caught:
        written(out, files)
    monkeypatch.undo()
    assert snapshot(out.parents[1]) == before
    assert "late.csv" in str(caught.value)
    assert "No space left on device" in str(caught.value)
    assert "Free some space" in str(caught.value)


@pytest.mark.parametrize("error", [OSError(errno.EIO, "Input/output error"), KeyboardInterrupt()])
@pytest.mark.parametrize("when", [1, 2])
def test_failure_in_the_swap_puts_the_old_results_back(out, monkeypatch, error, when):
    """Where a system cannot let two folders change names in one step, there are two."""
    real, calls = Path.rename, []
    monkeypatch.setattr(write, "exchanged", lambda *_: False)

    def rename(self, target):
        calls.append(self)
        if len(calls) == when:
            raise error
        return real(self, target)

    before = snapshot(out.parents[1])
    monkeypatch.setattr(Path, "rename", rename)
    with pytest.raises((OutputError, KeyboardInterrupt)):
        written(out, results("summary.csv", text="second"))
    monkeypatch.undo()
    assert len(calls) >= when
    assert snapshot(out.parents[1]) == before


TOUCH = (
    (os, "open"), (os, "link"), (os, "fsync"), (os, "mkdir"), (os, "rename"), (os, "replace"), (os, "unlink"), (os, "rmdir"),
    (os, "scandir"), (os, "listdir"), (io, "open"), (write, "exchanged"), (shutil, "rmtree"), (shutil, "copytree"),
)  # fmt: skip
"""Whatever a folder of results is written with."""


def faulty(monkeypatch, when, error):
    """Have the call number `when` to any of these fail; return the names of all calls."""
    calls = []

    def instead(name, real):
        def call(*given, **named):
            calls.append(name)
            if len(calls) == when:
                raise error
            return real(*given, **named)

        return call

    for owner, name in TOUCH:
        monkeypatch.setattr(owner, name, instead(name, getattr(owner, name)))
    return calls


@pytest.mark.parametrize(
    "error", [OSError(errno.EIO, "Input/output error"), KeyboardInterrupt()], ids=["error", "interrupt"]
)
@pytest.mark.parametrize("steps", ["one step", "two steps"])
def test_a_fault_in_any_call_leaves_the_old_results_or_the_new_ones(tmp_path, monkeypatch, error, steps):
    """Each call of all that touch the disk fails in turn, and the next command finds and leaves everything in order.

    The way in which embedded databases are tested: a fault at every call of the system.
    """
    faults = 0
    for when in range(1, 400):
        out = tmp_path / str(when) / "two_or_four"
        written(out, results("summary.csv", "old.csv"))
        (out / "notes.txt").write_text("mine")
        (out / "photos").mkdir()
        (out / "photos" / "mount.jpg").write_bytes(b"jpg")

        def files(into: Path, out: Path = out) -> None:
            results("summary.csv", text="second")(into)
            (out / "late.txt").write_bytes(b"mine too")

        with monkeypatch.context() as patch:
            if steps == "two steps":
                patch.setattr(write, "exchanged", lambda *_: False)
            calls = faulty(patch, when, error)
            try:
                written(out, files)
            except (OutputError, KeyboardInterrupt, OSError):
                faults += 1
        if len(calls) < when:
            break
        own = {"notes.txt", "photos"} | ({"late.txt"} if (out / "late.txt").exists() else set())
        names = {path.name for path in out.iterdir()}
        old, new = {MARKER, "summary.csv", "old.csv"}, {MARKER, "summary.csv"}
        text = (out / "summary.csv").read_text()
        assert (names, text) in ((old | own, "first"), (new | own, "second")), (when, calls[-1])
        written(out, results("summary.csv", text="third"))
        assert {path.name for path in out.iterdir()} == new | own, (when, calls[when - 1])
        assert (out / "notes.txt").read_text() == "mine"
        assert (out / "photos" / "mount.jpg").read_bytes() == b"jpg"
        assert [path.name for path in out.parent.iterdir()] == [out.name], (when, calls[when - 1])
    else:
        pytest.fail("more calls than were tried")
    assert faults > 20


@pytest.mark.parametrize("code", [errno.EIO, errno.ENOSPC])
@pytest.mark.parametrize("when", range(1, 6))
def test_a_file_that_cannot_be_brought_to_the_disk(out, monkeypatch, code, when):
    """Each call in turn: the folder's entries of the parent come after the swap, and are no reason to give results up."""
    calls, real = [], os.fsync

    def failing_one(file):
        calls.append(file)
        if len(calls) == when:
            raise OSError(code, os.strerror(code))
        real(file)

    before = snapshot(out.parents[1])
    monkeypatch.setattr(os, "fsync", failing_one)
    try:
        written(out, results("summary.csv", "b.csv", text="second"))
    except OutputError:
        assert when <= 4
        assert snapshot(out.parents[1]) == before
    else:
        assert when == 5
        assert (out / "summary.csv").read_text() == "second"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.mark.parametrize("code", sorted(write.ADVICE))
def test_every_error_has_its_advice(tmp_path, code):
    with pytest.raises(OutputError) as caught:
        written(tmp_path / "out", failing(OSError(code, "the reason")))
    assert "the reason" in str(caught.value)
    assert str(caught.value).endswith(write.ADVICE[code])
