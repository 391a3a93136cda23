"""Every call of a whole command that touches its folder of results fails in turn: old results whole or new results whole, and words for a person.

The way in which the most trusted embedded databases are tested. Calls are seen by Python's own audit events, so that also those
inside libraries count; fsync has no event and is wrapped.
"""

import contextlib
import errno
import io
import json
import os
import shutil
import sys
from pathlib import Path

import pytest

from sim.cli import main
from sim.show.report.write import FILES, MARKER
from tests.cli.test_json import AWAY, TRACK
from tests.fuzz.run import SCENARIOS
from tests.study.tuning.cases import written as tuned

TOUCH = {
    "open",
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.link",
    "os.symlink",
    "os.truncate",
    "os.chmod",
    "os.utime",
    "os.fsync",
}
"""Events that change a disk, or may."""

MOST = 1000
"""More calls than any command here has."""

EVERY = int(os.environ.get("EVERY_FAULT", "7"))
"""Of the calls of slow commands each so manieth fails; EVERY_FAULT=1 takes all, for some minutes."""

SLOW = ("sheet", "convert", "compare", "stand", "simulate", "sweep", "shake", "lean", "tramp", "endure", "tune")

QUICK = """kind: scenario
name: Quick
vehicle: vehicles/hut_supply_truck.yaml
run: {kind: push, over: front, force: 600 N, watch: 1 s}
setups:
  as it is: {}
  firm: {front.dampers.main.count: 4}
show: [verdict]
"""

COMMANDS = {
    "compare": ["compare", "quick.yaml", "--no-doubt"],
    "stand": ["stand", "two_or_four.yaml", "--picture", "OUTPUTS/stands"],
    "road": ["road", "courses/washboard_hump_dip.yaml"],
    "sheet": ["sheet", "two_or_four.yaml", "--setup", "four valved for four"],
    "convert": ["convert", "four_each_how.yaml"],
    "dyno": ["dyno", "dampers/front_returned.csv"],
    "simulate": ["simulate", "quick.yaml", "--no-doubt"],
    "sweep": ["sweep", "quick.yaml", "--setup", "as it is", "--vary", "front.tyre.rate", "200 N/mm", "300 N/mm", "2", "--workers", "1"],
    "shake": ["shake", "vehicles/hut_supply_truck.yaml"],
    "lean": ["lean", "away.yaml", "--steps", "3"],
    "tramp": ["tramp", "away.yaml", "--steps", "3"],
    "endure": ["endure", "short.yaml", "--workers", "1"],
    "tune": ["tune", "push.yaml", "--workers", "1"],
}  # fmt: skip
"""Of each command that writes results how it is called in a copy of the scenarios."""


class Injector:
    """Counts events below a folder and raises at one of them; an audit hook stays for ever, so there is one for all tests."""

    def __init__(self) -> None:
        self.below, self.fails_at, self.calls = "", 0, []
        sys.addaudithook(self.seen)

    def seen(self, event: str, given: tuple[object, ...]) -> None:
        """Take note of an event; raise if its turn has come."""
        if not self.below or event not in TOUCH:
            return
        paths = [os.fsdecode(one) for one in given if isinstance(one, str | bytes)]
        if not any(path.startswith(self.below) for path in paths):
            return
        if event == "open" and not _writes(given):
            return
        self.calls.append((event, paths[0]))
        if len(self.calls) == self.fails_at:
            raise OSError(errno.ENOSPC, "No space left on device", paths[0])


def _writes(given: tuple[object, ...]) -> bool:
    mode, flags = given[1], given[2]
    return bool(isinstance(mode, str) and set(mode) & set("wax+")) or bool(
        isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT)
    )


@pytest.fixture(scope="module")
def injector():
    one = Injector()
    yield one
    one.below = ""


def said(arguments: list[str]) -> tuple[int, str]:
    words = io.StringIO()
    with contextlib.redirect_stdout(words), contextlib.redirect_stderr(words):
        try:
            code = main(arguments)
        except SystemExit as end:
            code = int(end.code or 0)
    return code, words.getvalue()


def folders(outputs: Path) -> dict[str, bytes]:
    """Every file below the outputs but what has a hidden name."""
    return {
        path.relative_to(outputs).as_posix(): path.read_bytes()
        for path in sorted(outputs.rglob("*"))
        if path.is_file() and not any(part.startswith(".") for part in path.relative_to(outputs).parts)
    }


@pytest.mark.long
@pytest.mark.parametrize(
    "command",
    [one if one in ("compare", "road") else pytest.param(one, marks=pytest.mark.hours) for one in COMMANDS],
)
def test_a_fault_in_any_call_of_a_command(tmp_path, monkeypatch, injector, command):
    place = tmp_path / "scenarios"
    shutil.copytree(SCENARIOS, place)
    for name, text in (("quick", QUICK), ("short", TRACK), ("away", AWAY)):
        (place / f"{name}.yaml").write_text(text, encoding="utf-8")
    tuned(place, generations=1, hold=None)
    monkeypatch.chdir(place)
    outputs = tmp_path / "outputs"
    arguments = [word.replace("OUTPUTS", str(outputs)) for word in COMMANDS[command]]
    if command != "stand":
        arguments += ["--outputs", str(outputs)]
    real = os.fsync
    monkeypatch.setattr(os, "fsync", lambda file: (injector.seen("os.fsync", (str(outputs),)), real(file))[1])

    code, words = said(arguments)
    assert code in (0, 3), words
    of_results = [path for path in outputs.iterdir() if not path.name.startswith(".")]
    whole = set(folders(outputs))
    mine = {f"{folder.name}/mine.txt" for folder in of_results}
    faults = 0
    for when in range(1, MOST, EVERY if command in SLOW else 1):
        for folder in of_results:
            (folder / "mine.txt").write_text(f"mine {when}", encoding="utf-8")
        before = folders(outputs)
        injector.below, injector.fails_at, injector.calls = str(outputs), when, []
        code, words = said(arguments)
        injector.below = ""
        if len(injector.calls) < when:
            break
        faults += 1
        after, at = folders(outputs), injector.calls[when - 1]
        assert "Traceback" not in words, (when, at, words)
        assert code in (0, 3, 4), (when, at, words)
        assert all(after[name] == f"mine {when}".encode() for name in mine), (when, at)
        if code == 4:
            assert "No space left" in words, (when, at, words)
            assert after == before, (when, at)
        else:  # what failed was not needed: the results are whole
            assert set(after) == whole | mine, (when, at)
            for folder in of_results:
                listed = json.loads(after[f"{folder.name}/{MARKER}"])[FILES]
                assert all(f"{folder.name}/{name}" in after or (folder / name).is_dir() for name in listed), (when, at)
    else:
        pytest.fail("more calls than were tried")
    assert faults > 2
    # The run without a fault that ended the loop was the next command: nothing is left of those before.
    assert {path.name for path in outputs.iterdir()} <= {folder.name for folder in of_results} | {".gitignore"}, sorted(
        outputs.rglob("*")
    )
