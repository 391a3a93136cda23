"""A command on a scenario beside the page, in a process of its own: report, sweep or tuning, with its progress, and stopped at will."""

import os
import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from pathlib import Path
from typing import Any

WORKS = {
    "compare": "Write the report",
    "sweep": "Run its sweep",
    "tune": "Run its tuning",
    "sheet": "Write the order sheet",
}
"""Commands that a scenario may be given to, and what the page calls them; sweep and tune where the file asks for them."""

ALWAYS = ("compare", "sheet")
"""Commands that any scenario may be given to."""

FAR = re.compile(r"(\d+) of (\d+)")
REPORT = re.compile(r"(\S+/report\.html)")
LOOK_S = 0.2
LAST_LINES = 8


def works_of(data: Mapping[str, Any]) -> list[dict[str, str]]:
    """Return the commands that a scenario's mapping can be given to, each with its words."""
    return [{"command": name, "words": words} for name, words in WORKS.items() if name in ALWAYS or name in data]


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
        Of a sheet: the set-up whose dampers are ordered; empty: the first that has any.
    """

    def __init__(self, command: str, scenario: Path, outputs: Path, units: str, setup: str = "") -> None:
        self.outputs = outputs.resolve()
        words = [sys.executable, "-m", "sim", command, scenario.name, "--outputs", str(self.outputs), "--units", units]
        if command == "sheet" and setup:
            # In one word: a name may begin with a dash.
            words.append(f"--setup={setup}")
        # A session of its own, so that whatever the command starts ends with it.
        self._process = subprocess.Popen(
            words, cwd=scenario.parent, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True,
            encoding="utf-8", errors="replace", start_new_session=True,
        )  # fmt: skip
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._kept: list[str] = []
        self._report = ""
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
            return self._ended()
        if found := REPORT.search(line):
            self._report = found[1]
        self._kept = [*self._kept, line][-LAST_LINES:]
        far = FAR.search(line)
        return {"done": int(far[1]), "of": int(far[2]), "words": line} if far else None

    def _ended(self) -> dict[str, Any]:
        code = self._process.wait()
        said = "\n".join(line for line in self._kept if line)
        # 3: something is flagged, and all is written.
        if code not in (0, 3):
            return {"why": said or f"It has ended without an answer ({code})."}
        report = self.outputs / Path(self._report).parent.name / "report.html"
        there = bool(self._report) and report.is_file()
        return {"ended": True, "report": f"{report.parent.name}/report.html" if there else "", "said": said}

    def stop(self) -> None:
        """End it with all that it has started, whatever it has come to."""
        if self._process.poll() is None:
            if hasattr(os, "killpg"):
                os.killpg(self._process.pid, signal.SIGKILL)
            else:
                self._process.kill()
        self._process.wait()
        self._reader.join()
