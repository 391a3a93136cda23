"""What is said beside results: little on request, and a line now and then where there is no terminal."""

import threading
from pathlib import Path

from sim.cli import main, progress
from sim.cli.progress import working

COMMAND = ["compare", str(Path(__file__).parents[2] / "scenarios" / "push_on_the_bumper.yaml"), "--no-plots"]


def test_quiet_says_results_and_cautions_alone(tmp_path, capsys):
    assert main([*COMMAND, "--outputs", str(tmp_path), "--quiet"]) == 0
    out, err = capsys.readouterr()
    assert "Front bump stop hits" in out
    assert "CAUTION" in err
    assert "Wrote" not in err
    assert "Next" not in err


def test_without_a_terminal_a_long_command_says_how_far_it_is(tmp_path, capsys, monkeypatch):
    monkeypatch.setattr(progress, "EVERY_S", 0.0)
    assert main([*COMMAND, "--outputs", str(tmp_path)]) == 0
    assert "Running '" in capsys.readouterr().err
    assert main([*COMMAND, "--outputs", str(tmp_path), "--quiet"]) == 0
    assert "Running '" not in capsys.readouterr().err


def test_a_short_command_has_no_such_line(capsys):
    with progress.working("Starting") as update:
        update("Half")
    assert capsys.readouterr().err == ""


def test_no_thread_of_the_spinner_is_left_when_it_has_ended():
    """A command is split into two processes only while it has one thread: one that is still ending would leave a core idle."""
    before = set(threading.enumerate())
    for _ in range(200):
        with working("Starting") as status:
            status("Running")
            assert set(threading.enumerate()) > before
        assert set(threading.enumerate()) == before
