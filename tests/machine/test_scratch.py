"""A folder of temporary files goes with the command that made it, also if that was killed; nobody else's is touched."""

import os
import signal
import subprocess
import sys
import tempfile
import threading
from pathlib import Path

import pytest

from sim.machine.locks import locked
from sim.machine.scratch import scratch
from tests.waiting import FOR_EVER_S

HOLDS = f"""
import time
from sim.machine.scratch import scratch
with scratch() as folder:
    (folder / "half").touch()
    print(folder, flush=True)
    time.sleep({FOR_EVER_S})
"""


@pytest.fixture
def place(tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    return tmp_path


def test_it_is_there_meanwhile_and_this_users_alone(place):
    with scratch() as folder:
        (folder / "file").touch()
        assert folder.parent == place
        if os.name == "posix":
            assert folder.stat().st_mode & 0o777 == 0o700
    assert list(place.iterdir()) == []


def test_it_goes_when_the_work_fails(place):
    def works() -> None:
        with scratch() as folder:
            (folder / "file").touch()
            raise ValueError("work")

    with pytest.raises(ValueError, match="work"):
        works()
    assert list(place.iterdir()) == []


def test_what_a_killed_command_left_goes_with_the_next_and_what_one_at_work_has_stays(place, child):
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "TMPDIR": str(place)}
    begun = [child([sys.executable, "-c", HOLDS], stdout=subprocess.PIPE, text=True, env=environment) for _ in range(2)]
    killed, at_work = (Path(process.stdout.readline().strip()) for process in begun)
    begun[0].send_signal(signal.SIGKILL)
    begun[0].wait()
    assert (killed / "half").exists()
    with scratch():
        assert not killed.exists()
        assert (at_work / "half").exists()
    assert {path.name.partition(".")[0] for path in place.iterdir()} == {at_work.name}


def test_a_persons_own_are_left_alone(place):
    own = [place / "jounce-runs", place / "jounce-0123456789abcdef", place / "jounce-notes.lock"]
    for path in own:
        path.mkdir()
    with scratch():
        pass
    assert sorted(place.iterdir()) == sorted(own)


def test_whoever_clears_up_at_that_moment_is_waited_for(place, monkeypatch):
    """Another process may take the lock between its file and its hold, to see whose it is; it lets go at once."""
    monkeypatch.setattr("sim.machine.scratch.secrets.token_hex", lambda many: "0" * 2 * many)
    made = []

    def work():
        with scratch() as folder:
            made.append(folder.is_dir())

    other = threading.Thread(target=work)
    with locked(place / f"jounce-{'0' * 16}.lock"):
        other.start()
        other.join(0.2)
        assert made == []
    other.join()
    assert made == [True]
    assert not list(place.iterdir())
