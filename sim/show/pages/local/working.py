"""A command on a scenario beside the page, in a process of its own: report, sweep or tuning, with its progress, and stopped at will."""

import json
import os
import queue
import re
import signal
import subprocess
import sys
import tempfile
import threading
from collections.abc import Mapping, Sequence
from functools import cache
from pathlib import Path
from typing import Any

from sim.describe.estimates.fields import fields
from sim.show.pages.called import called
from sim.show.pages.local.at_boxes import MISSING, in_form_words
from sim.show.pages.local.half_typed import NEEDED
from sim.show.plots.side_by_track import LEFT_OF_ITS_FORCE
from sim.show.report.endured import FAR_BEHIND
from sim.show.report.tuning_words import AT_END

WORKS = {
    "compare": "Write the report",
    "sweep": "Run its sweep",
    "tune": "Run its tuning",
    "lean": "Try other mounts against wind-up (lean)",
    "tramp": "Map where it hops by itself (tramp)",
    "sheet": "Write the order sheet",
    "endure": "Will they fade over hours?",
}
"""Commands that a scenario may be given to, and what the page calls them; sweep and tune where the file asks for them, lean and tramp where it pulls away, endure,
beside its own boxes, where it is hours of track."""

TUNE = "tune"

OF_A_LAUNCH = ("lean", "tramp")
"""Commands that need a scenario whose run is a launch."""

OF_ONE = {"sheet", "tramp"}
"""Commands that take one of the set-ups."""

PICTURES = {"lean": "leans.png", "tramp": "tramp.png", "endure": "heat.png"}
"""Pictures that are shown with what a command comes to."""

ALWAYS = ("compare", "sheet")
"""Commands that any scenario may be given to, but hours of track."""

OF_HOURS = ("sheet",)
"""Those of hours of track."""

ASKED = ("sweep", "tune")
"""Commands that a file asks for by a part of its own."""

FAR = re.compile(r"(\d+(?:\.\d+)?) of (\d+(?:\.\d+)?)")
REPORT = "report.html"
LOOK_S = 0.2
LAST_LINES = 8

ALWAYS_SAID = {"tune": (AT_END,), "endure": (FAR_BEHIND,)}
"""Beginnings of later sentences that are said in the page too: without them the first ones would be taken for more than they are."""

SENTENCES = {"compare": 1, "sweep": 1, "tune": 2, "sheet": 4, "lean": 2, "tramp": 2}
"""How many of its first sentences are said in the page: what it comes to; all of them are in its report."""


def works_of(data: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return the commands that a scenario's mapping can be given to, each with its words; of a tuning with the set-up that it starts from."""
    run = data.get("run")
    kind = run.get("kind") if isinstance(run, Mapping) else ""
    # Hours of track are driven by a command of their own, which stands beside their boxes.
    always = OF_HOURS if kind == "track" else ALWAYS
    own = {
        name: words
        for name, words in WORKS.items()
        if name in always or (name in data and name in ASKED) or (kind == "launch" and name in OF_A_LAUNCH)
    }
    if TUNE in own and (start := start_of(data)):
        own[TUNE] += f", from “{start}”"
    return [{"command": name, "words": words} for name, words in own.items()]


def not_run(errors: Any, scenario: str) -> dict[str, str]:
    """Return why a command did not run, in the form's words, and the first box at which that is mended; empty if it has not said what is wrong.

    Parameters
    ----------
    errors : list of mapping
        What it says is wrong (`--json`), with its place in a file.
    scenario : str
        Name of the scenario's file: it has no form, so that what is wrong in it is left in the command's words, with its line.
    """
    rows = [one for one in errors or () if isinstance(one, Mapping)]
    if not rows or not all(one.get("where") and Path(str(one.get("file"))).name != scenario for one in rows):
        return {}
    lines, boxes = [], [str(one["where"]) for one in rows if str(one["where"]) in _boxes()]
    for one in rows:
        where, message = str(one["where"]), str(one.get("message") or "")
        said = "is not filled in" if MISSING in message else in_form_words(message, where)
        more = [in_form_words(str(one[key]), where) for key in ("allowed", "suggestion") if one.get(key)]
        lines.append("; ".join([f"{called(where) if '.' in where else where}: {said}", *more]))
    lines.append("Nothing was run or written.")
    return {"why": "\n".join(lines)} | ({"box": boxes[0]} if boxes else {})


@cache
def _boxes() -> frozenset[str]:
    """Return the paths of all boxes of the form."""
    return frozenset(own.path for own in fields()) | {
        ".".join((*part, *key)) for part, keys in NEEDED.items() for key in keys
    }


def flag_words(flag: Mapping[str, Any]) -> str:
    """Return a flag (`--json`) with its set-up, and at which values of a sweep it is."""
    of = [str(one) for one in (flag.get("of"), *(flag.get("at") or ())) if one]
    return f"{', '.join(of)}: {flag['sentence']}" if of else str(flag["sentence"])


def said_of(command: str, verdict: Sequence[str]) -> list[str]:
    """Return which sentences of a command's verdict are said in the page: its first ones, and later ones without which those would say too much."""
    first = SENTENCES.get(command, 1)
    if command == "endure":
        # Whether they fade is what was asked; how hot they get comes before it in the report.
        verdict = sorted(verdict, key=lambda one: LEFT_OF_ITS_FORCE not in one)
    return [*verdict[:first], *(one for one in verdict[first:] if one.startswith(ALWAYS_SAID.get(command, ())))]


def start_of(data: Mapping[str, Any]) -> str:
    """Return the set-up that a scenario's tuning starts from: the one that it names, or its first; empty if it has none."""
    asked, setups = data.get(TUNE), data.get("setups")
    named = asked.get("start") if isinstance(asked, Mapping) else None
    return str(named or next(iter(setups if isinstance(setups, Mapping) else ()), ""))


class Working:
    """A command under way; what it says is asked for with `next`.

    Parameters
    ----------
    command : str
        One of WORKS.
    scenario : Path
        Its file.
    outputs : Path
        Where results go.
    units : str
        In which it shows numbers.
    setup : str
        Of a sheet: the set-up whose dampers are ordered, of tramp: that is mapped; empty: the first that has any.
    axle : str
        Of lean: whose dampers are moved.
    """

    def __init__(
        self, command: str, scenario: Path, outputs: Path, units: str, setup: str = "", axle: str = "rear"
    ) -> None:
        self.outputs = outputs.resolve()
        self.command, self.scenario = command, scenario.name
        words = [
            sys.executable,
            "-m",
            "sim",
            command,
            scenario.name,
            "--outputs",
            str(self.outputs),
            "--units",
            units,
            "--json",
        ]
        if command == "lean":
            words += ["--axle", axle]
        if command in OF_ONE and setup:
            # In one word: a name may begin with a dash.
            words.append(f"--setup={setup}")
        # Its answer goes into a file: a pipe that nobody reads while it runs would hold it up when full.
        self._answer = tempfile.TemporaryFile()  # noqa: SIM115 - open as long as the command runs
        # A session of its own, so that whatever the command starts ends with it.
        self._process = subprocess.Popen(
            words, cwd=scenario.parent, stdin=subprocess.DEVNULL, stdout=self._answer, stderr=subprocess.PIPE, text=True,
            encoding="utf-8", errors="replace", start_new_session=True,
        )  # fmt: skip
        self._ending = threading.Lock()
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._kept: list[str] = []
        self._reader = threading.Thread(target=self._read, daemon=True)
        self._reader.start()

    def _read(self) -> None:
        assert self._process.stderr is not None
        with self._process.stderr as lines:
            for line in lines:
                self._lines.put(line.rstrip())
        self._lines.put(None)

    def next(self) -> dict[str, Any] | None:
        """Return what it says next, waiting a moment for it: how far it is, where its report is, or why not; None: nothing yet."""
        try:
            line = self._lines.get(timeout=LOOK_S)
        except queue.Empty:
            return None
        if line is None:
            # A stop may come while the answer is read.
            with self._ending:
                return None if self._answer.closed else self._ended()
        self._kept = [*self._kept, line][-LAST_LINES:]
        far = FAR.search(line)
        return {"done": float(far[1]), "of": float(far[2]), "words": line} if far else None

    def _ended(self) -> dict[str, Any]:
        code = self._process.wait()
        answer = self._read_answer()
        # 3: something is flagged, and all is written.
        if code not in (0, 3):
            return not_run(answer.get("errors"), self.scenario) or {
                "why": "\n".join(line for line in self._kept if line) or f"It has ended without an answer ({code})."
            }
        # A title, which a verdict may be, ends without a full stop.
        verdict = [
            text if (text := str(one)).endswith((".", "?", "!", ")")) else f"{text}."
            for one in answer.get("verdict") or ()
        ]
        # The first that it wrote is of all that was asked; a tuning's others are of one case each.
        files = [
            path for one in answer.get("files") or () if (path := Path(one).resolve()).is_relative_to(self.outputs)
        ]
        report = next((one for one in files if one.name == REPORT), None)
        shown = PICTURES.get(self.command)
        picture = next((one for one in files if one.name == shown), None)
        tables = [one for one in files if shown and one.suffix == ".csv"]
        return {
            "ended": True, "report": self._within(report), "command": self.command, "picture": self._within(picture), "tables": [self._within(one) for one in tables],
            "said": said_of(self.command, verdict),
            "flags": list(dict.fromkeys(map(flag_words, answer.get("flags") or ()))),
        }  # fmt: skip

    def _within(self, path: Path | None) -> str:
        """Return where a file is below the folder of results; empty without one."""
        return path.relative_to(self.outputs).as_posix() if path else ""

    def _read_answer(self) -> dict[str, Any]:
        """Return what it answered (`--json`); empty if it ended without."""
        self._answer.seek(0)
        text = self._answer.read()
        self._answer.close()
        try:
            answer = json.loads(text)
        except ValueError:
            return {}
        return answer if isinstance(answer, dict) else {}

    def stop(self) -> None:
        """End it with all that it has started, whatever it has come to."""
        if self._process.poll() is None:
            if hasattr(os, "killpg"):
                os.killpg(self._process.pid, signal.SIGKILL)
            else:
                self._process.kill()
        self._process.wait()
        self._reader.join()
        with self._ending:
            self._answer.close()
