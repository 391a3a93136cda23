"""A folder with earlier results, and the two ways of swapping it."""

import pytest

from sim.show.report import write
from sim.show.report.write import written
from tests.show.report.folders import results


@pytest.fixture
def out(tmp_path):
    """A folder with earlier results."""
    folder = tmp_path / "outputs" / "two_or_four"
    written(folder, results("summary.csv", "old.csv"))
    return folder


@pytest.fixture(params=["one step", "two steps"])
def step(request, monkeypatch):
    """Swaps as the system does them, and as one does that cannot do them in one step."""
    if request.param == "two steps":
        monkeypatch.setattr(write, "exchanged", lambda *_: False)
