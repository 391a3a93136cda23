"""Work spread over processes: a worker that is killed loses nothing, one that always is is told of."""

import os
import signal

import pytest

from sim.errors import RunError
from sim.many.spread import Spread


class KilledOnce:
    """Squares numbers; whoever gets the fifth first is killed over it."""

    def __init__(self, flag, always=False):
        self.flag, self.always = flag, always

    def solved(self, part):
        if part == 5 and (self.always or not self.flag.exists()):
            self.flag.write_text(str(os.getpid()), encoding="utf-8")
            os.kill(os.getpid(), signal.SIGKILL)
        return part * part


def test_what_a_killed_worker_had_is_done_again(tmp_path):
    with Spread(KilledOnce(tmp_path / "killed"), workers=2) as spread:
        done = list(spread.each(range(40)))
    assert (tmp_path / "killed").exists()
    assert sorted(done) == [(n, n * n) for n in range(40)]  # each once


def test_workers_that_are_killed_again_and_again(tmp_path):
    with (
        Spread(KilledOnce(tmp_path / "killed", always=True), workers=2) as spread,
        pytest.raises(RunError, match="--workers 1"),
    ):
        list(spread.each(range(40)))
