"""Places along a truck in what `jounce stand` says: taped ones in inches, as its other lengths; far ones in feet."""

from dataclasses import replace

import pytest

from sim.describe.files.vehicles import load_vehicle
from sim.describe.shown import shown_in
from sim.linear.standing import stand
from sim.show.report.standing import Column, of_body_rows
from tests.synthetic import SCENARIOS

ABOUT = "  it swings about a point behind the front axle"


@pytest.fixture(scope="module")
def standing():
    return stand(load_vehicle(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"))


def with_centres(standing, place_m):
    modes = tuple(replace(mode, centre_behind_front_axle_m=place_m) for mode in standing.modes)
    return Column(replace(standing, modes=modes), {})


@pytest.mark.parametrize(
    ("places_m", "unit", "texts"),
    [
        ([0.63, 3.74], "in", ["24.8", "147.2"]),  # 25.4 mm an inch
        ([0.63, 12.0], "ft", ["2.1", "39.4"]),  # 304.8 mm a foot: one line, one unit
        ([-3.0, 60.0], "in", ["-118.1", "-"]),  # a point farther off than 50 m is none
    ],
)
def test_the_point_of_swinging(standing, places_m, unit, texts):
    with shown_in("inch"):
        rows = of_body_rows([with_centres(standing, place) for place in places_m])
    own = [row for row in rows if row[0].startswith(ABOUT)]
    assert len(own) == 2  # bounce and pitch
    assert all(row == (f"{ABOUT} [{unit}]", texts) for row in own)
