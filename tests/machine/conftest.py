"""What tests of work in two processes share."""

import threading

import pytest

from sim import machine
from sim.machine import copies as module


@pytest.fixture(params=[True, False], ids=["split off", "afterwards"])
def split(request, monkeypatch):
    monkeypatch.setattr(machine, "OWN_PROCESS", request.param)
    monkeypatch.setattr(machine, "PLAIN", False)  # what is asked here is how copies are made, not whether
    monkeypatch.setattr(module.os, "sched_getaffinity", lambda process: {0, 1})
    before = set(threading.enumerate())  # such as those of whoever runs the tests
    monkeypatch.setattr(threading, "active_count", lambda: len(set(threading.enumerate()) - before) + 1)
    return request.param
