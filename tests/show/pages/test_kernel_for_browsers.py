"""The kernel for browsers is that of the house: made from its very sources, and made again the same byte for byte."""

import hashlib
import json
import shutil
import subprocess
import sys
import tomllib
from importlib.metadata import version
from pathlib import Path

import pytest

from sim.machine.jit import text_hash
from sim.show.pages.make_wasm import STATIC

ROOT = Path(__file__).parents[3]
AGAIN = "python -m sim.show.pages.make_wasm"


def kept():
    return json.loads((STATIC / "kernel.json").read_text(encoding="utf-8"))


def test_it_is_made_from_the_sources_of_the_house():
    assert kept()["sources"] == text_hash(), f"the kernel was changed: make its copy for browsers again by {AGAIN}"


def test_it_is_what_was_made_from_them():
    code = (STATIC / "kernel.wasm").read_bytes()
    assert hashlib.sha256(code).hexdigest() == kept()["sha256"]
    assert code[:8] == b"\0asm\1\0\0\0"  # WebAssembly Core Specification 1.0, 5.5.16: its first bytes, and its version


def test_it_travels_with_the_package():
    with (ROOT / "pyproject.toml").open("rb") as file:
        patterns = tomllib.load(file)["tool"]["setuptools"]["package-data"]["sim"]
    packed = {path for pattern in patterns for path in (ROOT / "sim").glob(pattern)}
    assert set(STATIC.iterdir()) <= packed


@pytest.mark.hours  # it compiles both runs from nothing
@pytest.mark.skipif(shutil.which("wasm-ld") is None, reason="there is no wasm-ld here to link it with (Debian: lld)")
def test_made_again_it_is_the_same(tmp_path):
    """Twice here, byte for byte; and as it was shipped, if it was made by the same compiler and linker."""
    made = []
    for number in range(2):
        folder = tmp_path / str(number)
        folder.mkdir()
        command = [sys.executable, "-m", "sim.show.pages.make_wasm", "--into", str(folder)]
        subprocess.run(command, cwd=ROOT, check=True, timeout=900.0)
        made.append((folder / "kernel.wasm").read_bytes())
    assert made[0] == made[1]
    again, shipped = json.loads((folder / "kernel.json").read_text(encoding="utf-8")), kept()
    assert again["numba"] == version("numba")
    if {**again, "sha256": ""} == {**shipped, "sha256": ""}:
        assert again["sha256"] == shipped["sha256"]
