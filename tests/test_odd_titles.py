"""What titles say of trucks that no shipped scenario has: too stiff, without dampers, stops or straps, damaged, loaded, under brakes, on the flat."""

import numpy as np
import pytest
import yaml

from tests import test_scenario_titles as titles
from tests.synthetic import SCENARIOS
from tests.told import told_by

pytestmark = pytest.mark.long


def both(share):
    """Return changes that scale both ends' valving by a share of what the hut truck has."""
    law = {
        "front": (1.9, 0.12, 0.9, 5.2, 1.9),
        "rear": (1.7, 0.13, 0.8, 4.2, 1.7),
    }
    return {
        f"{end}.dampers.main.valving": {
            "kind": "knee",
            "compression": {"low": f"{low * share} kN s/m", "knee": f"{knee} m/s", "high": f"{high * share} kN s/m"},
            "rebound": {"low": f"{out * share} kN s/m", "knee": f"{knee} m/s", "high": f"{far * share} kN s/m"},
        }
        for end, (low, knee, high, out, far) in law.items()
    }


NONE = {"front.dampers": "none", "rear.dampers": "none"}
CARGO = {
    "loads.cargo": {"mass": "300 kg", "place": {"behind_front_axle": "2.75 m", "above_ground": "1.2 m"}},
}
WINCH = {"loads.winch": {"mass": "80 kg", "place": {"behind_front_axle": "-0.6 m", "above_ground": "0.8 m"}}}
ROCK = {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}
HUMP = [
    {"kind": "flat", "length": "5 m"},
    {"kind": "circular_hump", "height": "150 mm", "chord": "3 m"},
    {"kind": "flat", "length": "20 m"},
]
TRACK = {"kind": "course", "course": "track.yaml", "speed": "22 km/h"}
LAUNCH = {"kind": "launch", "surface": ROCK, "throttle_rise": "0.25 s", "watch": "3 s"}
BRAKE = {"kind": "brake", "speed": "50 km/h", "surface": ROCK, "watch": "4 s"}

ODD = {
    "on the flat": ([{"kind": "flat", "length": "30 m"}], TRACK, {"as it is": {}, "soft": both(0.5), "bare": NONE}),
    "too stiff and too soft": (HUMP, TRACK, {"as it is": {}, "very stiff": both(8.0), "very soft": both(0.2), "alike": both(1.01)}),
    "without stops or straps": (
        HUMP,
        TRACK,
        {
            "as it is": {},
            "no stops": {"front.stop": "none", "rear.stop": "none"},
            "no straps": {"front.strap": "none", "rear.strap": "none"},
            "close stops": {"front.stop.gap": "30 mm", "rear.stop.gap": "30 mm"},
        },
    ),
    "every load": (
        HUMP,
        TRACK,
        {
            f"{name} {load}": both(share) | aboard if name == "firm" else aboard
            for name, share in (("stock", 1.0), ("firm", 1.6))
            for load, aboard in (("empty", {}), ("cargo", CARGO), ("winch", WINCH), ("both", CARGO | WINCH))
        },
    ),
    "all flagged but one": (HUMP, TRACK | {"speed": "35 km/h"}, {"as it is": {}, "bare": NONE, "no rear": {"rear.dampers": "none"}}),
    "alike": (HUMP, TRACK, {"a": {}, "b": {}, "c": {}}),
    "one load of two": (HUMP, TRACK, {"as it is": {}, "loaded": CARGO, "alike": both(1.005)}),
    "stop": (HUMP[:1], BRAKE, {"as it is": {}, "soft": both(0.4), "firm": both(2.0), "no front": {"front.dampers": "none"}}),
    "all wheels pull": (
        HUMP[:1],
        LAUNCH,
        {
            "as it is": {},
            "soft front bushes": {"front.guide.wind_up.rate": "20 kN m/rad"},
            "stiff front bushes": {"front.guide.wind_up.rate": "90 kN m/rad"},
        },
    ),
}  # fmt: skip
"""By name: a course, a run, and set-ups as changes of the hut truck."""


SLOW = ("every load", "stop")


@pytest.fixture(
    scope="module", params=[pytest.param(name, marks=pytest.mark.hours) if name in SLOW else name for name in ODD]
)
def told(request, tmp_path_factory):
    items, run, setups = ODD[request.param]
    folder = tmp_path_factory.mktemp("odd")
    vehicle = yaml.safe_load((SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))
    if request.param == "all wheels pull":
        vehicle["driveline"]["drive"] = "both"
    course = {"kind": "course", "name": "Track", "items": items}
    asked = {
        "kind": "scenario", "name": request.param, "question": "Which?", "vehicle": "truck.yaml", "run": run,
        "setups": setups, "show": ["verdict", "axle_travel", "tyre_load", "bounce_and_pitch"],
    }  # fmt: skip
    for name, data in (("truck", vehicle), ("track", course), ("asked", asked)):
        (folder / f"{name}.yaml").write_text(
            yaml.safe_dump(data, sort_keys=False, allow_unicode=True), encoding="utf-8"
        )
    return told_by(folder / "asked.yaml", folder / "out")


test_the_verdict = titles.test_the_verdict
test_what_is_said_first = titles.test_what_is_said_first
test_other_titles = titles.test_other_titles


def test_wind_up_is_said_the_way_that_brakes_and_shafts_turn_the_axle(told):
    """The title's angle against the time histories: the most that the housing turns with the moment on it."""
    said = titles.re.match(
        r"(?:.*\. )?With “([^”]*)” the (front|rear) axle (?:hops: it )?winds up by ([\d.]+) deg", told.titles["verdict"]
    )
    if said is None:
        assert told.kind not in ("launch", "brake"), told.titles["verdict"]
        pytest.skip("nothing is wound up")
    rows = told.history(titles.named(told, said[1]))
    moment = rows[f"torque on axle {said[2]} pinion up [N m]"]
    turned = np.sign(moment[np.abs(moment).argmax()]) * rows[f"wind-up {said[2]} pinion up [deg]"]
    assert titles.reads(turned.max(), said[3]), told.titles["verdict"]
