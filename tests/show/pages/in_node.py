"""What was packed for a page, run by node, and how far two time histories of the kernel may be apart."""

import base64
import json
import shutil
import subprocess
import zlib
from pathlib import Path

import numpy as np
import pytest

from sim.show.pages.simulator.bundle import bundle
from sim.show.pages.simulator.calls import RUNS

NODE = shutil.which("node")
needs_node = pytest.mark.skipif(NODE is None, reason="there is no node here to run the kernel for browsers in")

SHARE = 1e-9
"""Of a channel's range: what was asked of the page's run against the native one."""

NOTHING = 1e-9
"""A channel that moves by less than this [m, rad, N, J] says no more than that it is zero: rounding, in either run."""


def in_node(folder, choices, asked=None):
    """Pack choices, run them in node, and return what each wrote (outputs, channels).

    asked : list of (number of the choice, factors of its dampers' sliders or None, steps an output or None); left out: each
    once, as it is.
    """
    choices = list(choices)
    return packed_in_node(
        folder, bundle(choices), [(n, None, None) for n in range(len(choices))] if asked is None else asked
    )


def packed_in_node(folder, text, asked):
    """Run what was packed in node, as `in_node`."""
    (folder / "bundle.txt").write_text(text, encoding="utf-8")
    rows = [dict(zip(("run", "factors", "every"), row, strict=True)) for row in asked]
    (folder / "asked.json").write_text(json.dumps(rows), encoding="utf-8")
    script = Path(__file__).with_name("run_packed.js")
    done = subprocess.run([NODE, str(script), str(folder)], capture_output=True, text=True, timeout=900.0)
    assert done.returncode == 0, done.stderr
    runs = contents(text)["runs"]
    widths = [runs[number]["given"]["out"]["out"] for number, *_ in asked]
    return [np.fromfile(folder / f"out{n}.bin").reshape(-1, width) for n, width in enumerate(widths)]


def contents(text):
    """Return the table of contents of what was packed."""
    whole = zlib.decompress(base64.b64decode(text))
    return json.loads(whole[8 : 8 + int.from_bytes(whole[:8], "little")])


def apart(native, page):
    """Return the greatest difference of each channel of two time histories (outputs, channels), as a share of its range."""
    assert native.shape == page.shape
    assert np.all(np.isfinite(page))
    # One that is nothing but rounding is compared with what counts as nothing.
    return np.abs(native - page).max(axis=0) / np.maximum(np.ptp(native, axis=0), NOTHING / SHARE)


def native(call):
    """Run a call here; return its time history (outputs, channels)."""
    given = {**call.given, "m": call.given["m"].copy()}
    wrote = RUNS[call.run](*given.values())
    return given["out"][:wrote]
