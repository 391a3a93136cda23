"""The simulator's rates when it drives or brakes against Kane's equations, derived apart from it (driven_car.py).

T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications (1985). Every kind of guide at both ends, random trucks far
from rest on random hills and slopes, sliding and rolling either way. Contacts are made throughout and tyres pressed past
where their damping fades in, since driven_car.py clips nothing.
"""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest

from sim.kernel import layout as at
from sim.lower.packed import NOTHING, Packed
from sim.lower.road.samples import BEFORE, cubics
from sim.lower.wheeled import ROAD_STEP_M, DrivenEquations, Table
from tests.derivation import driven_car
from tests.derivation.half_car import guide_values
from tests.derivation.test_against_kernel import KINDS, below_seat, random_guide, random_seat

ROAD_FROM_M, ROAD_TO_M = -4.0, 4.0
PLACES = np.arange(ROAD_FROM_M, ROAD_TO_M, ROAD_STEP_M)
MODES = (("rear",), ("front", "rear"), ("front",), ())


def random_lines(forward, rng):
    """A spring that pulls and pushes, damper sets with gas and a taut strap, in the order of driven_car's lines."""

    def ends():
        return (
            forward + rng.uniform(-0.3, 0.3), rng.uniform(0.0, 0.3), rng.uniform(-0.2, 0.2), rng.uniform(-0.1, 0.1),
            rng.uniform(0.0, 0.2),
        )  # fmt: skip

    spring = (rng.uniform(1e4, 6e4), rng.uniform(0.7, 1.1), 0, 0, 0, 0, 0, 0, 0)
    damper = (0, 0, rng.uniform(300, 4e3), rng.uniform(0, 400), rng.uniform(0, 1e3), rng.uniform(0.4, 0.7), 0, 0, 0)
    strap = (0, 0, 0, 0, 0, 0, 0.05, rng.uniform(2e3, 1e4), rng.uniform(0, 0.03))
    kinds = [(at.SPRING, spring), *[(at.DAMPER, damper)] * int(rng.integers(1, 3)), (at.STRAP, strap)]
    return [(kind, (int(rng.integers(1, 4)), *ends(), *law)) for kind, law in kinds]


def random_axle(kind, forward, driven, rng):
    p0, h0 = forward + rng.uniform(-0.1, 0.1), rng.uniform(-0.7, -0.4)
    lines = random_lines(p0, rng)
    return {
        "mass": rng.uniform(120, 300), "inertia": rng.uniform(4, 14), "cg": tuple(rng.uniform(-0.1, 0.1, 2)),
        "guide": random_guide(kind, p0, h0, rng), "p0": p0, "h0": h0, "seat": random_seat(p0),
        "wind_up": bool(rng.random() < 0.7), "shifts": bool(rng.random() < 0.7),
        "kw": rng.uniform(1e4, 5e4), "cw": rng.uniform(0, 150), "T0": rng.uniform(-500, 500),
        "ks": rng.uniform(5e5, 3e6), "cs": rng.uniform(0, 5e3), "F0": rng.uniform(4e3, 1e4),
        "halves": (rng.uniform(0.4, 0.7), rng.uniform(1e4, 4e4), rng.uniform(0.4, 0.7), rng.uniform(1e4, 4e4)),
        "friction": rng.uniform(100, 600), "travel": rng.uniform(2e-3, 2e-2),
        "stop": (*rng.uniform(-0.2, 0.2, 2), -0.5, rng.uniform(2e3, 6e3), rng.uniform(4e3, 1e4), rng.uniform(0, 0.08)),
        "kinds": [kind for kind, _ in lines], "lines": [line for _, line in lines],
        "spin_inertia": rng.uniform(2, 8), "ratio": rng.uniform(3, 5), "brake_carrier": (rng.uniform(5e4, 5e5), rng.uniform(50, 500)),
        "shaft_k": driven * rng.uniform(4e3, 2e4), "shaft_c": driven * rng.uniform(0, 100),
        "tyre": {
            "radius": rng.uniform(0.36, 0.42), "k": rng.uniform(3e5, 7e5), "k2": rng.uniform(0, 1e6),
            "c": rng.uniform(100, 600), "share": rng.uniform(0.2, 0.5),
            "m0": rng.uniform(0.3, 1.0), "m1": rng.uniform(-5e-6, 5e-6),
            "b0": rng.uniform(8, 25), "b1": rng.uniform(-1e-4, 1e-4), "b2": rng.uniform(0, 2e-5),
            "e0": rng.uniform(-2, 0.8), "e1": rng.uniform(-1e-5, 1e-5), "e2": rng.uniform(-1e-10, 1e-10),
            "C": rng.uniform(1.1, 1.8), "L0": rng.uniform(0.05, 0.5), "tau": rng.uniform(0, 6e-3),
            "late": bool(rng.random() < 0.5),
        },
    }  # fmt: skip


def random_case(kinds, driven, rng):
    """A truck, a state of it and a road which both wheels press some centimetres into."""
    idle = rng.uniform(70, 110)
    starts = np.sort(rng.uniform(idle, 500, 4))
    truck = {
        "gravity_down": rng.uniform(9.0, 9.8), "gravity_back": rng.uniform(-4, 4), "x_free": bool(rng.random() < 0.8),
        "body": {"mass": rng.uniform(900, 2400), "inertia": rng.uniform(1200, 4200)},
        "engine": {"inertia": rng.uniform(0.1, 0.6), "gears": rng.uniform(1, 9), "idle": idle,
                   "at_idle": rng.uniform(100, 300), "ramps": list(zip(starts, rng.uniform(-1, 1, 4), strict=True)),
                   "drag": (rng.uniform(0, 60), rng.uniform(0, 0.2))},
        "centre": {"free": bool(rng.random() < 0.6), "shaft_inertia": rng.uniform(0.01, 0.1), "limit": rng.choice([0.0, rng.uniform(50, 400)]),
                   "carrier": (rng.uniform(1e3, 1e4), rng.uniform(1, 20))},
        "front": random_axle(kinds[0], 1.3, "front" in driven, rng),
        "rear": random_axle(kinds[1], -1.5, "rear" in driven, rng),
    }  # fmt: skip
    speed = rng.choice([0.0, rng.uniform(-3, 3), rng.uniform(3, 25)])
    state = {
        "x": rng.uniform(-1, 1), "z": rng.uniform(0.7, 1.0), "pitch": rng.uniform(-0.25, 0.25), "x_speed": speed,
        "z_speed": rng.uniform(-2, 2), "pitch_speed": rng.uniform(-2, 2), "engine": rng.uniform(0, 500),
        "throttle": rng.uniform(0, 1), "centre": 0.0, "centre_give": 0.0,
    }  # fmt: skip
    if truck["centre"]["free"]:
        state |= {"centre": rng.uniform(-20, 20), "centre_give": rng.uniform(-0.03, 0.03)}
    for name in ("front", "rear"):
        axle = truck[name]
        state[name] = {
            "q": rng.uniform(-0.12, 0.12), "q_speed": rng.uniform(-3, 3),
            "w": rng.uniform(-0.1, 0.1) * axle["wind_up"], "w_speed": rng.uniform(-5, 5) * axle["wind_up"],
            "s": rng.uniform(-0.02, 0.02) * axle["shifts"], "s_speed": rng.uniform(-1, 1) * axle["shifts"],
            "W": speed / axle["tyre"]["radius"] * rng.uniform(0.0, 2.0) + rng.uniform(-3, 3),
            "slip": rng.choice([rng.uniform(-0.05, 0.05), rng.uniform(-1, 1)]), "brake": rng.uniform(-0.01, 0.01),
            "pedal": rng.choice([0.0, rng.uniform(0, 6e3)]), "twist": rng.uniform(-0.1, 0.1),
            "friction": rng.uniform(-600, 600), "felt": rng.uniform(2e3, 5e4),
        }  # fmt: skip
    truck["road"] = {}
    for name in ("front", "rear"):
        _, (x, z, *_) = driven_car.motion_of(truck, state, name)
        under = z - truck[name]["tyre"]["radius"] + rng.uniform(0.03, 0.07)
        along = np.polynomial.Polynomial([-x, 1.0])
        road = np.polynomial.Polynomial([under, rng.uniform(-0.4, 0.4), *rng.uniform(-0.5, 0.5, 2)])(along)
        truck["road"][name] = road.coef
    return truck, state


def as_lowered(truck, state):
    """The truck in the kernel's arrays and its road as it reads them."""
    memory = np.zeros(at.MEMORY_ROWS)
    memory[at.BODY : at.AXLE] = at.Body(
        *truck["body"].values(), truck["gravity_down"], float(truck["x_free"]), 0.0, 0.0, 0.0
    )
    engine = truck["engine"]
    memory[at.DRIVE : at.ENGINE_STARTS] = at.Drive(
        engine["inertia"], engine["gears"], engine["idle"], engine["at_idle"], truck["gravity_back"], *engine["drag"],
        float(truck["centre"]["free"]), 2.0 * truck["centre"]["shaft_inertia"], truck["centre"]["limit"], *truck["centre"]["carrier"],
    )  # fmt: skip
    for index, ramp in enumerate(engine["ramps"]):
        memory[[at.ENGINE_STARTS + index, at.ENGINE_SLOPES + index]] = ramp
    lines, knots, kinds, profile = [], [], [], []
    for index, name in enumerate(("front", "rear")):
        axle, q = truck[name], state[name]["q"]
        y, y1, y2, t, t1, t2 = guide_values(axle["guide"], axle["p0"], axle["h0"], q)
        tyre, stop, (a, ka, b, kb) = axle["tyre"], axle["stop"], axle["halves"]
        start = at.AXLE + index * at.AXLE_ROWS
        memory[start : start + at.AXLE_ROWS] = at.Axle(
            axle["mass"], axle["inertia"], *below_seat(axle, *axle["cg"]), axle["h0"], q, 1.0,
            axle["kw"] + a**2 * ka + b**2 * kb, axle["cw"], axle["T0"], float(axle["wind_up"]),
            ka + kb, axle["F0"], axle["friction"], 1.0 / axle["travel"],
            *stop[2:], *below_seat(axle, *stop[:2]), *(tyre[key] for key in ("radius", "k", "k2", "c")), b * kb - a * ka,
            0.0, float(axle["shifts"]), axle["ks"], axle["cs"], 0.0, axle["seat"],
        )  # fmt: skip
        start = at.WHEELS + index * at.WHEEL_ROWS
        memory[start : start + at.WHEEL_ROWS] = at.Wheels(
            axle["spin_inertia"], *(tyre[k] for k in ("share", "m0", "m1", "b0", "b1", "b2", "e0", "e1", "e2", "C")),
            tyre["L0"], tyre["tau"], *axle["brake_carrier"], axle["ratio"], axle["shaft_k"], axle["shaft_c"],
            float(tyre["late"]),
        )  # fmt: skip
        memory[at.TURNS + index] = float(any((t, t1, t2)))
        for table, row in ((at.PATH, (y, y1, y2 / 2)), (at.TURN, (t, t1, t2 / 2))):
            begin = table + index * (at.DEGREE + 1)
            memory[begin : begin + 3] = row
        for kind, (number, *places, rate, free, damping, gas, gas_rate, gas_at, taut, hard, loss) in zip(
            axle["kinds"], axle["lines"], strict=True
        ):
            lines.append(
                NOTHING._replace(
                    **dict(zip(at.Line._fields[:6], (number, *places[:2], *below_seat(axle, *places[2:4]), places[4]), strict=True)),
                    rate=rate, length_free=free, force_least=-1e9, force_constant=gas, force_rate=gas_rate,
                    force_length=gas_at, length_extended=taut if kind == at.STRAP else 1e3, end_rate=hard, end_loss=loss,
                )
            )  # fmt: skip
            ramps = np.zeros(at.GROUP_ROWS)
            ramps[[at.COMPRESSION_SLOPE, at.EXTENSION_SLOPE]] = damping
            knots.append(ramps)
            kinds.append(kind)
        road = np.polynomial.Polynomial(truck["road"][name])
        profile.append(cubics(road(PLACES), road.deriv()(PLACES) * ROAD_STEP_M))
    packed = Packed(
        1, memory, np.array(lines, float), len(truck["front"]["lines"]), np.array(kinds), np.array(knots),
        np.arange(len(lines) + 1),
    )  # fmt: skip
    return DrivenEquations(
        SimpleNamespace(pack=lambda: packed), Table(np.stack(profile), np.full(2, BEFORE - ROAD_FROM_M / ROAD_STEP_M))
    )


AXLE_ROWS = {
    "q": (at.JOUNCE, 2), "w": (at.WIND_UP, 2), "q_speed": (at.COORDINATES + at.JOUNCE, 2),
    "w_speed": (at.COORDINATES + at.WIND_UP, 2), "s": (at.SHIFT, 1), "s_speed": (at.COORDINATES + at.SHIFT, 1),
    "W": (at.SPIN, 1), "slip": (at.SLIP, 1), "brake": (at.BRAKE, 1), "twist": (at.TWIST, 1), "friction": (at.FRICTION, 1),
    "felt": (at.FELT, 1),
}  # fmt: skip
"""Row of the front axle's, and how many on the rear axle's is."""
BODY_ROWS = {
    "x": at.X, "z": at.Z, "pitch": at.PITCH, "x_speed": at.COORDINATES + at.X, "z_speed": at.COORDINATES + at.Z,
    "pitch_speed": at.COORDINATES + at.PITCH, "engine": at.ENGINE, "centre": at.CENTRE,
    "centre_give": at.CENTRE_GIVE,
}  # fmt: skip


def as_row(name):
    """The kernel's row whose rate driven_car calls by this name."""
    axle, _, part = name.rpartition("_")
    if not axle:
        return BODY_ROWS[name] if name in ("engine", "centre") else BODY_ROWS[f"{name}_speed"]
    first, step = AXLE_ROWS["W" if part == "W" else f"{part}_speed"]
    return first + step * (axle == "rear")


def as_state(state):
    row = np.zeros(at.ROWS)
    for name, place in BODY_ROWS.items():
        row[place] = state[name]
    for index, name in enumerate(("front", "rear")):
        for key, (first, step) in AXLE_ROWS.items():
            row[first + index * step] = state[name][key]
    return row


def both(truck, state):
    """Rates by the simulator (ROWS,) and by Kane's equations; the simulator's own words on what the wheels felt."""
    equations = as_lowered(truck, state)
    pedals = (state["front"]["pedal"], state["rear"]["pedal"])
    ours = equations.derivative(as_state(state), state["throttle"], pedals)
    return ours, driven_car.rates(truck, state), equations


FELT = {
    "load": at.LOAD, "tread": at.TRACTION, "radius": at.ROLLING_RADIUS, "shaft": at.AXLE_TORQUE,
    "brake_moment": at.BRAKE_TORQUE,
}  # fmt: skip


@pytest.mark.parametrize("kinds", list(product(KINDS, KINDS)), ids="-".join)
def test_rates_are_kanes(kinds):
    """Sixteen random trucks and states a pair of guides (256 in all), four of each drive: every state's rate, to rounding."""
    rng = np.random.default_rng(100 + sum(KINDS.index(k) * 7**i for i, k in enumerate(kinds)))
    stuck = 0
    for driven in MODES * 4:
        truck, state = random_case(kinds, driven, rng)
        ours, theirs, equations = both(truck, state)
        wanted = theirs["accelerations"]
        assert ours[at.CENTRE_GIVE] == pytest.approx(theirs["centre_give"], rel=1e-9)
        spins = [n for n in wanted if n.endswith("W") or n in ("engine", "centre")]
        for names in (spins, [n for n in wanted if n not in spins]):
            found = np.array([ours[as_row(n)] for n in names])
            expected = np.array([wanted[n] for n in names])
            assert found == pytest.approx(expected, rel=1e-9, abs=1e-9 * np.max(np.abs(expected)))
        for index, name in enumerate(("front", "rear")):
            axle = theirs[name]
            assert axle["load"] > 3e3
            stuck += axle["sticks"]
            for key in ("slip", "brake", "twist", "friction", "felt"):
                first, step = AXLE_ROWS[key]
                # the load that is felt follows a difference of two loads, so that its rounding is that of the loads
                least = 1e-9 * axle["load"] if key == "felt" else 0.0
                assert ours[first + step * index] == pytest.approx(axle[key], rel=1e-9, abs=least), (name, key)
            for key, row in FELT.items():
                assert equations.scratch(index, row) == pytest.approx(axle[key], rel=1e-9, abs=1e-9), (name, key)
            for key in ("q", "w", "s"):
                first, step = AXLE_ROWS[key]
                assert ours[first + step * index] == state[name][f"{key}_speed"], (name, key)
    assert 0 < stuck < 32  # brakes that hold and brakes that slip
