"""What is packed for a page comes out as it went in: every array as it was, a road to within half of its grid."""

import subprocess
from pathlib import Path

import numpy as np
import pytest

from sim.lower.road.samples import cubics
from sim.show.pages.simulator.store import Store
from tests.show.pages.in_node import NODE, needs_node

pytestmark = needs_node

UNPACKED = """
const fs = require("fs");
const [folder, script] = process.argv.slice(1);
(async () => {
  const { Kernel } = await import(`data:text/javascript;base64,${fs.readFileSync(script).toString("base64")}`);
  const { arrays } = await Kernel.unpacked(fs.readFileSync(`${folder}/packed.txt`, "latin1"));
  arrays.forEach(({ numbers }, number) => fs.writeFileSync(`${folder}/${number}.bin`, new Uint8Array(numbers.buffer, numbers.byteOffset, numbers.byteLength)));
})();
"""


def unpacked(folder, store):
    (folder / "packed.txt").write_text(store.written({}), encoding="utf-8")
    script = Path(__file__).parents[3] / "sim" / "show" / "pages" / "static" / "kernel.js"
    subprocess.run([NODE, "-e", UNPACKED, str(folder), str(script)], check=True, timeout=900.0)


def test_arrays_come_out_as_they_went_in(tmp_path):
    store = Store()
    generator = np.random.default_rng(3)
    arrays = [
        generator.normal(size=(3, 5)), np.array([np.inf, -0.0, 5e-324]), np.array([-(2**62), 7], np.int64), np.zeros((0,)),
    ]  # fmt: skip
    assert [store.add(array) for array in (*arrays, arrays[0].copy())] == [0, 1, 2, 3, 0]
    unpacked(tmp_path, store)
    for number, array in enumerate(arrays):
        assert (tmp_path / f"{number}.bin").read_bytes() == array.tobytes()


@pytest.mark.parametrize(("high", "begins"), [(0.1, 0.0), (3.0, 1.5), (900.0, -20.0)])
def test_a_road_comes_out_to_within_half_of_its_grid(tmp_path, high, begins):
    """Bumps, a hill and one of half a mile; the grid is as fine as a number of double precision has room for."""
    places = np.linspace(0.0, 40.0, 4001)
    heights = np.stack([begins + high * np.sin(places) ** 2, begins + high * np.cos(0.7 * places)])
    road = cubics(heights, np.gradient(heights, axis=-1))
    store = Store()
    store.add_road(road)
    unpacked(tmp_path, store)
    out = np.fromfile(tmp_path / "0.bin").reshape(road.shape)
    # The cubics are made of up to ten parts of heights and rises, each with half of the grid.
    allowed = 10 * max(2.0**-48, 2.0**-48 * high)
    assert np.abs(out - road).max() < allowed
