"""What the page's table says of a set-up that is tried: the report's ride, how the frame moves, straps and dampers at their ends."""

import pytest

import sim
from sim.describe.files.reader import Document
from sim.describe.files.runs import run_at
from sim.describe.shown import show
from sim.integrate.preview import Preview
from sim.integrate.simulation import simulate
from sim.linear.standing import stand
from sim.measure.comfort import measures as of_comfort
from sim.measure.noticed import NOTICED
from sim.measure.ride import rms
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.tried_measures import labelled
from tests.show.pages.local.test_server import folder, truck  # noqa: F401
from tests.show.pages.local.test_trials import asked, document, trials, unpacked  # noqa: F401

RIDE = "Ride at the driver: upward weighted RMS (ISO 2631-1)"
FRAME = "Front frame up from as measured (down: minus)"
STRAP, TAUT = "Front: droop left to the strap (minus: stretched)", "Front: straps drawn taut, times"
ENDS = "Front: dampers at their ends, times"


def run_over(truck, course, speed):  # noqa: F811
    own = Courses(truck.parent).course(course)
    return run_at(Document({"run": {"kind": "course", "course": own, "speed": speed}}, truck), truck.parent, [])


def values(run):
    return {label: float(measure.of(run)) for label, measure in labelled(run)}


def texts(said, number):
    return {row["label"]: row["text"] for row in said["setups"][number]["measures"]}


@pytest.mark.parametrize(
    ("course", "speed"), [("Washboard, hump and dip", "26 km/h"), ("One speed hump", "20 km/h")]
)  # fmt: skip
def test_the_ride_is_the_one_that_a_report_has_of_the_same(truck, course, speed):  # noqa: F811
    """A fifth of the least that is noticed: the preview has one sample in four of the report's run."""
    vehicle, run = sim.load(truck), run_over(truck, course, speed)
    reported = simulate(vehicle, run)
    (weighted,) = (one for one in of_comfort(reported) if one.name == "ride_wk_driver")
    near = NOTICED["acceleration"].share / 5
    assert values(Preview(run).of(vehicle))[RIDE] == pytest.approx(weighted.of(reported), rel=near)
    # The plain RMS is another number.
    assert rms(reported, "driver") != pytest.approx(weighted.of(reported), rel=0.2)


def test_a_stiffer_coil_lifts_the_frame_by_what_it_gives_less(truck):  # noqa: F811
    """Under one half of the front sprung weight each coil gives W/k: by hand, the truck's gas dampers and its turn about the rear left out."""
    vehicle, run = sim.load(truck), run_over(truck, "One speed hump", "20 km/h")
    stiff = vehicle.changed({"front.springs.coil.rate": "50 N/mm"})
    weight = 9.80665 * stand(vehicle).axles["front"].sprung_mass / 2
    lifted = weight / 36e3 - weight / 50e3
    said = {name: values(one) for name, one in Preview(run).all({"is": vehicle, "stiff": stiff}).items()}
    assert said["is"][FRAME] == pytest.approx(0.0, abs=1e-4)
    assert said["stiff"][FRAME] == pytest.approx(lifted, rel=0.05)


def test_straps_and_dampers_at_their_ends_stand_in_the_table(trials, document, truck):  # noqa: F811
    """As a command counts them, and only of an axle that has them."""
    rows = [
        {"name": "as it is", "changes": {}},
        {"name": "none", "changes": {"front.strap": "", "front.dampers.main.length_extended": ""}},
    ]
    what = asked(course="One long dip", speed="70 km/h", setups=rows)
    said, _ = unpacked(trials.run(document, "a", what))
    seen = Preview(run_over(truck, "One long dip", "70 km/h")).of(sim.load(truck))
    # Taut: its force acts, and the axle lies below where it is just taut.
    below = seen.front.jounce_at_strap_m - float(seen.front.jounce_m.min())
    assert seen.front.strap_force_n.max() > 0.0
    assert texts(said, 0)[STRAP] == show(-below, "length")
    assert float(texts(said, 0)[TAUT]) >= 1
    longest = float(seen.front.dampers["main"].length_m.max())
    assert (float(texts(said, 0)[ENDS]) >= 1) == (longest > seen.front.dampers["main"].length_extended_m)
    assert said["setups"][1]["problems"] == []
    assert not {STRAP, TAUT} & set(texts(said, 1))
