"""Blocks: every measure as a run by itself has it; neighbours do not matter; cheap preparation is the full one."""

from dataclasses import replace

import numpy as np
import pytest

import sim
from sim.describe.direct import Direct
from sim.describe.parts.guides.series import lowered
from sim.describe.replaced import only_laws_differ, value_at, with_values
from sim.describe.runs import Push
from sim.describe.valved import Valved
from sim.errors import InputError
from sim.integrate.flags import Seen, Span, are_unflagged, flags
from sim.integrate.many.blocks import BODY, Block
from sim.integrate.many.ready import Ready
from sim.integrate.simulation import simulate
from sim.integrate.single import prepared
from sim.kernel import layout as at
from sim.lower import packed
from sim.lower.guard import Revalving, _bounds, _jacobian, fastest_rate
from sim.lower.lowering import lower
from sim.lower.rest import Equations, rest
from sim.machine.jit import BLOCK
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


def test_what_follows_a_sample_is_that_part_of_the_whole(scenario):
    """The body over an axle after its release alone, and all of it from the start."""
    ready = [prepared(vehicle, PUSH) for vehicle in valved(scenario.setups["two front"], 3)]
    given = Track(PUSH, [])._road(ready[0])
    late, every = (Block(ready, PUSH, given) for _ in range(2))
    first = 1200
    for lane in (2, 0):
        for (_, one), (_, other) in zip(late.lane(lane).axles, every.lane(lane).axles, strict=True):
            after, whole = one.body_rise_m(first), other.body_rise_m()
            assert np.array_equal(after, whole[first:])
            assert np.array_equal(whole, other.wheel_height_m - (other.jounce_m - other.jounce_rest_m))
            assert np.ptp(after) > 1e-3


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


LOWS = (f"{LAW}.compression.low", f"{LAW}.rebound.low")


def put_in(vehicle, count, seed=4):
    """Set-ups of other laws that are not put together, and the same ones by reading."""
    way, rng = Direct(vehicle, LOWS), np.random.default_rng(seed)
    numbers = rng.uniform(500.0, 6000.0, (count + 1, 2)).tolist()
    way.valved(numbers[0])
    return [way.valved(own) for own in numbers[1:]], [
        with_values(vehicle, dict(zip(LOWS, own, strict=True))) for own in numbers[1:]
    ]


@pytest.mark.parametrize("precision", ["single", "double"])
def test_set_ups_of_other_laws_run_as_if_they_were_put_together(scenario, precision):
    some, read = put_in(scenario.setups["two front"], 19)
    assert all(isinstance(one, Valved) for one in some)
    names = ["ride_wk_driver", "front_tyre_load_variation", "front_main_compression_speed", "front_left_to_stop"]
    found, wanted = (Track(PUSH, names, precision=precision).outcomes(own) for own in (some, read))
    assert [one.values for one in found] == [one.values for one in wanted]
    assert [one.flags for one in found] == [one.flags for one in wanted]


def test_set_ups_of_other_laws_are_lowered_as_they_are_by_themselves(scenario):
    some, read = put_in(scenario.setups["two front"], 5)
    for one, other in zip(Ready(PUSH).prepared(some), (prepared(vehicle, PUSH) for vehicle in read), strict=True):
        assert one.setup.lines == other.setup.lines
        assert one.setup.body == other.setup.body
        assert one.setup.axles == other.setup.axles
        assert one.setup.vehicle == other.setup.vehicle
        assert one.setup.law("front", "main") == other.setup.law("front", "main")
        assert one.setup.law("rear", "main") == other.setup.law("rear", "main")
        assert np.array_equal(one.start, other.start)
        assert one.cut == other.cut


def test_a_set_up_that_cannot_stand_says_so_of_each_of_its_laws(scenario):
    short = with_values(scenario.setups["two front"], {"front.dampers.main.length_extended": 0.4})
    some, read = put_in(short, 3)
    for one, other in zip(Ready(PUSH).prepared(some), Ready(PUSH).prepared(read), strict=True):
        assert str(one) == str(other)
        assert "outside its stroke" in str(one)


@pytest.mark.parametrize("kind", [np.float64, np.float32])
def test_a_layout_that_is_known_is_the_same_as_one_made_afresh(scenario, kind):
    """With other laws, with more ramps than the one it was made of, and with other lines."""
    vehicle = scenario.setups["two front"]
    ready = Ready(PUSH).prepared(put_in(vehicle, 16)[0])
    setups = [one.setup for one in ready]
    line = next(n for n, one in enumerate(setups[0].lines) if one.role == "damper")

    def with_line(setup, **new):
        lines = list(setup.lines)
        lines[line] = lines[line]._replace(**new)
        return replace(lower(vehicle), axles=setup.axles, body=setup.body, paths=setup.paths, lines=tuple(lines))

    more = (*setups[3].lines[line].knots, *(at.Knot(1.0, 0.1 * n, 5.0 * n) for n in range(1, 2 * at.GROUP)))
    for own in (
        setups, setups[:3], [*setups[:5], with_line(setups[5], knots=more)],
        [with_line(setups[0], line=setups[0].lines[line].line._replace(number=3.0))] * 2,
    ):  # fmt: skip
        for _ in range(2):
            found_ = packed.pack(own, BLOCK, kind)
            packed._known.clear()
            fresh = packed.pack(own, BLOCK, kind)
            for name in ("memory", "lines", "kinds", "knots", "first_group"):
                assert np.array_equal(getattr(found_, name), getattr(fresh, name)), name
            assert found_.lines_front == fresh.lines_front


def test_a_layout_that_was_run_is_as_it_was(scenario):
    """A run writes into its own arrays, not into what is kept."""
    some, _ = put_in(scenario.setups["two front"], 16)
    names = ["ride_wk_driver", "front_tyre_load_variation"]
    first, second = (Track(PUSH, names, precision="single").outcomes(some) for _ in range(2))
    assert [one.values for one in first] == [one.values for one in second]


def test_bound_along_one_law_is_that_of_each(scenario):
    vehicle = scenario.setups["two front"]
    setup = lower(vehicle)
    rates = Revalving(setup, rest(setup))
    number = next(n for n, line in enumerate(setup.lines) if line.role == "damper")
    changes = np.array([-500.0, 0.0, 10.0, 3e3, 8e4])
    every = rates._plain + changes[:, None, None, None] * rates._per_slope[number]
    assert rates._bounds_along(number, changes) == pytest.approx(_bounds(every), rel=1e-9)


@pytest.mark.parametrize(
    "change",
    [{"front.dampers.main.length_collapsed": "500 mm"}, {"front.stop.gap": "20 mm", "front.stop.squeeze": "2 mm"}],
)
def test_of_lanes_seen_together_each_has_its_own_flags(scenario, change):
    """Some of them hit something, others do not; and each is told as it is by itself."""
    vehicle = scenario.setups["two front"].changed(change)
    way = Direct(vehicle, LOWS)
    lows = [[low, low] for low in (300.0, 1e3, 3e3, 6e3, 1.2e4, 2.4e4)]
    way.valved(lows[0])
    some = [way.valved(own) for own in lows]
    names = ["acceleration_rms_driver"]
    together = Track(scenario.run, names, precision="single").outcomes(some)
    alone = [Track(scenario.run, names, precision="single").outcomes([one])[0] for one in some]
    assert [one.flags for one in together] == [one.flags for one in alone]
    assert any(one.flags for one in together)


def test_gas_that_one_law_runs_out_of_is_seen_among_others():
    """Lanes whose laws alone differ: only one of them has too little gas for how fast it goes."""
    setups = sim.load("scenarios/one_drilled_washer.yaml").setups
    setup = lower(next(one for one in setups.values() if any(d.valving.inside for d in one.front.dampers.values())))
    line = next(one for one in setup.lines if one.role == "damper" and setup.law(one.axle, one.name).inside)
    law = setup.law(line.axle, line.name)

    def at_pressure(share):
        tube = law.tube.model_copy(update={"gas_pressure": share * law.tube.gas_pressure})
        path = f"{line.axle}.dampers.{line.name}.valving"
        return replace(setup, vehicle=with_values(setup.vehicle, {path: law.model_copy(update={"tube": tube})}))

    still = Span(np.zeros(2))
    lengths = tuple(
        Span(np.full(2, 0.5 * (one.line.length_collapsed + one.line.length_extended))) for one in setup.lines
    )
    fast = tuple(Span(np.array([2.0, -2.0])) if one is line else still for one in setup.lines)
    seen = Seen(setup, lengths, fast, still, (still, still), (0.0, 0.0))
    enough = law.least_gas_pressure(np.array([2.0, -2.0])).max() / law.tube.gas_pressure
    full, empty = at_pressure(1.1 * enough), at_pressure(0.9 * enough)
    assert flags(replace(seen, setup=full)) == ()
    assert [one.kind for one in flags(replace(seen, setup=empty))] == ["cavitation"]
    assert are_unflagged([full, full], replace(seen, setup=full))
    assert not are_unflagged([full, empty, full], replace(seen, setup=full))
