"""The simulator's accelerations against Kane's equations, derived apart from it (half_car.py knows nothing of `sim`).

T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications (1985). Every kind of guide at both ends, random trucks far
from rest. Contacts are set to be made throughout, since half_car.py clips nothing.
"""

from itertools import product

import numpy as np
import pytest

from sim.describe.parts.guides import Arm, Leaf, Links, Straight
from sim.describe.parts.places import SprungPlace
from sim.kernel import layout as at
from sim.kernel.integrate import derivative
from sim.lower.packed import NOTHING
from sim.lower.road.samples import BEFORE, lifted
from tests.derivation import half_car

KINDS = ("straight", "arm", "leaf", "links")
PLACE = SprungPlace(0.0, 0.0)  # behind the front axle = behind the centre of gravity, here
NAMES = ("x", "z", "pitch", "front_q", "front_w", "rear_q", "rear_w")
HELD = {"rate": "rigid"}


def described(guide, p0, h0):
    """The same guide as a person writes it."""

    def body(forward, up):
        return {"behind_front_axle": f"{-forward!r} m", "above_ground": f"{up!r} m"}

    def axle(ahead, above):
        return {"ahead": f"{ahead!r} m", "above": f"{above!r} m"}

    if guide["kind"] == "straight":
        return Straight.model_validate({"kind": "straight", "wind_up": HELD})
    if guide["kind"] == "arm":
        return Arm.model_validate({"kind": "arm", "pivot": body(guide["fp"], guide["up"]), "wind_up": HELD})
    if guide["kind"] == "leaf":
        reach, above = guide["fc"] - p0, guide["uc"] - h0
        return Leaf.model_validate(
            {
                "kind": "leaf", "fixed_eye": "ahead" if reach > 0 else "behind", "fixed_half_length": "0.6 m",
                "path_radius": f"{float(np.hypot(reach, above))!r} m", "path_centre_above": f"{above!r} m",
                "wind_up": HELD,
            }
        )  # fmt: skip
    return Links.model_validate(
        {
            "kind": "links", "wind_up": HELD,
            "lower_link": {"body": body(guide["fl"], guide["ul"]), "axle": axle(guide["al"], guide["bl"])},
            "upper_link": {"body": body(guide["fu"], guide["uu"]), "axle": axle(guide["au"], guide["bu"])},
        }
    )  # fmt: skip


def random_guide(kind, p0, h0, rng):
    side = float(rng.choice([-1.0, 1.0]))
    if kind == "straight":
        return {"kind": kind}
    if kind == "arm":
        return {"kind": kind, "fp": p0 + side * rng.uniform(0.7, 1.2), "up": h0 + rng.uniform(-0.1, 0.25)}
    if kind == "leaf":
        return {"kind": kind, "fc": p0 + side * rng.uniform(0.4, 0.6), "uc": h0 + rng.uniform(-0.1, 0.1)}
    low, high = (float(n) for n in rng.uniform(0.7, 1.0, 2))
    al, bl, au, bu = (
        rng.uniform(-0.05, 0.05),
        rng.uniform(-0.12, -0.05),
        rng.uniform(-0.05, 0.05),
        rng.uniform(0.1, 0.2),
    )
    return {
        "kind": kind, "al": al, "bl": bl, "au": au, "bu": bu,
        "fl": p0 + al + side * low, "ul": h0 + bl + rng.uniform(-0.05, 0.1),
        "fu": p0 + au + side * high, "uu": h0 + bu + rng.uniform(-0.1, 0.05),
    }  # fmt: skip


def random_line(forward, rng):
    return {
        "n": int(rng.integers(1, 5)), "body": (forward + rng.uniform(-0.3, 0.3), rng.uniform(0.0, 0.3)),
        "axle": (rng.uniform(-0.2, 0.2), rng.uniform(-0.1, 0.1)), "side": rng.uniform(0.0, 0.2),
        "ks": rng.uniform(0.0, 6e4), "L0": rng.uniform(0.7, 1.1), "cl": rng.uniform(300.0, 4e3),
        "G": rng.uniform(0.0, 400.0), "kg": rng.uniform(0.0, 1e3), "Lg": rng.uniform(0.4, 0.7),
    }  # fmt: skip


def random_seat(p0):
    """Where the guide holds the housing, above its centre: half of the axles are held there, others up to 0.2 m above or below."""
    draw = np.random.default_rng(int(abs(p0) * 1e9))  # by itself, so that all else is drawn as without seats
    return float(draw.uniform(-0.2, 0.2)) * float(draw.integers(0, 2))


def below_seat(axle, ahead, above):
    """A place on an axle, from its centre, as the kernel has it, from its seat."""
    return ahead, above - axle["seat"]


def random_axle(kind, forward, rng):
    p0, h0 = forward + rng.uniform(-0.1, 0.1), rng.uniform(-0.7, -0.4)
    return {
        "mass": rng.uniform(120, 300), "inertia": rng.uniform(4, 14), "cg": tuple(rng.uniform(-0.1, 0.1, 2)),
        "guide": random_guide(kind, p0, h0, rng), "p0": p0, "h0": h0, "seat": random_seat(p0), "wind_up": bool(rng.random() < 0.7),
        "kw": rng.uniform(1e4, 5e4), "cw": rng.uniform(0, 150), "T0": rng.uniform(-500, 500),
        "kl": rng.uniform(2e4, 7e4), "F0": rng.uniform(4e3, 1e4),
        "stop": {"at": tuple(rng.uniform(-0.2, 0.2, 2)), "gap": -0.5, "k": rng.uniform(2e3, 6e3),
                 "k3": rng.uniform(4e3, 1e4), "loss": rng.uniform(0.0, 0.08)},
        "tyre": {"radius": rng.uniform(0.36, 0.42), "k": rng.uniform(3e5, 7e5), "k2": rng.uniform(0, 1e6),
                 "c": rng.uniform(100, 600)},
        "lines": [random_line(p0, rng) for _ in range(int(rng.integers(1, 4)))],
    }  # fmt: skip


def random_case(kinds, rng):
    truck = {
        "gravity": 9.80665, "body": {"mass": rng.uniform(900, 2400), "inertia": rng.uniform(1200, 4200)},
        "x_free": bool(rng.random() < 0.5),
        "front": random_axle(kinds[0], 1.3, rng), "rear": random_axle(kinds[1], -1.5, rng),
    }  # fmt: skip
    state = {
        "x": rng.uniform(-1, 1), "z": 0.9, "pitch": rng.uniform(-0.25, 0.25),
        "x_speed": rng.uniform(-5, 5), "z_speed": rng.uniform(-2, 2), "pitch_speed": rng.uniform(-2, 2),
    }  # fmt: skip
    for name in ("front", "rear"):
        free = truck[name]["wind_up"]
        state[name] = {
            "q": rng.uniform(-0.12, 0.12), "w": rng.uniform(-0.1, 0.1) * free,
            "q_speed": rng.uniform(-3, 3), "w_speed": rng.uniform(-5, 5) * free,
            "friction": rng.uniform(-400, 400), "road": rng.uniform(0.5, 0.7) - truck[name]["seat"], "road_speed": rng.uniform(-0.5, 0.5),
        }  # fmt: skip
    return truck, state


def as_lowered(axle, q, guide):
    """An axle's rows for the kernel, with the guide's two polynomials and arc: local ones, or those it was lowered to."""
    if guide is None:
        y, y1, y2, t, t1, t2 = half_car.guide_values(axle["guide"], axle["p0"], axle["h0"], q)
        place, turn, middle, scale, arc = (y, y1, y2 / 2), (t, t1, t2 / 2), q, 1.0, at.Arc()
    else:
        place, turn, middle, scale, _, arc = guide.lower(PLACE, axle["p0"], axle["h0"])
    stop, tyre = axle["stop"], axle["tyre"]
    row = at.Axle(
        axle["mass"], axle["inertia"], *below_seat(axle, *axle["cg"]), axle["h0"], middle, scale, axle["kw"], axle["cw"], axle["T0"],
        float(axle["wind_up"]), axle["kl"], axle["F0"], 0.0, 1.0, stop["gap"], stop["k"], stop["k3"], stop["loss"],
        *below_seat(axle, *stop["at"]), tyre["radius"], tyre["k"], tyre["k2"], tyre["c"], *[0.0] * 6, axle["seat"],
    )  # fmt: skip
    return row, arc, np.pad(place, (0, at.DEGREE + 1 - len(place))), np.pad(turn, (0, at.DEGREE + 1 - len(turn)))


def kernel_accelerations(truck, state, exact):
    """The simulator's own accelerations, and the least compression of a tyre [m]."""
    m = np.zeros(at.MEMORY_ROWS)
    m[at.BODY : at.AXLE] = at.Body(*truck["body"].values(), truck["gravity"], float(truck["x_free"]), 0.0, 0.0, 0.0)
    m[[at.X, at.Z, at.PITCH]] = state["x"], state["z"], state["pitch"]
    v = at.COORDINATES
    m[[v + at.X, v + at.Z, v + at.PITCH]] = state["x_speed"], state["z_speed"], state["pitch_speed"]
    lines, knots = [], []
    for index, name in enumerate(("front", "rear")):
        axle, now = truck[name], state[name]
        guide = None if exact else described(axle["guide"], axle["p0"], axle["h0"])
        start = at.AXLE + index * at.AXLE_ROWS
        m[start : start + at.AXLE_ROWS], arc, place, turn = as_lowered(axle, now["q"], guide)
        m[at.ARC + index * at.ARC_ROWS : at.ARC + (index + 1) * at.ARC_ROWS] = arc
        m[at.TURNS + index] = float(np.any(turn))
        for table, row in ((at.PATH, place), (at.TURN, turn)):
            m[table + index * row.size : table + (index + 1) * row.size] = row
        rows = [at.JOUNCE + 2 * index, at.WIND_UP + 2 * index]
        m[rows], m[[v + r for r in rows]] = (now["q"], now["w"]), (now["q_speed"], now["w_speed"])
        m[at.FRICTION + index] = now["friction"]
        for n in axle["lines"]:
            lines.append(
                NOTHING._replace(
                    number=float(n["n"]), body_forward=n["body"][0], body_up=n["body"][1],
                    **dict(zip(("axle_forward", "axle_up"), below_seat(axle, *n["axle"]), strict=True)), sideways=n["side"], rate=n["ks"], length_free=n["L0"], force_least=-1e9,
                    force_constant=n["G"], force_rate=n["kg"], force_length=n["Lg"],
                )
            )  # fmt: skip
            ramps = np.zeros(at.GROUP_ROWS)
            ramps[[at.COMPRESSION_SLOPE, at.EXTENSION_SLOPE]] = n["cl"]
            knots.append(ramps)
    # A road that moves up and down under the wheels.
    road = lifted(*(np.array([state[name][key] for name in ("front", "rear")]) for key in ("road", "road_speed")))
    derivative(
        m, np.array(lines), len(truck["front"]["lines"]), np.array(knots), np.arange(len(lines) + 1), road, float(BEFORE),
        0.0, 1.0, 0.0, np.zeros(0), np.zeros(len(lines)),
    )  # fmt: skip
    loads = m[[at.SCRATCH + at.LOAD, at.SCRATCH + at.SCRATCH_ROWS + at.LOAD]]
    return m[at.RATE + v : at.RATE + v + len(NAMES)].copy(), float(loads.min())


@pytest.mark.parametrize("kinds", list(product(KINDS, KINDS)), ids="-".join)
def test_accelerations_are_kanes(kinds):
    """Twenty random trucks and states a pair of guides (320 in all), accelerations to rounding."""
    rng = np.random.default_rng(sum(KINDS.index(k) * 7**i for i, k in enumerate(kinds)))
    for _ in range(20):
        truck, state = random_case(kinds, rng)
        ours, load = kernel_accelerations(truck, state, exact=True)
        assert load > 8e3  # pressed past where tyre damping fades in
        theirs = half_car.accelerations(truck, state)
        wanted = np.array([theirs[name] for name in NAMES])
        assert ours == pytest.approx(wanted, rel=1e-9, abs=1e-10 * np.max(np.abs(wanted)))


@pytest.mark.parametrize("kind", KINDS)
def test_guides_as_lowered(kind):
    """Each guide as written and lowered to polynomials, against its exact path and slopes by implicit differentiation."""
    rng = np.random.default_rng(11)
    for _ in range(12):
        axle = random_axle(kind, -1.5, rng)
        path = described(axle["guide"], axle["p0"], axle["h0"]).lower(PLACE, axle["p0"], axle["h0"])
        place, turn = np.polynomial.Polynomial(path.place), np.polynomial.Polynomial(path.turn)
        low, high = path.range_m
        for q in rng.uniform(0.6 * low, 0.6 * high, 5):
            t = (q - path.middle) * path.scale
            wanted = half_car.guide_values(axle["guide"], axle["p0"], axle["h0"], q)
            # S. N. Bernstein's inequality: differentiating a wiggle of degree n (here the first one left out) can
            # multiply its size by n / sqrt(1 - t²), t the place in the range.
            grows = (at.DEGREE + 1) / np.sqrt(1 - t**2) * path.scale
            for k in (0, 1, 2):
                ours = [f.deriv(k)(t) * path.scale**k for f in (place, turn)]
                assert ours == pytest.approx([wanted[k], wanted[3 + k]], rel=0, abs=1e-8 * grows**k)


@pytest.mark.parametrize("kind", KINDS)
def test_accelerations_with_guides_as_lowered(kind):
    """From the guide that a person writes to accelerations: arcs to rounding, others within their polynomials' own error."""
    rng = np.random.default_rng(5)
    for _ in range(20):
        truck, state = random_case((kind, kind), rng)
        ours, _ = kernel_accelerations(truck, state, exact=False)
        theirs = half_car.accelerations(truck, state)
        wanted = np.array([theirs[name] for name in NAMES])
        allowed = 1e-5 if kind == "links" else 1e-9
        assert ours == pytest.approx(wanted, rel=0, abs=allowed * np.max(np.abs(wanted)))
