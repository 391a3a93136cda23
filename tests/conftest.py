"""What every test is given: child processes that end with it, and a look at what is left running after each file of tests.

And collects what the published checks compared, so that the validation page is what ran; the command is in DEVELOPERS.md.
"""

import ctypes
import os
import signal
import sys
import time
from contextlib import suppress
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, settings

from tests.waiting import begun, running

ADOPTS_ORPHANS = 36
"""PR_SET_CHILD_SUBREAPER of Linux' prctl(2): what a child leaves running becomes a child of ours, and is seen."""

# Whoever runs the tests may have settings of their own; processes that tests start are given this too.
os.environ["JOUNCE_UNITS"] = "both"

# The same examples each time, none refused for its time: what passes here passes on a loaded machine. More by hand: --hypothesis-seed.
settings.register_profile(
    "jounce", deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck)
)
settings.load_profile("jounce")

MOST_BYTES = 1e9
"""Of memory that a worker of the tests may take; told in the summary."""

PEAKS: dict[str, float] = {}

GROWTH_BYTES = 1e8
"""A test that raises its process's peak by more is named in the summary, if a worker took too much."""

GROWN: list[str] = []


@pytest.fixture
def child():
    """Start processes, as `subprocess.Popen`, that end with the test however that ends, and all that they have started too."""
    started = []

    def start(command, **more):
        started.append(begun(command, start_new_session=True, **more))
        return started[-1]

    yield start
    for process in started:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(process.pid, signal.SIGKILL)
        with process:  # waits, and closes its pipes
            pass


MANY_TESTS = 1000
"""From so many on, tests of all floors are asked for, and the whole kernel is needed."""


@pytest.fixture(scope="session", autouse=True)
def compiled(request):
    """Have the kernel compiled once for all workers, where they run the whole suite."""
    if len(request.session.items) < MANY_TESTS or (worker := os.environ.get("PYTEST_XDIST_WORKER")) is None:
        return
    from tests.compiling import compiled_once

    compiled_once(int(worker.removeprefix("gw")))


def _dismissed(executor):
    """End the processes that loky keeps; killed here, as its own way of that stops at work that has been cancelled, and kills none."""
    workers = list(executor._processes.values())
    for process in workers:
        with suppress(ProcessLookupError):
            os.kill(process.pid, signal.SIGKILL)
    if workers:
        executor._executor_manager_thread.join()
    executor.shutdown(wait=True)


def _ended(number: int) -> bool:
    """Return whether a child has ended; a worker of processes that were given up may take a while to do so."""
    given_up = time.monotonic() + 120.0
    while not os.waitpid(number, os.WNOHANG)[0]:
        command = Path(f"/proc/{number}/cmdline").read_bytes()
        # Without a command line it is on its way out already: what a shell had started beside itself.
        if time.monotonic() > given_up or (command and b"LokyProcess" not in command):
            return False
        time.sleep(0.1)
    return True


@pytest.fixture(scope="module", autouse=True)
def nothing_left_running():
    """Fail if a file of tests leaves a process behind; it is ended."""
    yield
    pools = sys.modules.get("joblib.externals.loky.reusable_executor")
    if pools is not None and pools._executor is not None:  # kept between calls on purpose
        _dismissed(pools._executor)
    left = {}
    for number in _children():
        with suppress(ChildProcessError):
            if _ended(number):  # one of its own children that had ended already
                continue
        command = Path(f"/proc/{number}/cmdline").read_bytes().replace(b"\0", b" ").decode()
        if "resource_tracker" not in command:  # ends with this process
            left[number] = command
            os.kill(number, signal.SIGKILL)
            os.waitpid(number, 0)
    assert not left


def _children():
    """Process numbers of this process's children, where the system tells (Linux)."""
    return [number for number, fields in running() if int(fields[1]) == os.getpid()]


def _peak():
    """Return the most memory that this process has taken [bytes]; nothing where the system does not tell (not Linux).

    The kernel's own high-water mark, as `getrusage` begins with that of the process which started this one.
    """
    status = Path("/proc/self/status")
    if not status.exists():
        return None
    return 1024.0 * int(status.read_text(encoding="utf-8").partition("VmHWM:")[2].split()[0])


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol(item):
    before = _peak() or 0.0
    outcome = yield
    if (after := _peak() or 0.0) - before > GROWTH_BYTES:
        GROWN.append(f"{before / 1e6:.0f} to {after / 1e6:.0f} MB: {item.nodeid}")
    return outcome


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node, error):
    given = getattr(node, "workeroutput", {})
    if peak := given.get("peak"):
        PEAKS[node.gateway.id] = peak
    GROWN.extend(f"{node.gateway.id} {text}" for text in given.get("grown", ()))


def pytest_terminal_summary(terminalreporter):
    if PEAKS:
        said = ", ".join(f"{name} {peak / 1e6:.0f} MB" for name, peak in sorted(PEAKS.items()))
        high = max(PEAKS.values()) > MOST_BYTES
        terminalreporter.write_line(f"peak memory: {said}", red=high, bold=high)
        for text in GROWN if high else ():
            terminalreporter.write_line(f"  {text}")


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
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(ADOPTS_ORPHANS, 1)
    if os.environ.get("PYTHONDONTWRITEBYTECODE") and config.pluginmanager.has_plugin("cacheprovider"):
        # Whoever wants none beside their files: some hundred processes would else each translate the package anew.
        os.environ["PYTHONPYCACHEPREFIX"] = str(config.cache.mkdir("bytecode"))
        del os.environ["PYTHONDONTWRITEBYTECODE"]
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
    peak = _peak()
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["peak"] = peak
        session.config.workeroutput["grown"] = GROWN
    elif peak is not None and not session.config.getoption("numprocesses", None):
        PEAKS["here"] = peak
    target = session.config.getoption("--evidence")
    if target and exitstatus == pytest.ExitCode.OK:
        Path(target).write_text(page(), encoding="utf-8")
