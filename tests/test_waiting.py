"""What tests begin ends with them, however they end."""

import signal
import subprocess
import sys

import pytest

from tests.waiting import is_running, until

BEGINS = """
import sys, time
from tests.waiting import begun
sleeps = [sys.executable, "-c", "import time; time.sleep(100000)"]
print(begun(sleeps, start_new_session=True).pid, flush=True)
time.sleep(100000)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="Linux alone ends a process with its parent")
def test_what_a_test_has_begun_ends_with_a_test_run_that_is_killed(child):
    run = child([sys.executable, "-c", BEGINS], stdout=subprocess.PIPE, text=True)
    number = int(run.stdout.readline())
    assert is_running(number)
    run.send_signal(signal.SIGKILL)
    until(lambda: not is_running(number))
