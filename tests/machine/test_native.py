"""Machine code that is read back is called as the compiler itself calls it, and the compiler is not loaded for it."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from sim.describe.doubt import Doubt, Estimated
from sim.machine import native

ROOT = Path(__file__).parents[2]

pytestmark = pytest.mark.skipif(not native.WHERE_TRIED, reason="left to the compiler on this system")

PROBE = """
import sys
import numpy as np
from sim.machine import jit


@jit.inlined
def twice(x):
    return 2.0 * x


@jit.compiled
def filled(out, rows, first, factor, narrow, whole):
    for i in range(rows.shape[0]):
        for j in range(rows.shape[1]):
            out[i, j] = twice(rows[i, j]) * factor + narrow * whole[j] + first
    return rows.shape[0] * 100 + rows.shape[1]


@jit.compiled
def silent(out):
    out[0] = 7.0


out = np.zeros((2, 3))
rows = np.arange(6.0).reshape(2, 3)
given = (out, rows, 5, 0.5, np.float32(0.25), np.arange(3))
go = jit.bound(filled, *given)
assert filled(*given) == 203
print(out.tobytes().hex(), "numba" in sys.modules)
rows += 1.0
out[:] = 0.0
assert go() == 203  # arrays are read when it is called
print(out.tobytes().hex())
one = np.zeros(1)
assert silent(one) is None
assert one[0] == 7.0
print("numba" in sys.modules)
turned = np.zeros((3, 2)).T  # another layout than any that was kept: the compiler sees to it
assert filled(turned, *given[1:]) == 203
assert np.array_equal(turned, out)
still = rows.copy()
still.flags.writeable = False
assert filled(out, still, *given[2:]) == 203
print("numba" in sys.modules)
"""


def test_what_is_read_back_is_what_was_compiled(tmp_path):
    """By the arithmetic of the text, done here with NumPy; in the second process without the compiler."""
    script = tmp_path / "probe.py"
    script.write_text(PROBE)
    environment = {
        **os.environ,
        "NUMBA_CACHE_DIR": str(tmp_path / "cache"),
        "PYTHONPATH": str(ROOT),
        "JOUNCE_PLAIN": "",
    }
    first, second = (
        subprocess.run(
            [sys.executable, str(script)], env=environment, capture_output=True, text=True, check=True
        ).stdout.splitlines()
        for _ in range(2)
    )
    rows = np.arange(6.0).reshape(2, 3)
    want = [(2.0 * at * 0.5 + 0.25 * np.arange(3) + 5.0).tobytes().hex() for at in (rows, rows + 1.0)]
    assert first == [f"{want[0]} True", want[1], "True", "True"]
    assert second == [f"{want[0]} False", want[1], "False", "True"]


def test_another_text_of_the_same_name_is_another_function(tmp_path):
    """The cache of the kernel is named by the kernel's text; a function elsewhere has its own file's."""

    def of(text):
        script = tmp_path / "other.py"
        script.write_text(text)
        names = {"__name__": "other"}
        exec(compile(text, str(script), "exec"), names)
        native.hash_of.cache_clear()
        return native.place(tmp_path, names["f"], "f")

    assert of("def f(x):\n    return x\n") == of("def f(x):\n    return x\n")
    paths = {
        of("def f(x):\n    return x\n"),
        of("def f(x):\n    return -x\n"),
        of("K = 1\n\ndef f(x):\n    return x\n"),
        of("def around(k):\n    def f(x):\n        return k * x\n    return f\nf = around(1.0)\n"),
        of("def around(k):\n    def f(x):\n        return k * x\n    return f\nf = around(2.0)\n"),
    }
    assert len(paths) == 5
    native.hash_of.cache_clear()


@pytest.mark.parametrize(
    "given",
    [
        (True,),
        (np.zeros((2, 2)).T,),
        (np.zeros(4)[::2],),
        (np.zeros(2, ">f8"),),
        ("text",),
        (np.broadcast_to(1.0, 3),),
        (None,),
    ],
)
def test_what_is_left_to_the_compiler(given):
    assert native.words(given) is None


def test_a_number_with_its_doubt_is_a_float():
    estimated = Estimated(0.4, Doubt("0.4 +- 0.1", "normal", 0.3, 0.5, "length", "m"))
    assert native.words((estimated, 2)) == native.words((0.4, 2))
    assert native.in_c((estimated,))[0].value == 0.4
