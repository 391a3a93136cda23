"""Waiting for what another process does: minutes, as a loaded machine needs them, but not for a process that has ended."""

import ctypes
import os
import signal
import subprocess
import sys
import time
import warnings
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest

PATIENCE_S = 900.0
"""Nothing that is waited for takes more than seconds on an idle machine; this only ends a test that would wait for ever."""

FOR_EVER_S = 100_000.0
"""Work that must be ended from outside goes on for so long."""


def until(happened, process=None):
    """Wait until that happens; fail if the process ends without it.

    Parameters
    ----------
    happened : callable
        Returns something true once it has happened.
    process : subprocess.Popen, optional
        Whose doing it is.
    """
    last = time.monotonic() + PATIENCE_S
    while not (ended := process is not None and process.poll() is not None) and time.monotonic() < last:
        if found := happened():
            return found
        time.sleep(0.02)
    if found := happened():  # just before it ended
        return found
    return pytest.fail(
        f"the process ended with {process.returncode}" if ended else "it has not happened in a quarter of an hour"
    )


def written(file: Path) -> str:
    """Return what a file holds, nothing if it is not there."""
    return file.read_text(encoding="utf-8") if file.exists() else ""


def is_running(number: int) -> bool:
    """Tell whether a process of that number is still at work: one that has ended and waits to be asked for is not."""
    try:
        os.kill(number, 0)
        state = Path(f"/proc/{number}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()[0]
    except (ProcessLookupError, FileNotFoundError):
        return False
    return state not in "ZX"


def running() -> Iterator[tuple[int, list[str]]]:
    """Yield the number of each process and what Linux' /proc/PID/stat says of it after its name: state, parent and so on; nothing elsewhere.

    Names are listed and then read: a path's `glob` asks of each file whether it is there, and fails at a process that ends meanwhile.
    """
    for process in Path("/proc").iterdir() if Path("/proc/self/stat").exists() else ():
        with suppress(OSError):  # it has ended since
            if process.name.isdigit():
                yield int(process.name), (process / "stat").read_text(encoding="utf-8").rpartition(")")[2].split()


ON_DEATH_OF_PARENT = 1
"""PR_SET_PDEATHSIG of Linux' prctl(2)."""

_SYSTEM = ctypes.CDLL(None) if sys.platform == "linux" else None


def _end_with_parent() -> None:
    if _SYSTEM is not None:
        _SYSTEM.prctl(ON_DEATH_OF_PARENT, int(signal.SIGKILL))


def begun(command: list[str], **more: Any) -> "subprocess.Popen[Any]":
    """Begin a process, as `subprocess.Popen`, that the system ends with this one: tests that are killed themselves end nothing."""
    with warnings.catch_warnings():
        # Of threads that may hold a lock: what is called in the new process before the command takes none.
        warnings.simplefilter("ignore", DeprecationWarning)
        return subprocess.Popen(command, preexec_fn=_end_with_parent, **more)
