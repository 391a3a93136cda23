"""Blocks: every measure as a run by itself has it; neighbours do not matter; cheap preparation is the full one."""

import numpy as np
import pytest

import sim
from sim.describe.parts.guides.series import lowered
from sim.describe.replaced import only_laws_differ, value_at, with_values
from sim.describe.runs import Push
from sim.errors import InputError
from sim.integrate.many.blocks import BODY, Block
from sim.integrate.simulation import simulate
from sim.integrate.single import prepared
from sim.kernel import layout as at
from sim.lower.guard import Revalving, _jacobian, fastest_rate
from sim.lower.lowering import lower
from sim.lower.rest import Equations, rest
from sim.measure import measures_for
from sim.study.many import Track

PUSH = Push.model_validate({
    "kind": "push", "over": "front", "outside_wheels": "450 mm", "force": "2.4 kN", "press": "0.5 s", "hold": "0.3 s",
    "watch": "2 s",
})  # fmt: skip
LAW = "front.dampers.main.valving"


@pytest.fixture(scope="module")
def scenario():
    return sim.load("scenarios/two_or_four.yaml")


def valved(vehicle, count, seed=1):
    """Set-ups that differ in laws alone."""
    rng = np.random.default_rng(seed)
    return [
        with_values(vehicle, {f"{LAW}.compression.low": float(a), f"{LAW}.rebound.low": float(b), "rear.dampers.main.valving.compression.low": float(c)})
        for a, b, c in rng.uniform(500.0, 6000.0, (count, 3))
    ]  # fmt: skip


@pytest.mark.parametrize("over", ["course", "push"])
def test_every_measure_as_a_run_by_itself_has_it(scenario, over):
    run = scenario.run if over == "course" else PUSH
    vehicles = valved(scenario.setups["two front"], 5)
    alone = simulate(vehicles[2], run).coarse  # at half the step, as fine blocks are
    wanted = {m.name: m for m in measures_for(alone) if m.many != "no"}
    assert len(wanted) > 50
    outcome = Track(run, list(wanted), fine=True).outcomes(vehicles)[2]
    for name, measure in wanted.items():
        assert outcome.values[name] == pytest.approx(measure.of(alone), rel=1e-8, abs=1e-9, nan_ok=True), name


def test_measures_that_need_a_run_of_their_own_get_one(scenario):
    vehicles = valved(scenario.setups["two front"], 5)
    alone = simulate(vehicles[0], PUSH).coarse
    name = "energy_dampers"
    outcome = Track(PUSH, [name], fine=True).outcomes(vehicles)[0]
    assert outcome.values[name] == next(m for m in measures_for(alone) if m.name == name).of(alone)


def test_neighbours_do_not_matter(scenario):
    """A lane's numbers are the same to the last bit with whatever others it runs."""
    vehicles = valved(scenario.setups["two front"], 12)
    names = ["acceleration_rms_driver", "front_tyre_load_variation", "front_body_settling_time"]
    many = Track(PUSH, names).outcomes(vehicles)
    few = Track(PUSH, names).outcomes(vehicles[7:])
    assert [o.values for o in many[7:]] == [o.values for o in few]


@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_what_a_block_was_not_told_to_watch_it_gives_all_the_same(scenario, kind):
    """As when one set-up's measure asks for what another's did not."""
    ready = [prepared(vehicle, PUSH) for vehicle in valved(scenario.setups["two front"], 3)]
    given = Track(PUSH, [], precision="double" if kind is np.float64 else "single")._road(ready[0])
    whole = Block(ready, PUSH, given, kind=kind)
    few = Block(ready, PUSH, given, whole.room, kind, (at.JOUNCE, at.PITCH))
    jounce = few.row(at.JOUNCE)
    shown = jounce.copy()
    assert np.array_equal(few.felt("driver"), Block(ready, PUSH, given, kind=kind).felt("driver"))
    assert np.array_equal(jounce, shown)
    assert few.asked == {at.JOUNCE, *BODY}
    fresh = Block(ready, PUSH, given, kind=kind)
    assert all(np.array_equal(few.row(row), fresh.row(row)) for row in at.WATCHED)


def test_what_was_asked_of_a_block_is_what_the_next_one_writes(scenario):
    vehicles = valved(scenario.setups["two front"], 5)
    names = ["front_tyre_load_variation", "ride_wk_driver", "front_body_settling_time"]
    track = Track(PUSH, names)
    first, second = (track.outcomes(vehicles) for _ in range(2))
    assert [one.values for one in first] == [one.values for one in second]
    (watched,) = track._watched.values()
    assert at.SCRATCH + at.LOAD in watched
    assert len(watched) < len(at.WATCHED)


def test_set_ups_of_all_kinds_together(scenario):
    """No dampers, two, four, stiffer springs, and one whose damper is too short: each gets its own."""
    short = with_values(scenario.setups["two front"], {"front.dampers.main.length_extended": 0.4})
    vehicles = [
        *scenario.setups.values(),
        short,
        scenario.setups["two front"].changed({"front.springs.coil.rate": "50 N/mm"}),
    ]
    names = ["acceleration_rms_driver", "front_main_compression_speed"]
    found_ = Track(PUSH, names, fine=True).outcomes(vehicles)
    assert "outside its stroke" in found_[4].why
    assert "front_main_compression_speed" not in found_[0].values
    for vehicle, outcome in zip(vehicles, found_, strict=True):
        if not outcome.why:
            run = simulate(vehicle, PUSH).coarse
            value = next(m for m in measures_for(run) if m.name == names[0]).of(run)
            assert outcome.values[names[0]] == pytest.approx(value, rel=1e-9)


def test_a_damper_at_its_end_is_told(scenario):
    """By as much as the run by itself says."""
    short = scenario.setups["two front"].changed({"front.dampers.main.length_collapsed": "500 mm"})
    alone = simulate(short, scenario.run).coarse
    trace = alone.front.dampers["main"]
    over = trace.length_collapsed_m - trace.length_m.min()
    assert over > 0.0
    for count in (1, 5):
        left = Track(scenario.run, ["acceleration_rms_driver"], fine=True).outcomes([short] * count)[0].flags
        assert [one.kind for one in left] == ["damper_end"]
        assert left[0].past_m == pytest.approx(over, rel=1e-6)


def test_rate_of_other_valvings_is_that_of_the_full_jacobian(scenario):
    vehicle = scenario.setups["two front"]
    setup = lower(vehicle)
    standing = rest(setup)
    rates = Revalving(setup, standing)
    for other in [
        *valved(vehicle, 6),
        with_values(vehicle, {f"{LAW}.compression.low": 4e4, f"{LAW}.rebound.low": 9e4}),
    ]:
        made = lower(other)
        full = fastest_rate(made, rest(made))
        own = rates.fastest_rates([made], 1.0)[0]  # so long a step that the norm never will do
        assert own == pytest.approx(full, rel=1e-6)
        assert rates.fastest_rates([made], 1e-3)[0] >= own * (1 - 1e-9)  # no norm of a matrix is less


def test_values_put_in_are_checked_like_written_ones(scenario):
    vehicle = scenario.setups["two front"]
    same = with_values(vehicle, {f"{LAW}.compression.low": 2345.0})
    assert same.front == vehicle.changed({f"{LAW}.compression.low": "2345 N s/m"}).front
    assert only_laws_differ(vehicle, same)
    assert value_at(same, f"{LAW}.compression.low") == 2345.0
    assert not only_laws_differ(vehicle, with_values(vehicle, {"front.dampers.main.count": 3}))
    assert not only_laws_differ(vehicle, with_values(vehicle, {"rear.tyre.rate": 3e5}))
    for path, value, said in (
        (f"{LAW}.compression.low", -1.0, "must not be less than 0"), ("front.dampers.man.count", 2, "there is no 'man'"),
        ("front.dampers.main.length_extended", 0.3, "are they crossed"), ("front.tire.rate", 1.0, "there is no 'tire'"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=said):
            with_values(vehicle, {path: value})


def test_values_that_only_go_together_are_put_in_together(scenario):
    """Both lengths past the old ones: one by one, the first would be crossed with the other's old value."""
    vehicle = scenario.setups["two front"]
    old = vehicle.front.dampers["main"]
    values = {
        "front.dampers.main.length_collapsed": old.length_extended + 0.1,
        "front.dampers.main.length_extended": old.length_extended + 0.3, "front.tyre.rate": 3.1e5,
    }  # fmt: skip
    made = with_values(vehicle, values)
    assert {path: value_at(made, path) for path in values} == values
    assert made.rear is vehicle.rear
    assert made.front.springs["coil"] is vehicle.front.springs["coil"]
    law = with_values(
        vehicle, {LAW: old.valving.scaled(2.0), f"{LAW}.compression.low": 700.0}
    )  # a part, then something in it
    assert value_at(law, f"{LAW}.compression.low") == 700.0
    assert value_at(law, f"{LAW}.rebound.low") == 2.0 * old.valving.rebound.low


def test_what_is_kept_of_a_truck_is_that_of_the_truck(scenario):
    """Guides' paths and the measured stance are kept by where they stand: a load elsewhere gets its own."""
    import sim.lower.lowering as module

    vehicle = scenario.setups["two front"]
    others = [with_values(vehicle, {"body.mass": vehicle.body.mass + more}) for more in (0.0, 50.0, 100.0)]
    others += [with_values(vehicle, {"wheelbase": vehicle.wheelbase + 0.1}), vehicle]
    kept = [lower(other) for other in others]
    for other, known in zip(others, kept, strict=True):
        module._known_paths.clear()
        module._known_trucks.clear()
        fresh = lower(other)
        assert fresh.paths == known.paths
        assert fresh.axles == known.axles
        assert [line.line for line in fresh.lines] == [line.line for line in known.lines]
    assert kept[0].paths != kept[2].paths


def test_jacobian_is_that_of_the_equations_one_by_one(scenario):
    setup = lower(scenario.setups["two front"])
    standing = rest(setup)
    equations = Equations(setup)
    found_ = _jacobian(equations, standing.state)
    for column in (1, 3, 8, 11, at.FRICTION):
        size = 1e-3 if column == at.FRICTION else 1e-6
        step = np.zeros(standing.state.size)
        step[column] = size
        ahead, behind = (equations.derivative(standing.state + sign * step)[: at.MOTION].copy() for sign in (1.0, -1.0))
        assert found_[:, column] == pytest.approx((ahead - behind) / (2.0 * size), rel=1e-12, abs=1e-12)


def test_fit_of_a_guide_is_the_least_squares_one():
    """Against numpy's own Chebyshev fit at the same nodes."""
    nodes = np.cos(np.pi * (np.arange(48) + 0.5) / 48)

    def exact(jounce):
        return np.sqrt(1.0 - jounce**2), np.sin(jounce)

    path = lowered(exact, -0.3, 0.2)
    for powers, values in zip((path.place, path.turn), exact(-0.05 + 0.25 * nodes), strict=True):
        fit = np.polynomial.Chebyshev.fit(nodes, values, 12, domain=[-1, 1])
        t = np.linspace(-1, 1, 33)
        assert np.polynomial.polynomial.polyval(t, powers) == pytest.approx(fit(t), abs=1e-12)
