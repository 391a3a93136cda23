"""Nonsense in a truck as a shop measures it is refused at its line, in words."""

import copy
from contextlib import suppress

import pytest

from sim.describe.estimates.fields import fields
from sim.describe.files.vehicles import load_vehicle, vehicle_from
from sim.errors import InputError, JounceError
from sim.linear.standing import stand
from tests.describe.estimates.tickets import TRUCKS

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

NONSENSE = [
    ("weighed: {front: 2450, rear: 1780 lb}", "weighed.front", "needs a unit"),
    ("weighed: {frnt: 2450 lb}", "weighed.frnt", "did you mean 'front'"),
    ("weighed: yes", "weighed", "a list of 'key: value' lines"),
    ("weighed: [1, 2]", "weighed", "a list of 'key: value' lines"),
    ("weighed: {}\nwheelbase: 92", "wheelbase", "needs a unit"),
    ("weighed: {}\nwheelbase: -92 in", "wheelbase", "must be more than"),
    ("weighed: {front: -3 kg}", "weighed.front", "must be more than"),
    # Less than two dampers weigh, of which half moves with the axle.
    ("weighed: {front_unsprung: 3 kg}", "weighed.front_unsprung", "must be more than 20 kg"),
    ("weighed: {rear_unsprung: 60 kg}\nrear: {dampers: {main: {count: 900}}}", "rear.dampers.main.count", "must not be more than 16"),
    ("weighed: {}\nfront: {tyre: {size: big}}", "front.tyre.size", "is not understood: write it as on the wall"),
    ("weighed: {}\nfront: {tyre: {size: 33}}", "front.tyre.size", "in quotes"),
    ("weighed: {}\nfront: 3", "front", "a list of 'key: value' lines"),
    ("weighed: {}\nfront: {tyre: 33 in}", "front.tyre", "a list of 'key: value' lines"),
    ("weighed: {}\nfront: {springs: {coil: 190 lb/in}}", "front.springs.coil", "a list of 'key: value' lines"),
    ("weighed: {}\nfront: {dampers: {main: {valving: hard}}}", "front.dampers.main.valving", "worn, soft, stock, firm, heavy"),
    ("weighed: {}\nfront: {dampers: {main: {length_extended: 10 in, length_collapsed: 20 in}}}", "front.dampers.main", "are they crossed"),
    ("weighed: {lifted: {axle: rear, by: 24 in}}", "weighed.lifted.other", "is missing"),
    ("weighed: {lifted: {axle: middle, by: 24 in, other: 2 lb}}", "weighed.lifted.axle", "not one of the choices"),
    ("weighed: {}\nfront: {tyre: {jacked: {load: [2 lb], height: [1 in, 2 in]}}}", "front.tyre.jacked.load.1", "is missing"),
    ("weighed: {}\nfront: {axle_height: 4 kg}", "front.axle_height", "is not a length"),
    ("weighed: {}\nloads: 4", "loads", "a list of 'key: value' lines"),
    ("weighed: {aboard: {driver: 80 kg}}", "weighed.aboard", "a list is wanted"),
    ("weighed: {aboard: [3]}", "weighed.aboard.0", "text is wanted"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "where", "said"), NONSENSE)
def test_nonsense_is_refused_at_its_line(tmp_path, text, where, said):
    path = tmp_path / "truck.yaml"
    path.write_text(f"kind: vehicle\nname: T\n{text}\n", encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_vehicle(path)
    problems = {problem.where: problem for problem in caught.value.problems}
    assert where in problems, caught.value
    problem = problems[where]
    assert said in str(problem)
    assert problem.line is not None
    lines = path.read_text(encoding="utf-8").splitlines()
    assert where.split(".")[0] in lines[problem.line - 1]


def test_a_refused_estimate_says_what_it_comes_from(tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(
        "kind: vehicle\nname: T\nweighed: {}\nwheelbase: 19 m\noverall_length: 1.1 m\nfront: {tyre: {outside_diameter: 0.31 m}}\n",
        encoding="utf-8",
    )
    vehicle = load_vehicle(path)  # odd, and possible
    assert any("hardly meant" in notice for notice in vehicle.notices)


RUBBISH = [None, "", "none", "0", 0, -1, "-5 mm", "0 kg", "1e-9 m", "1e9 kg", "nan", [], {}, [1], {"a": 1}, True, "about", "5 to 3 in", "1 N/mm +- 2 %", "x" * 300, 10**400, "9e999 kg", float("inf")]  # fmt: skip


def leaves_of(data, place=()):
    yield place
    for key, value in data.items() if isinstance(data, dict) else ():
        yield from leaves_of(value, (*place, key))


@pytest.mark.parametrize("turns", [(0, 1), pytest.param((2, 3), marks=pytest.mark.hours)])
@pytest.mark.parametrize("truck", TRUCKS.values(), ids=TRUCKS)
def test_whatever_stands_at_a_key_it_is_filled_or_refused(truck, turns):
    """No traceback: each key, and each that could be there, with something that it cannot be."""
    places = [place for place in leaves_of(truck) if place]
    places += [tuple(field.path.split(".")) for field in fields()]
    for number, place in enumerate(dict.fromkeys(places)):
        for turn in turns:
            data = copy.deepcopy(truck)
            inside = data
            for step in place[:-1]:
                if not isinstance(inside.get(step), dict):
                    inside[step] = {}
                inside = inside[step]
            inside[place[-1]] = RUBBISH[(4 * number + turn) % len(RUBBISH)]
            with suppress(JounceError):  # whose words are for people; any other error is ours
                vehicle = vehicle_from(data)
                assert vehicle.notices is not None
                stand(vehicle)
