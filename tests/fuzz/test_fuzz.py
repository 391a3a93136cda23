"""A few hundred mutated files, and those that once failed: no traceback, a documented exit code, words that fit a screen.

More of them by hand: `python -m tests.fuzz.run --files 100000`; docs/trust.md has the figures of such a run.
"""

import os
import shutil

import pytest

from tests.fuzz.judging import judged
from tests.fuzz.mutations import NUMBERS, TEXTS, UNITS, mutated
from tests.fuzz.run import SCENARIOS, SHIPPED, one

SEEDS = range(0, 4 * len(SHIPPED))


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    place = tmp_path_factory.mktemp("fuzz") / "scenarios"
    shutil.copytree(SCENARIOS, place)
    return place


@pytest.mark.parametrize("name", SHIPPED, ids=str)
def test_mutated(folder, name):
    for seed in SEEDS:
        if SHIPPED[seed % len(SHIPPED)] == name:
            found = judged(one(folder, seed))
            assert not found.fault, (seed, found.words)


@pytest.mark.parametrize("seed", [201138])
def test_once_failed(folder, seed):
    """A damper's force of 1e200 N reached the physics."""
    (folder / "dampers" / "wild.csv").write_bytes(
        mutated((SCENARIOS / SHIPPED[seed % len(SHIPPED)]).read_text(encoding="utf-8"), seed)
    )
    asking = folder / "asking.yaml"
    text = (SCENARIOS / "as_ordered_or_returned.yaml").read_text(encoding="utf-8")
    assert "front_returned.csv" in text
    asking.write_text(text.replace("front_returned.csv", "wild.csv"), encoding="utf-8")
    found = judged(asking)
    assert found.code == 2
    assert not found.fault, found.words


VEHICLE = "vehicles/hut_supply_truck.yaml"


@pytest.mark.parametrize(
    "written", [*NUMBERS, *(f"12 {unit}" for unit in UNITS), *TEXTS], ids=range(len(NUMBERS) + len(UNITS) + len(TEXTS))
)
def test_one_value_of_anything(folder, written):
    text = (SCENARIOS / VEHICLE).read_text(encoding="utf-8")
    assert "rate: 36 N/mm" in text
    path = folder / "vehicles" / "wild.yaml"
    path.write_bytes(text.replace("rate: 36 N/mm", f"rate: {written}").encode("utf-8", "surrogatepass"))
    found = judged(path)
    assert not found.fault, found.words
    assert found.code == (0 if written in ("12 N/mm", "12 lb/in") else 2)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes with a name")
@pytest.mark.parametrize("where", ["file", "vehicle", "survey"])
def test_what_is_no_regular_file_is_refused_at_once(folder, where):
    pipe = folder / f"pipe_{where}"
    os.mkfifo(pipe)
    asking = folder / "courses" / "asking.yaml"
    if where == "file":
        asking = pipe
    elif where == "vehicle":
        asking = folder / "asking.yaml"
        asking.write_text(
            f"kind: scenario\nname: x\nvehicle: {pipe}\nrun: {{kind: push, on: front, force: 400 N}}\nsetups: {{a: {{}}}}\n",
            encoding="utf-8",
        )
    else:
        asking.write_text(f"kind: course\nname: x\nitems:\n  - {{kind: profile, file: {pipe}}}\n", encoding="utf-8")
    found = judged(asking)
    assert found.code == 2
    assert not found.fault, found.words


@pytest.mark.parametrize("device", ["/dev/zero", "/dev/random"])
def test_a_device_is_no_file(device):
    if not os.path.exists(device):  # noqa: PTH110 - a device
        pytest.skip("this system has no such device")
    from pathlib import Path

    found = judged(Path(device))
    assert found.code == 2
    assert "device" in found.words


def test_a_screen_of_problems_at_most(folder):
    text = (SCENARIOS / VEHICLE).read_text(encoding="utf-8")
    path = folder / "vehicles" / "wild.yaml"
    path.write_text(text.replace(" mm", " kg").replace(" m,", " kg,"), encoding="utf-8")
    found = judged(path)
    assert found.code == 2
    assert "and " in found.words
    assert " more" in found.words
    assert len(found.words.splitlines()) < 100
