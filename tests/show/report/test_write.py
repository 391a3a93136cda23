import builtins
import errno
import io
import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from sim.errors import InternalError, OutputError
from sim.show.report import write
from sim.show.report.write import MARKER, written

ROOT = Path(__file__).parents[3]


def results(*names: str, text: str = "first"):
    """What fills a folder: a record and files of these names."""

    def files(into: Path) -> None:
        (into / MARKER).write_text(json.dumps({"made by": "jounce 0.1.0", "text": text}))
        for name in names:
            (into / name).write_text(text)

    return files


def snapshot(folder: Path) -> dict[str, bytes]:
    """Every file below a folder, hidden ones too, and every folder."""
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b"<folder>"
        for path in sorted(folder.rglob("*"))
    }


@pytest.fixture
def out(tmp_path):
    """A folder with earlier results."""
    folder = tmp_path / "outputs" / "two_or_four"
    written(folder, results("summary.csv", "old.csv"))
    return folder


def test_makes_the_folder_and_those_above(tmp_path):
    folder = tmp_path / "a" / "b" / "c"
    assert written(folder, results("summary.csv")) == folder
    assert sorted(path.name for path in folder.iterdir()) == [MARKER, "summary.csv"]
    assert sorted(path.name for path in folder.parent.iterdir()) == ["c"]
    assert json.loads((folder / MARKER).read_text())["files"] == [MARKER, "summary.csv"]


def test_replaces_earlier_results_whole(out):
    written(out, results("summary.csv", text="second"))
    assert sorted(path.name for path in out.iterdir()) == [MARKER, "summary.csv"]
    assert (out / "summary.csv").read_text() == "second"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_folder_has_the_usual_rights(tmp_path):
    (tmp_path / "usual").mkdir()
    folder = written(tmp_path / "made", results())
    assert folder.stat().st_mode == (tmp_path / "usual").stat().st_mode


def failing(error: BaseException):
    def files(into: Path) -> None:
        results("summary.csv", text="half")(into)
        (into / "sub").mkdir()
        raise error

    return files


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


def test_killed_in_the_swap_is_put_right_by_the_next_run(out):
    aside = out.with_name(f".{out.name}.old-0a1b2c3d")
    (out / "notes.txt").write_text("mine")
    out.rename(aside)  # all that a killed run had done
    written(out, results("summary.csv", text="second"))
    assert (out / "notes.txt").read_text() == "mine"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.fixture(params=["one step", "two steps"])
def step(request, monkeypatch):
    """Swaps as the system does them, and as one does that cannot do them in one step."""
    if request.param == "two steps":
        monkeypatch.setattr(write, "exchanged", lambda *_: False)


@pytest.mark.usefixtures("step")
def test_a_file_saved_while_the_new_results_are_made_is_kept(out):
    (out / "notes.txt").write_text("before")
    (out / "photos").mkdir()

    def files(into: Path) -> None:
        results("summary.csv", text="second")(into)
        (out / "late.txt").write_text("mine")
        (out / "notes.txt").write_text("after")
        (out / "photos" / "late.jpg").write_bytes(b"jpg")

    written(out, files)
    assert (out / "summary.csv").read_text() == "second"
    assert (out / "late.txt").read_text() == "mine"
    assert (out / "notes.txt").read_text() == "after"
    assert (out / "photos" / "late.jpg").read_bytes() == b"jpg"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.mark.usefixtures("step")
def test_a_file_saved_in_the_very_last_moment_is_kept(out, monkeypatch):
    """After the files are taken along and before the swap: a new one, and one that an editor replaces by a new version."""
    (out / "notes.txt").write_text("before")
    real = write._kept

    def kept(new: Path) -> None:
        real(new)
        (out / "late.txt").write_text("mine")
        (out / "notes.tmp").write_text("after")
        (out / "notes.tmp").replace(out / "notes.txt")

    monkeypatch.setattr(write, "_kept", kept)
    written(out, results("summary.csv", text="second"))
    assert (out / "summary.csv").read_text() == "second"
    assert (out / "late.txt").read_text() == "mine"
    assert (out / "notes.txt").read_text() == "after"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


@pytest.mark.skipif(sys.platform not in ("linux", "darwin"), reason="the system cannot exchange two names")
def test_the_place_is_never_empty_where_the_system_can_swap_in_one_step(out, monkeypatch):
    def rename(self, target):
        pytest.fail(f"{self} was renamed")

    monkeypatch.setattr(Path, "rename", rename)
    written(out, results("summary.csv", text="second"))
    assert (out / "summary.csv").read_text() == "second"


def test_what_a_killed_command_left_is_cleared_up_and_ours_alone(out):
    """A folder half built, one swapped out and half removed, and a folder of that kind beside another place."""
    half, old, other = (out.with_name(name) for name in (
        f".{out.name}.new-0a1b2c3d", f".{out.name}.old-0a1b2c3d", ".another.new-0a1b2c3d"
    ))  # fmt: skip
    for folder in (half, old, other):
        folder.mkdir()
        (folder / "summary.csv").write_text("0.1,")
    written(out, results("summary.csv", text="second"))
    assert sorted(path.name for path in out.parent.iterdir()) == [other.name, out.name]
    assert (out / "summary.csv").read_text() == "second"


def test_results_that_were_half_removed_do_not_come_back(out):
    """Swapped out, half removed, and then the new ones are deleted by their owner: nothing stands in the way of a run."""
    left = out.with_name(f".{out.name}.old-0a1b2c3d")
    left.mkdir()
    (left / "old.csv").write_text("0.1,")
    shutil.rmtree(out)
    written(out, results("summary.csv", text="second"))
    assert sorted(path.name for path in out.iterdir()) == [MARKER, "summary.csv"]
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_a_persons_file_in_what_a_killed_command_swapped_out_comes_back(out):
    """Killed right after the swap, before a file that was saved in the last moment had been moved."""
    old = out.with_name(f".{out.name}.new-0a1b2c3d")
    shutil.copytree(out, old)
    (old / "late.txt").write_text("mine")
    written(out, results("summary.csv", text="second"))
    assert (out / "late.txt").read_text() == "mine"
    assert (out / "summary.csv").read_text() == "second"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


WRITES = """
import sys, time
from pathlib import Path
from sim.show.report.write import MARKER, written

def files(into):
    for name in ("a.csv", "b.csv"):
        (into / name).write_text(sys.argv[2])
        print("begun", flush=True)
        sys.stdin.readline()
    (into / MARKER).write_text('{"made by": "jounce 0.1.0"}')

written(Path(sys.argv[1]), files)
"""


def writer(out: Path, text: str) -> subprocess.Popen:
    return subprocess.Popen(
        [sys.executable, "-c", WRITES, str(out), text], cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def test_the_second_of_two_commands_for_one_folder_says_so_and_waits(out):
    with writer(out, "first") as first:
        assert first.stdout.readline() == "begun\n"
        with writer(out, "last") as last:
            try:
                assert "Another jounce command is writing" in last.stderr.readline()
                hidden = [path.name for path in out.parent.iterdir() if ".new-" in path.name]
                assert len(hidden) == 1  # it has begun nothing, and taken nothing away
                first.communicate("\n\n")
                last.communicate("\n\n")
            finally:
                first.kill()
                last.kill()
    assert (first.returncode, last.returncode) == (0, 0)
    assert (out / "a.csv").read_text() == (out / "b.csv").read_text() == "last"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_a_killed_command_holds_nothing_and_the_next_clears_up(out):
    before = snapshot(out)
    with writer(out, "killed") as killed:
        assert killed.stdout.readline() == "begun\n"
        killed.kill()
        killed.communicate()
    assert snapshot(out) == before
    assert len(list(out.parent.iterdir())) > 1
    written(out, results("summary.csv", text="second"))
    assert [path.name for path in out.parent.iterdir()] == [out.name]


def test_results_of_something_else_are_not_replaced(out):
    written(out, results("summary.csv", text="one"), of="one")
    before = snapshot(out.parents[1])
    with pytest.raises(OutputError, match="results of another file"):
        written(out, results("summary.csv", text="other"), of="other")
    assert snapshot(out.parents[1]) == before
    written(out, results("summary.csv", text="again"), of="one")
    assert (out / "summary.csv").read_text() == "again"


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


def test_place_below_a_file(tmp_path):
    """Root may write anywhere, so rights are no test; a file where a folder should be stops everybody."""
    (tmp_path / "outputs").write_text("a file")
    with pytest.raises(OutputError, match=r"scenario: results cannot be written.*\n?.*--outputs"):
        written(tmp_path / "outputs" / "scenario", results())
    assert snapshot(tmp_path) == {"outputs": b"a file"}


def test_file_of_that_name(tmp_path):
    (tmp_path / "scenario").write_text("mine")
    with pytest.raises(OutputError, match="there is a file of this name"):
        written(tmp_path / "scenario", results())
    assert snapshot(tmp_path) == {"scenario": b"mine"}


@pytest.mark.parametrize("record", [None, "not json", "[1]", '{"made by": "someone else"}', "{}"])
def test_folder_of_somebody_else_is_left_alone(tmp_path, record):
    folder = tmp_path / "holiday"
    folder.mkdir()
    (folder / "photo.png").write_bytes(b"\x89PNG")
    if record is not None:
        (folder / MARKER).write_text(record)
    before = snapshot(tmp_path)
    ran = []
    with pytest.raises(OutputError, match="jounce did not write"):
        written(folder, ran.append)
    assert snapshot(tmp_path) == before
    assert not ran


def test_empty_folder_may_be_filled(tmp_path):
    (tmp_path / "empty").mkdir()
    written(tmp_path / "empty", results("summary.csv"))
    assert (tmp_path / "empty" / "summary.csv").exists()


def test_own_files_among_results_are_kept(out):
    (out / "notes.txt").write_text("tyres at 2.5 bar")
    (out / "my plot.png").write_bytes(b"\x89PNG")
    (out / "photos").mkdir()
    (out / "photos" / "mount.jpg").write_bytes(b"jpg")
    for text in ("second", "third"):
        written(out, results("summary.csv", text=text))
    assert (out / "summary.csv").read_text() == "third"
    assert not (out / "old.csv").exists()
    assert (out / "notes.txt").read_text() == "tyres at 2.5 bar"
    assert (out / "my plot.png").exists()
    assert (out / "photos" / "mount.jpg").read_bytes() == b"jpg"


def test_own_file_with_the_name_of_a_new_result(out):
    (out / "new.csv").write_text("mine")
    before = snapshot(out.parents[1])
    with pytest.raises(OutputError, match=r"new\.csv: a file of your own"):
        written(out, results("new.csv"))
    assert snapshot(out.parents[1]) == before


def test_results_without_a_record_are_a_bug_of_ours(tmp_path):
    with pytest.raises(InternalError):
        written(tmp_path / "out", lambda into: (into / "a.csv").write_text("1"))
    assert snapshot(tmp_path) == {}


def test_link_to_a_folder_stays_a_link(out, tmp_path):
    link = tmp_path / "latest"
    link.symlink_to(out, target_is_directory=True)
    written(link, results("summary.csv", text="second"))
    assert link.is_symlink()
    assert (out / "summary.csv").read_text() == "second"


@pytest.mark.parametrize("code", sorted(write.ADVICE))
def test_every_error_has_its_advice(tmp_path, code):
    with pytest.raises(OutputError) as caught:
        written(tmp_path / "out", failing(OSError(code, "the reason")))
    assert "the reason" in str(caught.value)
    assert str(caught.value).endswith(write.ADVICE[code])


def test_name_too_long_for_the_disk(tmp_path):
    with pytest.raises(OutputError):
        written(tmp_path / ("x" * 300), results())
    assert snapshot(tmp_path) == {}
