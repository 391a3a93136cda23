"""Where set-ups stand: the same digits alone and among others, by the equations at rest, and in words where they do not."""

import numpy as np
import pytest

from sim.describe.replaced import with_values
from sim.errors import JounceError
from sim.integrate.channels import taut_m
from sim.kernel import layout as at
from sim.lower import rest as resting
from sim.lower import still
from sim.lower.lanes import in_lanes
from sim.lower.lowering import lower
from sim.lower.rest import TOLERANCE, Equations, newton, rest, rests
from sim.machine.jit import BLOCK
from tests.synthetic import seated_truck

PARTS = {
    "as fitted": {},
    "no dampers": {"front.dampers": "none", "rear.dampers": "none"},
    "on its stops": {"front.springs.coil.free_length": "410 mm"},
    "straps taut": {"front.springs.coil.free_length": "720 mm"},
    "leaf friction": {"rear.springs.pack.friction": "900 N"},
    "bushes": {"front.dampers.main.bush_rate": "5 MN/m"},
    "blocks": {"rear.springs.pack.block": "50 mm"},
}


@pytest.fixture(autouse=True)
def in_the_block(monkeypatch):
    """Of whatever machine: where the block does not come with the package, it is compiled for these tests."""
    lanes(monkeypatch, True)


def lanes(monkeypatch, has):
    for module in (still, resting):
        monkeypatch.setattr(module, "has_lanes", lambda: has)


def moved(truck, count, seed=5):
    """Set-ups that stand otherwise each: other masses, springs and tyres."""
    rng = np.random.default_rng(seed)
    return [
        lower(with_values(truck, {
            "body.mass": float(1640.0 + 200.0 * a), "body.centre_of_gravity.behind_front_axle": float(1.24 + 0.1 * b),
            "front.springs.coil.rate": float(36e3 * (1.0 + 0.3 * c)), "rear.tyre.rate": float(260e3 * (1.0 + 0.3 * d)),
        }))
        for a, b, c, d in rng.uniform(-1.0, 1.0, (count, 4))
    ]  # fmt: skip


def trucks():
    named = {name: seated_truck(None).changed(parts) for name, parts in PARTS.items()}
    return {**named, "seat over the axle": seated_truck("70 mm"), "seat under it": seated_truck("-80 mm")}


@pytest.mark.parametrize("name", list(trucks()))
def test_a_setup_stands_in_one_place_whatever_is_beside_it(name):
    """To the last digit: alone, in a full block, in part of one, and wherever in it."""
    setups = moved(trucks()[name], BLOCK)
    assert in_lanes(setups) == [list(range(BLOCK))]
    alone = [rest(setup) for setup in setups]
    assert len({one.state.tobytes() for one in alone}) == BLOCK  # each of them stands elsewhere
    rng = np.random.default_rng(8)
    for count in (BLOCK, BLOCK, BLOCK, 5, 2, 1):
        order = rng.permutation(BLOCK)[:count].tolist()
        for place, one in zip(order, rests([setups[place] for place in order]), strict=True):
            assert np.array_equal(one.state, alone[place].state)
            assert one.tyre_load == alone[place].tyre_load


@pytest.mark.parametrize("name", list(trucks()))
def test_nothing_accelerates_it_there(name):
    """By the equations of the single run with all laws in, which the block's text without them is to agree with."""
    for setup, one in zip(setups := moved(trucks()[name], 3), rests(setups), strict=True):
        equations = Equations(setup)
        rates = equations.derivative(one.state)
        assert np.abs(rates[[at.COORDINATES + row for row in still.free_coordinates(setup)]]).max() < 10.0 * TOLERANCE
        assert one.tyre_load == pytest.approx(equations.tyre_loads(), rel=1e-12)
        # Tyres carry what there is, and no more.
        mass = setup.body.mass + sum(axle.mass for axle in setup.axles.values())
        assert sum(one.tyre_load) == pytest.approx(mass * setup.body.gravity, rel=1e-9)


def test_those_trucks_are_what_they_are_called():
    setups = {name: moved(truck, BLOCK) for name, truck in trucks().items()}

    def jounces(name):
        return np.array([one.state[at.JOUNCE] for one in rests(setups[name])])

    pressed = jounces("on its stops") - setups["on its stops"][0].axles["front"].stop_gap
    assert (pressed > 0.0).any()  # and some beside them that are not
    assert (pressed < 0.0).any()
    assert all(jounces("straps taut") < taut_m(setups["straps taut"][0], "front"))
    assert {line.role for line in setups["no dampers"][0].lines} == {"coil", "strap"}
    assert any(line.line.bush_give > 0.0 for line in setups["bushes"][0].lines)


@pytest.mark.parametrize("name", list(trucks()))
def test_without_lanes_it_stands_there_too(name, monkeypatch):
    """On a machine for which no block comes: one by one, to a thousandth of what a screen shows."""
    setups = moved(trucks()[name], 4)
    side_by_side = rests(setups)
    lanes(monkeypatch, False)
    for one, other in zip(side_by_side, rests(setups), strict=True):
        assert np.abs(one.state - other.state).max() < 1e-11
        assert one.tyre_load == pytest.approx(other.tyre_load, rel=1e-9)


def test_on_boards_it_stands_as_much_higher():
    setup = moved(seated_truck(None), 1)[0]
    level, raised = rest(setup), rest(setup, (0.08, 0.08))
    assert raised.state[at.Z] - level.state[at.Z] == pytest.approx(0.08, abs=1e-10)
    assert raised.tyre_load == pytest.approx(level.tyre_load, rel=1e-9)


def test_one_that_stands_nowhere_is_refused_as_it_is_alone():
    good = moved(seated_truck(None), BLOCK)
    # On coils so short some hang on their stops with no place to stand in, some with their front wheels in the air.
    short = moved(seated_truck(None).changed({"front.springs.coil.free_length": "380 mm"}), 3)
    words = set()
    for wrong in short:
        assert len(in_lanes([*good[:7], wrong])) == 1
        with pytest.raises(JounceError) as alone:
            rest(wrong)
        found = rests([*good[:3], wrong, *good[4:]])
        assert type(found[3]) is type(alone.value)
        assert str(found[3]) == str(alone.value)
        words.add(str(alone.value))
        for number in (0, 1, 2, *range(4, BLOCK)):
            assert np.array_equal(found[number].state, rest(good[number]).state)
    assert len(words) == 2


def test_newton_solves_each_system_by_itself():
    """Square roots, one of a number that has none, and one whose Jacobian is singular from the start."""
    squares = np.array([2.0, -1.0, 9.0, 4.0])

    def function(places):
        return places**2 - squares[: len(places), None, None]

    values, settled = newton(function, np.array([[1.0], [1.0], [2.0], [0.0]]))
    assert settled.tolist() == [True, False, True, False]
    assert values[[0, 2], 0] == pytest.approx([2.0**0.5, 3.0], rel=1e-9)
    for number, start in ((0, 1.0), (2, 2.0)):
        own, _ = newton(lambda places, n=number: places**2 - squares[n], np.array([[start]]))
        assert own[0, 0] == values[number, 0]
