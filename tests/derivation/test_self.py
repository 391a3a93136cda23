"""Checks of the symbolic derivation by means that do not use it: energy from positions alone, plain limits."""

import copy

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from tests.derivation.half_car import accelerations, guide_values

GUIDES = {
    "straight": {"kind": "straight"},
    "arm": {"kind": "arm", "fp": 0.75, "up": -0.35},
    "arm behind": {"kind": "arm", "fp": 2.1, "up": -0.45},
    "leaf": {"kind": "leaf", "fc": 0.7, "uc": -0.62},
    "links": {
        "kind": "links",
        "fl": 0.6,
        "ul": -0.55,
        "al": -0.02,
        "bl": -0.12,
        "fu": 0.7,
        "uu": -0.2,
        "au": 0.03,
        "bu": 0.2,
    },
}
P0, H0 = 1.3, -0.5


def solved(guide, p0, h0, q):
    """Place and turn of the guide, in plain (complex capable) numpy."""
    kind = guide["kind"]
    if kind == "straight":
        return p0 + 0 * q, 0 * q
    if kind in ("arm", "leaf"):
        centre = (guide["fp"], guide["up"]) if kind == "arm" else (guide["fc"], guide["uc"])
        a, b = p0 - centre[0], h0 - centre[1]
        radius, side = np.hypot(a, b), np.sign(a)
        place = centre[0] + side * np.sqrt(radius**2 - (b + q) ** 2)
        if kind == "leaf":
            return place, 0 * q
        return place, -side * (np.arcsin((b + q) / radius) - np.arcsin(b / radius))
    links = [[guide[name + end] for name in ("f", "u", "a", "b")] for end in ("l", "u")]
    y = np.array([p0, 0.0], dtype=complex)
    for _ in range(30):
        value, slope = [], []
        for f, u, a, b in links:
            cx, cz = a * np.cos(y[1]) + b * np.sin(y[1]), b * np.cos(y[1]) - a * np.sin(y[1])
            dx, dz = y[0] + cx - f, h0 + q + cz - u
            value.append(dx**2 + dz**2 - (p0 + a - f) ** 2 - (h0 + b - u) ** 2)
            slope.append([2 * dx, 2 * dx * cz - 2 * dz * cx])
        y = y - np.linalg.solve(np.array(slope), np.array(value))
    return (y[0], y[1]) if np.iscomplexobj(q) else (y[0].real, y[1].real)


def axle(guide, p0, wind_up):
    return {
        "mass": 640.0,
        "inertia": 55.0,
        "cg": (0.06, -0.03),
        "guide": guide,
        "p0": p0,
        "h0": H0,
        "seat": 0.07,
        "wind_up": wind_up,
        "kw": 4.0e5,
        "cw": 0.0,
        "T0": 300.0,
        "kl": 9.0e4,
        "F0": 1.2e4,
        "stop": {"at": (0.1, 0.15), "gap": -0.03, "k": 6.0e4, "k3": 2.0e7, "loss": 0.0},
        "tyre": {"radius": 0.5, "k": 1.6e6, "k2": 4.0e5, "c": 0.0},
        "lines": [
            {
                "n": 2,
                "body": (p0 + 0.15, H0 + 0.55),
                "axle": (-0.05, 0.05),
                "side": 0.1,
                "ks": 1.0e5,
                "L0": 0.56,
                "cl": 0.0,
                "G": 400.0,
                "kg": 2.0e4,
                "Lg": 0.5,
            },
            {
                "n": 1,
                "body": (p0 - 0.5, H0 + 0.2),
                "axle": (0.1, -0.1),
                "side": 0.3,
                "ks": 3.0e4,
                "L0": 0.7,
                "cl": 0.0,
                "G": -200.0,
                "kg": 0.0,
                "Lg": 0.0,
            },
        ],
    }


def moved(guide):
    """The same guide for the rear axle, which sits 3.9 m further back."""
    return {key: value - 3.9 if key[0] == "f" else value for key, value in guide.items()}


def truck(front, rear, x_free=True, wind_up=(True, True)):
    return {
        "gravity": 9.81,
        "body": {"mass": 6200.0, "inertia": 15000.0},
        "x_free": x_free,
        "front": axle(GUIDES[front], P0, wind_up[0]),
        "rear": axle(moved(GUIDES[rear]), P0 - 3.9, wind_up[1]),
    }


def unpack(y, friction=0.0, road_speed=0.0):
    """State dictionary from coordinates and speeds (X, Z, P, q and w front, q and w rear)."""
    state = dict(zip(("x", "z", "pitch", "x_speed", "z_speed", "pitch_speed"), [*y[:3], *y[7:10]], strict=True))
    for name, i, road in (("front", 3, 0.01), ("rear", 5, -0.02)):
        state[name] = {"q": y[i], "w": y[i + 1], "q_speed": y[i + 7], "w_speed": y[i + 8]}
        state[name] |= {"friction": friction, "road": road, "road_speed": road_speed}
    return state


def rates(truck, state):
    return np.array(list(accelerations(truck, state).values()))


START = np.array([0.0, 1.0, 0.01, 0.015, 0.01, -0.02, -0.008, 0.5, -0.3, 0.2, 0.6, -0.5, -0.4, 0.8])


def start(truck):
    y = START.copy()
    if not truck["x_free"]:
        y[7] = 0.0
    for name, i in (("front", 4), ("rear", 6)):
        if not truck[name]["wind_up"]:
            y[[i, i + 7]] = 0.0
    return y


def geometry(truck, c):
    """Masses with positions and angles, tyre deflections, line lengths and stop squeezes, from coordinates alone."""
    X, Z, P = c[:3]

    def ground(f, u):
        return X + f * np.cos(P) + u * np.sin(P), Z - f * np.sin(P) + u * np.cos(P)

    bodies = [(truck["body"]["mass"], truck["body"]["inertia"], X, Z, P)]
    result = {"bodies": bodies, "tyres": [], "lines": [], "stops": []}
    for name, i, road in (("front", 3, 0.01), ("rear", 5, -0.02)):
        axle, q, w = truck[name], c[i], c[i + 1]
        place, turn = solved(axle["guide"], axle["p0"], axle["h0"], q)
        r = turn + w

        def housing(a, above_centre, place=place, q=q, r=r, seat=axle["seat"]):
            b = above_centre - seat
            return place + a * np.cos(r) + b * np.sin(r), H0 + q + b * np.cos(r) - a * np.sin(r)

        bodies.append((axle["mass"], axle["inertia"], *ground(*housing(*axle["cg"])), P + r))
        result["tyres"].append(road + axle["tyre"]["radius"] - ground(*housing(0.0, 0.0))[1])
        for line in axle["lines"]:
            one, other = housing(*line["axle"]), line["body"]
            result["lines"].append(
                np.sqrt((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2 + line["side"] ** 2),
            )
        stop = axle["stop"]
        result["stops"].append(
            None if stop is None else housing(*stop["at"])[1] - (H0 - axle["seat"] + stop["at"][1]) - stop["gap"]
        )
    return result


def differentiated(truck, y):
    """Geometry and its rate along the motion, the rate by a complex step."""
    step = 1e-40
    seen = geometry(truck, y[:7] + 1j * step * y[7:])
    flat = {"bodies": [v for body in seen["bodies"] for v in body[2:]]}
    flat |= {key: [v for v in seen[key] if v is not None] for key in ("tyres", "lines", "stops")}
    return {key: (np.real(v), np.imag(v) / step) for key, v in flat.items()}


def energy(truck, y):
    """Total energy (kinetic and potential) of the truck without its losses, and the kinetic part."""
    now = differentiated(truck, y)
    masses = [(truck[k]["mass"], truck[k]["inertia"]) for k in ("body", "front", "rear")]
    kinetic = potential = 0.0
    for (m, inertia), (_, z, _), v in zip(
        masses, now["bodies"][0].reshape(3, 3), now["bodies"][1].reshape(3, 3), strict=True
    ):
        kinetic += 0.5 * m * (v[0] ** 2 + v[1] ** 2) + 0.5 * inertia * v[2] ** 2
        potential += m * truck["gravity"] * z
    lines = iter(now["lines"][0])
    stops = iter(now["stops"][0])
    for name, i, d in (("front", 3, now["tyres"][0][0]), ("rear", 5, now["tyres"][0][1])):
        axle, q, w = truck[name], y[i], y[i + 1]
        potential += axle["tyre"]["k"] * d**2 / 2 + axle["tyre"]["k2"] * d**3 / 3
        potential += axle["F0"] * q + axle["kl"] * q**2 / 2
        if axle["wind_up"]:
            potential += axle["kw"] * w**2 / 2 - axle["T0"] * w
        for line in axle["lines"]:
            length = next(lines)
            springs = line["ks"] * (line["L0"] - length) ** 2 + line["kg"] * (line["Lg"] - length) ** 2
            potential += line["n"] * (springs / 2 - line["G"] * length)
        if axle["stop"] is not None:
            p = next(stops)
            potential += axle["stop"]["k"] * p**2 / 2 + axle["stop"]["k3"] * p**4 / 4
    return kinetic + potential, kinetic


@pytest.mark.parametrize("name", GUIDES)
@pytest.mark.parametrize("q", [-0.08, 0.0, 0.06])
def test_guide_against_finite_differences(name, q):
    place, place1, place2, turn, turn1, turn2 = guide_values(GUIDES[name], P0, H0, q)
    h = 1e-3
    samples = np.array([solved(GUIDES[name], P0, H0, q + i * h) for i in range(-3, 4)])
    first = np.array([-1, 9, -45, 0, 45, -9, 1]) @ samples / (60 * h)
    second = np.array([2, -27, 270, -490, 270, -27, 2]) @ samples / (180 * h**2)
    assert samples[3] == pytest.approx([place, turn], abs=1e-13)
    assert first == pytest.approx([place1, turn1], abs=1e-10)
    assert second == pytest.approx([place2, turn2], abs=3e-8)


def test_guides_start_where_they_are_built():
    for guide in GUIDES.values():
        values = guide_values(guide, P0, H0, 0.0)
        assert [values[0], values[3]] == pytest.approx([P0, 0.0], abs=1e-15)


def test_arm_with_pivot_ahead_lifts_the_front_of_the_housing_on_rebound():
    # pivot ahead of the axle: jounce turns the arm so that its forward end points down, i.e. turn' > 0
    assert guide_values(GUIDES["arm behind"], P0, H0, 0.0)[4] == pytest.approx(1 / 0.8)


def test_far_arm_approaches_straight():
    straight = guide_values(GUIDES["straight"], P0, H0, 0.07)
    errors = []
    for distance in (1e2, 1e4):
        far = guide_values({"kind": "arm", "fp": P0 - distance, "up": H0}, P0, H0, 0.07)
        errors.append(np.max(np.abs(np.subtract(far, straight))))
    assert errors[0] < 2e-2
    assert errors[1] < 2e-4


@pytest.mark.parametrize(
    ("front", "rear", "x_free", "wind_up"),
    [
        ("links", "leaf", True, (True, True)),
        ("arm", "links", False, (True, False)),
        ("straight", "arm behind", True, (False, True)),
        ("leaf", "straight", False, (False, False)),
    ],
)
def test_energy_is_kept_without_losses(front, rear, x_free, wind_up):
    model = truck(front, rear, x_free, wind_up)
    y0 = start(model)
    run = solve_ivp(
        lambda _, y: np.concatenate([y[7:], rates(model, unpack(y))]),
        (0.0, 0.3),
        y0,
        method="DOP853",
        rtol=1e-11,
        atol=1e-12,
    )
    assert run.success
    totals, kinetics = np.array([energy(model, y) for y in run.y.T]).T
    assert np.ptp(kinetics) > 1000.0  # the run does exchange energy
    assert np.max(np.abs(totals - totals[0])) < 1e-8 * np.max(kinetics)


def test_losses_and_given_forces_take_their_power():
    model = truck("links", "arm")
    y = start(model)
    friction, road_speed = 700.0, 0.25
    for name in ("front", "rear"):
        model[name]["cw"] = 900.0
        model[name]["tyre"]["c"] = 1500.0
        model[name]["stop"]["loss"] = 0.4
        for line in model[name]["lines"]:
            line["cl"] = 8000.0
    a = rates(model, unpack(y, friction, road_speed))
    h = 1e-4
    ahead = [energy(model, y + i * h * np.concatenate([y[7:], a]))[0] for i in (-2, -1, 1, 2)]
    gained = np.dot([1, -8, 8, -1], ahead) / (12 * h)  # the road held still in this energy

    now = differentiated(model, y)
    given = 0.0
    lines, stops = iter(now["lines"][1]), zip(*now["stops"], strict=True)
    for number, (name, i) in enumerate((("front", 3), ("rear", 5))):
        fall = now["tyres"][1][number]  # rate of deflection due to the axle alone
        given += model[name]["tyre"]["c"] * (road_speed + fall) * -fall
        given += -friction * y[i + 7] - model[name]["cw"] * y[i + 8] ** 2
        for line in model[name]["lines"]:
            given -= line["n"] * line["cl"] * next(lines) ** 2
        stop = model[name]["stop"]
        p, p_speed = next(stops)
        given -= (stop["k"] * p + stop["k3"] * p**3) * stop["loss"] * p_speed**2
    assert abs(given) > 1000.0
    assert gained == pytest.approx(given, rel=1e-7)


def test_no_force_acts_along_the_road():
    # total horizontal momentum is constant, whatever the losses
    model = truck("arm behind", "links")
    y = start(model)
    a = rates(model, unpack(y, friction=300.0))
    masses = np.array([model[k]["mass"] for k in ("body", "front", "rear")])

    def momentum(at):
        return masses @ differentiated(model, at)["bodies"][1].reshape(3, 3)[:, 0]

    h = 1e-4
    ahead = [momentum(y + i * h * np.concatenate([y[7:], a])) for i in (-2, -1, 1, 2)]
    assert np.dot([1, -8, 8, -1], ahead) / (12 * h) == pytest.approx(0.0, abs=1e-3)
    assert abs(a[0]) > 1e-2


def test_given_speed_does_not_matter_when_x_is_prescribed():
    model = truck("links", "arm", x_free=False)
    y = start(model)
    still = rates(model, unpack(y))
    y[0], y[7] = 50.0, 20.0
    assert rates(model, unpack(y)) == pytest.approx(still, rel=1e-9)
    assert still[0] == 0.0


def test_free_fall():
    model = copy.deepcopy(truck("links", "leaf"))
    for name in ("front", "rear"):
        model[name] |= {"kw": 0.0, "T0": 0.0, "kl": 0.0, "F0": 0.0, "stop": None, "lines": []}
        model[name]["tyre"] |= {"k": 0.0, "k2": 0.0}
    y = start(model)
    y[7:] = 0.0
    assert rates(model, unpack(y)) == pytest.approx([0, -9.81, 0, 0, 0, 0, 0], abs=1e-9)
