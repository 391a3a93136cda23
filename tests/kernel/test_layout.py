"""Rows of the kernel's memory: asked for by name, so that no order of fields is wrong, and no two of them the same."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.kernel import layout as at

ROOT = Path(__file__).parents[2]
RECORDS = {at.Body: at.BODY_AT, at.Axle: at.AXLE_AT, at.Arc: at.ARC_AT, at.Wheels: at.WHEELS_AT, at.Drive: at.DRIVE_AT, at.Line: at.LINE_AT}  # fmt: skip


@pytest.mark.parametrize("kind", RECORDS, ids=lambda kind: kind.__name__)
def test_positions_follow_the_fields(kind):
    for number, field in enumerate(kind._fields):
        assert getattr(RECORDS[kind], field) == number


def test_rows_of_an_axle_and_of_a_state_are_all_there_once():
    text = (ROOT / "sim" / "kernel" / "layout.py").read_text(encoding="utf-8")
    scratch = text[text.index("\nPLACE: Final") : text.index("\nSCRATCH_ROWS: Final")]
    rows = [int(row) for row in re.findall(r"^[A-Z_0-9]+: Final = (\d+)", scratch, flags=re.M)]
    assert rows == list(range(at.SCRATCH_ROWS))
    pairs = {"SPIN", "SLIP", "BRAKE", "TWIST", "FELT"}
    driven = [getattr(at, name) + axle for name in pairs for axle in range(at.AXLES)]
    single = [at.ENGINE, at.CENTRE, at.CENTRE_GIVE, at.WORK_ENGINE, at.LOSS_SLIP, at.LOSS_BRAKES, at.LOSS_SHAFTS]
    assert sorted(driven + single) == list(range(at.STATES, at.ROWS))


PROBE = """
import sys
import numpy as np
from sim import machine
machine.COMPILES = False  # the text is what is asked about
import sim
from sim.kernel import layout as at

out = []
for file in ("push_on_the_bumper", "brake_from_speed"):
    scenario = sim.load(f"scenarios/{file}.yaml")
    short = {"press": 0.02, "hold": 0.02, "watch": 0.06} if "push" in file else {"watch": 0.6, "pedal_after": 0.1}
    run = scenario.run.model_copy(update=short)
    made = sim.simulate(next(iter(scenario.setups.values())), run, step_s=2e-3 if "push" in file else 10e-3)
    out += [made.front.tyre_load_n, made.rear.jounce_m, made.rear.wind_up_rad, made.energy.residual_j]
np.savez(sys.argv[1], *out)
print(at.Axle._fields, at.Body._fields, at.Line._fields)
"""


def shuffled(text, kind, rng):
    """The text of layout.py with a record's fields in another order."""
    start = text.index(f"class {kind.__name__}(NamedTuple):")
    end = text.index("\n\n\n", start)
    fields = [line for line in text[start:end].split("\n") if re.match(r"    \w+: float", line)]
    assert len(fields) == len(kind._fields)
    # Where one may be left out, any may come after it: all get a value that is then given by name.
    left_out = any("float = " in line for line in fields)
    free = [re.sub(r": float(?! =)", ": float = 0.0", line, count=1) if left_out else line for line in fields]
    mixed = [free[i] for i in rng.permutation(len(fields))]
    return text[:start] + text[start:end].replace("\n".join(fields), "\n".join(mixed)) + text[end:]


@pytest.mark.hours
@pytest.mark.long  # runs as plain Python
def test_runs_do_not_depend_on_the_order_of_fields(tmp_path):
    """Every record shuffled: a push and a braked run are to the last bit what they were."""
    for folder in ("sim", "scenarios"):
        shutil.copytree(ROOT / folder, tmp_path / folder, ignore=shutil.ignore_patterns("__pycache__"))
    layout = tmp_path / "sim" / "kernel" / "layout.py"
    text, rng = layout.read_text(encoding="utf-8"), np.random.default_rng(7)
    mixed = text
    for kind in RECORDS:
        mixed = shuffled(mixed, kind, rng)
    found, said = [], []
    for order in (text, mixed):
        layout.write_text(order, encoding="utf-8")
        file = tmp_path / f"{len(found)}.npz"
        done = subprocess.run(
            [sys.executable, "-B", "-c", PROBE, str(file)], cwd=tmp_path, capture_output=True, text=True, check=False,
            env={**os.environ, "PYTHONPATH": str(tmp_path), "JOUNCE_PLAIN": "1"},  # what comes compiled is left out
        )  # fmt: skip
        assert done.returncode == 0, done.stderr
        said.append(done.stdout)
        with np.load(file) as kept:
            found.append([kept[name] for name in kept.files])
    assert said[0] != said[1]
    for one, other in zip(*found, strict=True):
        assert np.array_equal(one, other)
    assert all(np.ptp(one) > 0.0 for one in found[0][:2])
