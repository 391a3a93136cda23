"""Collects what the published checks compared, so that the validation page is what ran.

The command is in DEVELOPERS.md.
"""

from pathlib import Path
from typing import Any

import numpy as np
import pytest

EVIDENCE: dict[str, list[tuple[Any, Any, str]]] = {}
SOURCES: dict[str, str] = {}
CURRENT: list[str] = []


def pytest_addoption(parser):
    parser.addoption("--evidence", default=None, metavar="FILE", help="write the page of checks, expected and obtained")


def pytest_runtest_setup(item):
    if item.config.getoption("--evidence"):
        CURRENT[:] = [item.nodeid]
        SOURCES[item.nodeid] = _said(item.function)
        SOURCES[item.nodeid.partition("::")[0]] = _said(item.module)


def _said(thing):
    words = (thing.__doc__ or "").strip().split("\n\n")
    return " ".join(" ".join(words[:2]).split())


def _listening(kind):
    plain = kind.__eq__

    def compared(self, actual):
        same = plain(self, actual)
        if CURRENT and same:
            found = EVIDENCE.setdefault(CURRENT[0], [])
            if np.size(self.expected) > 1:  # its elements were compared, and noted, one by one
                del found[max(len(found) - np.size(self.expected), 0) :]
            found.append((self.expected, actual, _tolerance(self)))
        return same

    kind.__eq__ = compared


def _tolerance(approx):
    if approx.abs is not None and approx.rel is None:
        return f"±{approx.abs:g}"
    return f"{approx.rel if approx.rel is not None else 1e-6:g} of it"


def pytest_configure(config):
    if config.getoption("--evidence"):
        for example in (1.0, [1.0], np.array([1.0])):
            _listening(type(pytest.approx(example)))


def _numbers(value):
    flat = np.atleast_1d(np.asarray(value)).ravel()
    shown = [f"{complex(number):.6g}" if np.iscomplexobj(flat) else f"{float(number):.6g}" for number in flat[:4]]
    return ", ".join(shown) + (f", … ({flat.size})" if flat.size > 4 else "")


def page():
    rows = [
        "# Validation\n",
        "Written by the tests as they ran: each comparison with its source, what was expected, what was obtained, and what",
        "difference is allowed. The command that makes it again is in DEVELOPERS.md. How sure each source is:",
        "[checks.md](checks.md).\n",
    ]
    last = ""
    for test, found in EVIDENCE.items():
        file, _, name = test.partition("::")
        if file != last:
            rows += [f"## {file}\n", f"{SOURCES[file]}\n"]
            last = file
        rows.append(f"### {name.replace('_', ' ').removeprefix('test ')}\n")
        if SOURCES[test]:
            rows.append(f"{SOURCES[test]}\n")
        rows += ["| expected | obtained | allowed difference |", "|---|---|---|"]
        rows += [
            f"| {_numbers(expected)} | {_numbers(actual)} | {allowed} |" for expected, actual, allowed in found[:12]
        ]
        if len(found) > 12:
            rows.append(f"| … and {len(found) - 12} more | | |")
        rows.append("")
    return "\n".join(rows).rstrip() + "\n"


def pytest_sessionfinish(session, exitstatus):
    target = session.config.getoption("--evidence")
    if target and exitstatus == pytest.ExitCode.OK:
        Path(target).write_text(page(), encoding="utf-8")
