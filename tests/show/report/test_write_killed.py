"""What a killed command leaves is put right by the next one, and two commands do not write one folder at once."""

import shutil
import subprocess
import sys
from pathlib import Path

from sim.show.report.write import MARKER, written
from tests.show.report.folders import results, snapshot
from tests.waiting import begun

ROOT = Path(__file__).parents[3]


def test_killed_in_the_swap_is_put_right_by_the_next_run(out):
    aside = out.with_name(f".{out.name}.old-0a1b2c3d")
    (out / "notes.txt").write_text("mine")
    out.rename(aside)  # all that a killed run had done
    written(out, results("summary.csv", text="second"))
    assert (out / "notes.txt").read_text() == "mine"
    assert [path.name for path in out.parent.iterdir()] == [out.name]


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
    return begun(
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
