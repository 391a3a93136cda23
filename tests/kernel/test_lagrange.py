"""The equations of motion against Lagrange's, derived symbolically from positions and energies alone.

Nothing here knows of Schur complements, body axes, Jacobians or an accelerating frame: kinetic energy from the positions of
the centres of mass, potential energy of gravity, springs and tyres, Rayleigh's dissipation function for the dampers.
(H. Goldstein, Classical Mechanics, ch. 1.) Guides are random polynomials; states are far from rest.
"""

from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest
import sympy as sp

from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.lower.packed import NOTHING
from sim.lower.road.samples import BEFORE, lifted

TERMS = 4  # of each guide's polynomial
AXLE_SYMBOLS = [
    "mass", "inertia", "gx", "gz", "up0", "k_wind", "c_wind", "t_wind", "k_leaf", "f_leaf", "friction",
    "radius", "k_tyre", "rise", "c_tyre",
    "bx", "bz", "ax", "az", "side", "k_line", "free", "c_line", "count",
    "gas", "k_gas", "gas_at", "collapsed", "extended", "k_end", "loss_end",
    "gap", "k_stop", "k3_stop", "loss_stop", "sx", "sz",
]  # fmt: skip


def axle_energy(name, z, pitch, zeta, phi, road, road_rate, q, v, gravity):
    s = SimpleNamespace(**{key: sp.Symbol(f"{key}_{name}") for key in AXLE_SYMBOLS})
    place = sp.symbols(f"p0:{TERMS}_{name}")
    turn = sp.symbols(f"t0:{TERMS}_{name}")
    x = q[0]
    cx = sum(c * zeta**i for i, c in enumerate(place))
    rho = sum(c * zeta**i for i, c in enumerate(turn)) + phi
    cz = s.up0 + zeta

    def world(forward, up):
        return sp.Matrix(
            [x + forward * sp.cos(pitch) + up * sp.sin(pitch), z - forward * sp.sin(pitch) + up * sp.cos(pitch)]
        )

    def on_housing(forward, up):
        return cx + forward * sp.cos(rho) + up * sp.sin(rho), cz + up * sp.cos(rho) - forward * sp.sin(rho)

    centre, cg = world(cx, cz), world(*on_housing(s.gx, s.gz))
    speed = cg.jacobian(q) * v
    spin = sp.Matrix([rho + pitch]).jacobian(q) * v
    kinetic = s.mass * speed.dot(speed) / 2 + s.inertia * spin[0] ** 2 / 2
    give = road + s.radius - centre[1]
    give_rate = road_rate - (sp.Matrix([centre[1]]).jacobian(q) * v)[0]
    ex, ez = on_housing(s.ax, s.az)
    length = sp.sqrt((ex - s.bx) ** 2 + (ez - s.bz) ** 2 + s.side**2)
    closing = -(sp.Matrix([length]).jacobian(q) * v)[0]
    # Stop and hard ends are set to be touched throughout, both ends of the line at once.
    squeeze = zeta + s.sz * sp.cos(rho) - s.sx * sp.sin(rho) - s.sz - s.gap
    squeeze_speed = (sp.Matrix([squeeze]).jacobian(q) * v)[0]
    pushed, pulled = s.collapsed - length, length - s.extended
    potential = (
        s.mass * gravity * cg[1]
        + s.k_tyre * give**2 / 2 + s.rise * give**3 / 3
        + s.f_leaf * zeta + s.k_leaf * zeta**2 / 2 + s.friction * zeta
        + s.k_wind * phi**2 / 2 - s.t_wind * phi
        + s.count * s.k_line * (s.free - length) ** 2 / 2
        + s.count * (s.k_end * (pushed**2 + pulled**2) / 2 - s.gas * length + s.k_gas * (s.gas_at - length) ** 2 / 2)
        + s.k_stop * squeeze**2 / 2 + s.k3_stop * squeeze**4 / 4
    )  # fmt: skip
    wind_rate = v[list(q).index(phi)]
    # Contact losses are elastic force x loss x speed: differentiated by speeds alone, so places stay as they are.
    dissipation = (
        s.c_tyre * give_rate**2 / 2 + s.c_wind * wind_rate**2 / 2 + s.count * s.c_line * closing**2 / 2
        + s.count * s.loss_end * s.k_end * (pushed + pulled) * closing**2 / 2
        + s.loss_stop * (s.k_stop * squeeze + s.k3_stop * squeeze**3) * squeeze_speed**2 / 2
    )  # fmt: skip
    symbols = [getattr(s, key) for key in AXLE_SYMBOLS]
    return kinetic, potential, dissipation, [*symbols, *place, *turn]


@cache
def lagrange():
    q = sp.Matrix(sp.symbols("x z pitch zeta_f phi_f zeta_r phi_r"))
    v = sp.Matrix(sp.symbols("vx vz vpitch vzeta_f vphi_f vzeta_r vphi_r"))
    x, z, pitch, zeta_f, phi_f, zeta_r, phi_r = q
    mass, inertia, gravity, push, push_x, push_z = body = sp.symbols("m j g push push_x push_z")
    roads = sp.symbols("h_f h_r r_f r_r")
    kinetic = mass * (v[0] ** 2 + v[1] ** 2) / 2 + inertia * v[2] ** 2 / 2
    pushed_up = z - push_x * sp.sin(pitch) + push_z * sp.cos(pitch)
    potential = mass * gravity * z - push * pushed_up
    dissipation = sp.Integer(0)
    inputs = []
    for name, zeta, phi, road, rate in (
        ("f", zeta_f, phi_f, roads[0], roads[2]),
        ("r", zeta_r, phi_r, roads[1], roads[3]),
    ):
        t, u, d, own = axle_energy(name, z, pitch, zeta, phi, road, rate, q, v, gravity)
        kinetic, potential, dissipation = kinetic + t, potential + u, dissipation + d
        inputs += own
    momentum = sp.Matrix([kinetic]).jacobian(v).T
    inertia_matrix = momentum.jacobian(v)
    right = (
        sp.Matrix([kinetic - potential]).jacobian(q).T
        - momentum.jacobian(q) * v
        - sp.Matrix([dissipation]).jacobian(v).T
    )
    return sp.lambdify([[*q], [*v], [*body], [*roads], inputs], [inertia_matrix, right], cse=True)


def random_truck(rng):
    """Random parameters for both sides of the comparison, near a truck's but nothing left at zero."""

    def around(value, share=0.4):
        return value * (1 + share * rng.uniform(-1, 1))

    axles = []
    for forward in (1.3, -1.5):
        axles.append(
            {
                "mass": around(220), "inertia": around(9), "gx": rng.uniform(-0.1, 0.1), "gz": rng.uniform(-0.1, 0.1),
                "up0": around(-0.55), "k_wind": around(3e4), "c_wind": around(90), "t_wind": rng.uniform(-500, 500),
                "k_leaf": around(5e4), "f_leaf": around(8e3), "friction": rng.uniform(-300, 300),
                "radius": around(0.4, 0.05), "k_tyre": around(5e5), "rise": around(1e6), "c_tyre": around(400),
                "bx": forward + rng.uniform(-0.2, 0.2), "bz": around(0.1), "ax": rng.uniform(-0.2, 0.2),
                "az": rng.uniform(-0.1, 0.1), "side": rng.uniform(0, 0.2), "k_line": around(4e4), "free": around(0.9),
                "c_line": around(2500), "count": float(rng.integers(1, 5)),
                "gas": around(200), "k_gas": around(900), "gas_at": around(0.6), "collapsed": 2.5, "extended": 0.01,
                "k_end": around(3e3), "loss_end": around(0.02), "gap": -0.5, "k_stop": around(4e3),
                "k3_stop": around(9e3), "loss_stop": around(0.05), "sx": rng.uniform(-0.2, 0.2),
                "sz": rng.uniform(-0.1, 0.1),
                "place": [forward, *rng.uniform(-0.3, 0.3, TERMS - 1)], "turn": [0.0, *rng.uniform(-1.0, 1.0, TERMS - 1)],
            }
        )  # fmt: skip
    body = [around(1600), around(2600), 9.80665, rng.uniform(-3e3, 3e3), rng.uniform(-2, 2), rng.uniform(-0.5, 0.5)]
    return body, axles


def kernel_accelerations(body, axles, q, v, roads, free):
    """The program's own accelerations for the same numbers."""
    m = np.zeros(at.MEMORY_ROWS)
    m[at.BODY : at.AXLE] = at.Body(body[0], body[1], body[2], free, body[4], body[5], 0.0)
    lines = np.zeros((2, at.LINE_ROWS))
    knots = np.zeros((2, at.GROUP_ROWS))
    for index, a in enumerate(axles):
        start = at.AXLE + index * at.AXLE_ROWS
        m[start : start + at.AXLE_ROWS] = at.Axle(
            a["mass"], a["inertia"], a["gx"], a["gz"], a["up0"], 0.0, 1.0, a["k_wind"], a["c_wind"], a["t_wind"], 1.0,
            a["k_leaf"], a["f_leaf"], 0.0, 1.0,
            a["gap"], a["k_stop"], a["k3_stop"], a["loss_stop"], a["sx"], a["sz"],
            a["radius"], a["k_tyre"], a["rise"], a["c_tyre"], *[0.0] * 6,
        )  # fmt: skip
        m[at.TURNS + index] = 1.0
        for table, key in ((at.PATH, "place"), (at.TURN, "turn")):
            begin = table + index * (at.DEGREE + 1)
            m[begin : begin + TERMS] = a[key]
        lines[index] = NOTHING._replace(
            number=a["count"], body_forward=a["bx"], body_up=a["bz"], axle_forward=a["ax"], axle_up=a["az"],
            sideways=a["side"], rate=a["k_line"], length_free=a["free"], force_least=-1e9,
            force_constant=a["gas"], force_rate=a["k_gas"], force_length=a["gas_at"], length_collapsed=a["collapsed"],
            length_extended=a["extended"], end_rate=a["k_end"], end_loss=a["loss_end"],
        )  # fmt: skip
        knots[index, [at.COMPRESSION_SLOPE, at.EXTENSION_SLOPE]] = a["c_line"]
        m[at.FRICTION + index] = a["friction"]
    m[: len(q)] = q
    m[at.COORDINATES : at.COORDINATES + len(v)] = v
    derivative(
        m,
        lines,
        1,
        knots,
        np.array([0, 1, 2]),
        lifted(np.array(roads[:2]), np.array(roads[2:])),
        float(BEFORE),
        0.0,
        1.0,
        body[3],
        np.zeros(0),
        np.zeros(2),
    )
    loads = m[[at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD]]
    return m[at.RATE + at.COORDINATES : at.RATE + at.COORDINATES + len(q)].copy(), loads


@pytest.mark.parametrize("free", [1.0, 0.0])
def test_accelerations_are_lagranges(free):
    """Two hundred random trucks and states, rolling free and at a held speed, to rounding."""
    rng = np.random.default_rng(20261125)
    equations = lagrange()
    tried = 0
    for _ in range(200):
        body, axles = random_truck(rng)
        q = np.array([0.0, 0.9, *rng.uniform(-0.3, 0.3, 1), *rng.uniform(-0.12, 0.12, 4)])
        v = rng.uniform(-3, 3, 7)
        roads = [*rng.uniform(0.3, 0.6, 2), *rng.uniform(-0.5, 0.5, 2)]
        ours, loads = kernel_accelerations(body, axles, q, v, roads, free)
        # The tyre must be pressed past where its damping fades in, for Rayleigh's function to hold.
        if loads.min() < 12e3:
            continue
        tried += 1
        numbers = [n for a in axles for n in (*(a[k] for k in AXLE_SYMBOLS), *a["place"], *a["turn"])]
        matrix, right = equations(q, v, body, roads, numbers)
        matrix, right = np.array(matrix, float), np.array(right, float).ravel()
        if free:
            wanted = np.linalg.solve(matrix, right)
        else:  # a force holds x at constant speed: its row drops out, its acceleration is zero
            wanted = np.concatenate([[0.0], np.linalg.solve(matrix[1:, 1:], right[1:])])
        assert ours == pytest.approx(wanted, rel=1e-9, abs=1e-8 * np.max(np.abs(wanted)))
    assert tried > 100
