"""Standard output without a reader, closed, or full: exit codes as the README names them, no traceback, files written.

What counts as a failure is what the shell's own `cat` on this machine takes for one.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
PUSH = "scenarios/push_on_the_bumper.yaml"

pytestmark = [pytest.mark.long, pytest.mark.skipif(os.name != "posix", reason="a shell's redirections")]


SIGPIPE_ENDS = 128 + 13
"""What a shell says of a tool that ended because nobody reads it."""


def shell(command):
    """Return exit code and standard error of `jounce …` with a redirection or pipe; the code is that of jounce."""
    script = f'jounce() {{ {sys.executable!r} -m sim "$@"; }}\n{command}\nexit ${{PIPESTATUS[0]}}'
    done = subprocess.run(
        ["bash", "-c", script], cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)}, capture_output=True, text=True
    )
    assert "Traceback" not in done.stdout + done.stderr
    assert "Exception ignored" not in done.stderr
    return done.returncode, done.stdout, done.stderr


@pytest.mark.long  # twelve processes
@pytest.mark.parametrize(
    "command", [f"check {PUSH}", f"stand {PUSH}", "schema vehicle", "--help", "--version", "stand --help"]
)
def test_a_reader_that_stops_reading_is_no_error(command):
    assert shell(f"jounce {command} | true")[0] == 0
    code, out, _ = shell(f"jounce {command} | head -1")
    assert code == 0
    assert len(out.splitlines()) == 1


def test_the_shells_own_tools_do_so():
    assert shell("cat pyproject.toml | true")[0] in (0, SIGPIPE_ENDS)
    assert shell("cat pyproject.toml >&-")[0] not in (0, SIGPIPE_ENDS)
    if Path("/dev/full").exists():
        assert shell("cat pyproject.toml >/dev/full")[0] not in (0, SIGPIPE_ENDS)


def test_more_than_a_pipe_holds_into_a_reader_that_stops():
    """A pipe holds 64 KiB (pipe(7)): what comes after that is refused while the command still writes."""
    assert len(shell("jounce schema vehicle")[1]) > 65536
    assert shell("jounce schema vehicle | head -c 1 && wait")[0] == 0


@pytest.mark.long  # a process of its own
def test_files_are_written_and_flags_told_though_nobody_reads(tmp_path):
    code, _, error = shell(f"jounce simulate {PUSH} --no-plots --outputs {tmp_path} | true")
    assert code == 0
    assert "Wrote" in error
    (folder,) = tmp_path.iterdir()
    assert (folder / "record.json").is_file()


@pytest.mark.parametrize("command", [f"check {PUSH}", f"stand {PUSH}", "schema vehicle", "--help"])
def test_closed_output(command):
    code, _, error = shell(f"jounce {command} >&-")
    assert code == 4
    assert "standard output: results cannot be written: it is closed" in error


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full here")
@pytest.mark.parametrize("command", [f"check {PUSH}", f"stand {PUSH}", "schema vehicle", "--version"])
def test_full_output(command):
    code, _, error = shell(f"jounce {command} >/dev/full")
    assert code == 4
    assert "standard output: results cannot be written: No space left on device" in error


@pytest.mark.parametrize("output", [">&-", ">/dev/null", "| true"])
def test_bad_input_is_said_whatever_happens_to_the_output(output):
    code, _, error = shell(f"jounce check scenarios/nowhere.yaml {output}")
    assert code == 2
    assert "there is no such file" in error


@pytest.mark.long  # eight processes
@pytest.mark.parametrize("notes", ["2>&-", "2>/dev/full", "2>&1 >/dev/null | true", ">&- 2>&- <&-"])
def test_notes_that_cannot_be_written_stop_nothing(notes, tmp_path):
    """Closed, no file of results gets the number of standard output, into which a table would then be written."""
    if "/dev/full" in notes and not Path("/dev/full").exists():
        pytest.skip("no /dev/full here")
    code, out, error = shell(f"jounce simulate {PUSH} --no-plots --outputs {tmp_path} {notes}")
    assert code == (4 if ">&- 2>&-" in notes else 0)
    assert error == ""
    assert "Wrote" not in out  # a note stays out of the results
    (folder,) = tmp_path.iterdir()
    assert (folder / "record.json").is_file()
    assert shell(f"jounce check scenarios/nowhere.yaml {notes}")[::2] == (2, "")
