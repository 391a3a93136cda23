"""Planar truck that drives or brakes by its own wheels on a hilly road, derived symbolically by Kane's method.

Axes, body, housings and guides are those of half_car.py. New, for each axle:

  s        shift along the body's x, on eyes and bushes: the guide holds the housing at (place(q) + s, h0 + q) in body axes
  W        spin of its wheels about +y, in the ground frame: rotors on the centre, their mass is part of the axle's

The guide holds the housing at its seat, which is `seat` above the axle's centre along the housing; what is on the axle is placed from
its centre. And once, the engine's speed E about an axis along the truck: its moment has no part in the plane.

Nothing of the moments is assumed to end up anywhere. Every pair of opposite forces or moments of size M that resists a
relative speed r gives the generalised forces -M dr/du of its power, whatever the bodies it joins:

  shaft    resists the twist's rate   g' = E / (gears ratio) - (W - turn of the housing)
  brake    resists the disc's rate    W - turn of the housing
  line     its push resists nothing but drives the lengthening of the line
  leaves   two half springs under the seat, at a ahead and b behind of it: each resists the rise of its own end

The road is a curve h(x) read under the axle's centre, n its unit normal and t its unit tangent. It presses along n with a
force whose vertical part is the tyre load, through the centre, since the wheel turns freely; the tread's force F acts along t at
the wheel's material point R below the centre along n. On a hill the axes lie along it, so that weight has a part along -x.

Laws of the tread, with N the tyre load and d the tyre's deflection:

  R = R0 - share d,    D = (m0 + m1 N) N,    B C D = (b0 + b1 N) N exp(-b2 N),    E = e0 + e1 N + e2 N^2
  F = D sin(C atan(B p)),  p = (1 - E) K + E / B atan(B K),  K = slip + tau slip'
  L slip' = (R W - v) - u slip,  v the centre's speed along t,  u the faster of |v| and |R W|,
  L = L0 / (1 + B C |slip|)^2, at least u times 2 ms
  Where load acts after the relaxation length ("late"), N in F is a load n instead, at most twice the tyre load,
  L n' = u (N - n), and L = L0, at least u times 2 ms
  (E. Bakker, L. Nyborg, H. B. Pacejka, Tyre modelling for use in vehicle dynamics studies, SAE 870421)

Leaf friction f follows travel: travel f' = q' f0 - |q'| f. A brake sticks or slips: with y the disc's rate and b the turn by which
its carrier has given, its moment M = k b + c y is what it takes to hold the disc to the carrier (then b' = y) as long as the pedal's
friction allows it; else M is the pedal's, its face slips, and the carrier moves by itself so that k b + c b' = M.

Reference: T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications, McGraw-Hill, 1985.
"""

from functools import cache
from math import atan, exp, hypot, sin

import numpy as np
import sympy as sp
from sympy.physics.mechanics import ReferenceFrame, dynamicsymbols

from tests.derivation.half_car import guide_values

FASTEST_TREAD_S = 2e-3


@cache
def _derive():
    """Lambdified: motion of centre and housing; parts of Kane's equations of body, axle, one line and one stop."""
    time = dynamicsymbols._t
    coordinates = X, Z, P, q, w, s = dynamicsymbols("X Z P q w s")
    own = dynamicsymbols("vX vZ vP vq vw vs")
    W, E = dynamicsymbols("W E")
    speeds = [*own, W, E]
    unknown = sp.symbols("aX aZ aP aq aw as_ aW aE")
    to_speed = {c.diff(time): v for c, v in zip(coordinates, own, strict=True)}
    to_unknown = {v.diff(time): a for v, a in zip(speeds, unknown, strict=True)}
    here_q, h0, seat = sp.symbols("here_q h0 seat")
    guide = c0, c1, c2, t0, t1, t2 = sp.symbols("c0 c1 c2 t0 t1 t2")
    near = q - here_q  # the guide's local polynomials: exact for the accelerations at q = here_q
    state = [*coordinates, *speeds, *guide, h0, seat]

    ground = ReferenceFrame("N")
    frame = ground.orientnew("B", "Axis", [P, ground.y])
    housing = frame.orientnew("H", "Axis", [t0 + t1 * near + t2 * near**2 / 2 + w, frame.y])
    body = X * ground.x + Z * ground.z
    from_body = (c0 + c1 * near + c2 * near**2 / 2 + s) * frame.x + (h0 + q) * frame.z - seat * housing.z
    centre = body + from_body

    def velocity(position, seen_from=ground):
        return position.dt(seen_from).subs(to_speed)

    def turning(of):
        return of.ang_vel_in(ground).subs(to_speed).dot(ground.y)

    def by_speeds(relative_speed):
        return sp.Matrix([sp.diff(relative_speed, v) for v in speeds])

    def at_point(force, position):
        """Generalised forces of a force on a material point."""
        moving = velocity(position)
        return sp.Matrix([force.dot(moving.diff(v, ground, var_in_dcm=False)) for v in speeds])

    def inertia_of(mass, inertia, position, turn):
        rate = (mass * velocity(position).dt(ground)).subs(to_speed).subs(to_unknown)
        spin = (inertia * turn.diff(time)).subs(to_speed).subs(to_unknown)
        return at_point(rate, position) + spin * by_speeds(turn)

    def function(given, *results):
        return sp.lambdify([*state, *given], [r.subs(here_q, q) for r in results], cse=True)

    def of_kane(given, inertial, active):
        left = {a: 0 for a in unknown}
        return function(given, inertial.jacobian(unknown), active - inertial.subs(left))

    g_down, g_back, mass, inertia = sp.symbols("g_down g_back mass inertia")
    weight = -mass * (g_back * ground.x + g_down * ground.z)
    turn = turning(housing)
    moving = velocity(centre)
    motion = function([], sp.Matrix([*(p.dot(a) for p in (centre, moving) for a in (ground.x, ground.z)), turn]))

    body_part = of_kane(
        [g_down, g_back, mass, inertia], inertia_of(mass, inertia, body, turning(frame)), at_point(weight, body)
    )

    ahead, above, spin_inertia, load, slope, tread, radius = sp.symbols("ahead above J N h1 F R")
    shaft, gearing, brake, preload, kw, cw, ks, cs = sp.symbols("Ms gearing Mb T0 kw cw ks cs")
    support, friction, a, ka, b, kb = sp.symbols("F0 f a ka b kb")
    gravity_centre = centre + ahead * housing.x + above * housing.z
    long = sp.sqrt(1 + slope**2)
    normal, tangent = (ground.z - slope * ground.x) / long, (ground.x + slope * ground.z) / long
    under = moving + (W * ground.y).cross(-radius * normal)  # of the wheel's point that touches the road
    front_end, rear_end = q - a * w, q + b * w
    rise_front, rise_rear = own[3] - a * own[4], own[3] + b * own[4]
    forces = (
        at_point(weight, gravity_centre)
        + at_point(load / normal.dot(ground.z) * normal, centre)
        + tread * by_speeds(under.dot(tangent))
        - shaft * by_speeds(E * gearing - (W - turn))
        - brake * by_speeds(W - turn)
        - (kw * w + cw * own[4] - preload) * by_speeds(own[4])
        - (ks * s + cs * own[5]) * by_speeds(own[5])
        - (support + friction) * by_speeds(own[3])
        - ka * front_end * by_speeds(rise_front)
        - kb * rear_end * by_speeds(rise_rear)
    )
    axle_part = of_kane(
        [g_down, g_back, mass, inertia, ahead, above, spin_inertia, load, slope, tread, radius, shaft, gearing, brake,
         preload, kw, cw, ks, cs, support, friction, a, ka, b, kb],
        inertia_of(mass, inertia, gravity_centre, turn) + spin_inertia * W.diff(time).subs(to_unknown) * by_speeds(W),
        forces,
    )  # fmt: skip

    number, bf, bu, pa, pb, side, rate, free, slope_c, gas, gas_rate, gas_at, taut, hard, loss = line = sp.symbols(
        "n bf bu pa pb side k L0 c G kg Lg Lt kt loss"
    )
    between = from_body + pa * housing.x + pb * housing.z - bf * frame.x - bu * frame.z
    length = sp.sqrt(between.dot(frame.x) ** 2 + between.dot(frame.z) ** 2 + side**2)
    lengthening = length.diff(time).subs(to_speed)
    push = rate * (free - length) - slope_c * lengthening + gas + gas_rate * (gas_at - length)
    push -= hard * (length - taut) * (1 + loss * lengthening)
    line_part = function(line, number * push * by_speeds(lengthening))

    pa, pb, gap, k, k3, loss = stop = sp.symbols("sa sb gap k k3 loss")
    met = from_body + pa * housing.x + pb * housing.z
    squeeze = met.dot(frame.z) - (h0 - seat + pb) - gap
    squeezing = velocity(met, frame).dot(frame.z)
    stop_part = function(stop, -(k * squeeze + k3 * squeeze**3) * (1 + loss * squeezing) * by_speeds(squeezing))
    return motion, body_part, axle_part, line_part, stop_part


def tread(tyre, pressed, felt, radius, along, spin, slip):
    """Force of the tread [N], rate of its slip [1/s] and of the load that it answers [N/s]."""
    load = min(felt, 2 * pressed) if tyre["late"] else pressed
    peak = (tyre["m0"] + tyre["m1"] * load) * load
    steepness = (tyre["b0"] + tyre["b1"] * load) * load * exp(-tyre["b2"] * load) / (tyre["C"] * peak)
    bend = tyre["e0"] + tyre["e1"] * load + tyre["e2"] * load**2
    fastest = max(abs(along), abs(radius * spin))
    shorter = 1 if tyre["late"] else (1 + steepness * tyre["C"] * abs(slip)) ** 2
    length = max(tyre["L0"] / shorter, FASTEST_TREAD_S * fastest)
    rate = (radius * spin - along - fastest * slip) / length
    seen = slip + tyre["tau"] * rate
    bent = (1 - bend) * seen + bend / steepness * atan(steepness * seen)
    felt_rate = fastest * (pressed - felt) / length if tyre["late"] else 0.0
    return peak * sin(tyre["C"] * atan(steepness * bent)), rate, felt_rate


def engine_torque(engine, speed, throttle):
    """Torque [N m]: straight pieces of speed, held below idle; shut, a drag that is all there a quarter of idle's speed above it."""
    idle = engine["idle"]
    above = max(speed, idle)
    pull = engine["at_idle"] + sum(change * max(above - start, 0.0) for start, change in engine["ramps"])
    drag, rise = engine["drag"]
    if speed <= idle:
        drag = rise = 0.0
    elif speed < 1.25 * idle:
        drag, rise = (n * (speed / idle - 1.0) / 0.25 for n in (drag, rise))
    return throttle * pull - (1.0 - throttle) * (drag + rise * speed)


NAMES = (
    "x", "z", "pitch", "front_q", "front_w", "front_s", "front_W", "rear_q", "rear_w", "rear_s", "rear_W", "engine",
    "centre",
)  # fmt: skip
INDEX = {"front": [0, 1, 2, 3, 4, 5, 6, 11], "rear": [0, 1, 2, 7, 8, 9, 10, 11]}


def motion_of(truck, state, name):
    """An axle's coordinates, speeds and guide for the parts; its centre's x, z and their speeds; the housing's turning."""
    axle, now = truck[name], state[name]
    at = [state["x"], state["z"], state["pitch"], now["q"], now["w"], now["s"]]
    at += [state["x_speed"], state["z_speed"], state["pitch_speed"], now["q_speed"], now["w_speed"], now["s_speed"]]
    at += [
        now["W"],
        state["engine"],
        *guide_values(axle["guide"], axle["p0"], axle["h0"], now["q"]),
        axle["h0"],
        axle["seat"],
    ]
    return at, [float(n) for n in np.ravel(_derive()[0](*at)[0])]


def rates(truck, state):
    """Accelerations by name, force of the driver; rates of slip, brake, twist and friction by axle; what the wheels felt, by axle."""
    _, body_part, axle_part, line_part, stop_part = _derive()
    matrix, right = np.zeros((13, 13)), np.zeros(13)
    engine, body = truck["engine"], truck["body"]
    weight = (truck["gravity_down"], truck["gravity_back"])
    matrix[11, 11] = engine["inertia"]
    right[11] = engine_torque(engine, state["engine"], state["throttle"])
    # Propshafts at the mean and d more or less: both have J d² of energy by d, and what acts between them works on 2 d.
    centre = truck["centre"]
    matrix[12, 12] = 2.0 * centre["shaft_inertia"]
    apart, (stiffness, dashpot) = 2.0 * state["centre"], centre["carrier"]
    clutch, result_give = stiffness * state["centre_give"] + dashpot * apart, apart
    if abs(clutch) > centre["limit"]:
        clutch = np.copysign(centre["limit"], clutch)
        result_give = (clutch - stiffness * state["centre_give"]) / dashpot
    right[12] = -2.0 * clutch

    def add(index, part):
        matrix[np.ix_(index, index)] += np.asarray(part[0], dtype=float)
        right[index] += np.asarray(part[1], dtype=float).ravel()

    # the body does not depend on an axle's speeds: its parts there are empty, whichever axle's index they get
    add(INDEX["front"], body_part(*motion_of(truck, state, "front")[0], *weight, body["mass"], body["inertia"]))

    free = np.array([bool(truck["x_free"]), *[True] * 11, centre["free"]])
    result = {"front": {}, "rear": {}, "centre_give": result_give}
    for name, index in INDEX.items():
        axle, now, found = truck[name], state[name], result[name]
        free[index[4]], free[index[5]] = axle["wind_up"], axle["shifts"]
        at, (x, z, x_speed, z_speed, turn) = motion_of(truck, state, name)

        tyre, road = axle["tyre"], np.polynomial.Polynomial(truck["road"][name])
        slope = float(road.deriv()(x))
        give = float(road(x)) + tyre["radius"] - z
        load = tyre["k"] * give + tyre["k2"] * give**2 + tyre["c"] * (slope * x_speed - z_speed)
        radius = tyre["radius"] - tyre["share"] * give
        along = (x_speed + slope * z_speed) / hypot(1.0, slope)
        force, found["slip"], found["felt"] = tread(tyre, load, now["felt"], radius, along, now["W"], now["slip"])

        disc = now["W"] - turn
        given, pedal, (stiffness, dashpot) = now["brake"], now["pedal"], axle["brake_carrier"]
        brake, found["brake"] = stiffness * given + dashpot * disc, disc
        if abs(brake) > pedal:
            brake = pedal if brake > 0.0 else -pedal
            found["brake"] = (brake - stiffness * given) / dashpot
        found["sticks"] = found["brake"] == disc
        gearing = 1.0 / (engine["gears"] * axle["ratio"])
        more = 1.0 if name == "front" else -1.0
        found["twist"] = (state["engine"] / engine["gears"] + more * state["centre"]) / axle["ratio"] - disc
        shaft = axle["shaft_k"] * now["twist"] + axle["shaft_c"] * found["twist"]
        right[12] -= more * shaft / axle["ratio"]
        jounce_speed = now["q_speed"]
        found["friction"] = (jounce_speed * axle["friction"] - abs(jounce_speed) * now["friction"]) / axle["travel"]
        found |= {"load": load, "tread": force, "radius": radius, "shaft": shaft, "brake_moment": brake}

        a, ka, b, kb = axle["halves"]
        part = axle_part(
            *at, *weight, axle["mass"], axle["inertia"], *axle["cg"], axle["spin_inertia"], load, slope, force, radius,
            shaft, gearing, brake, *(axle[key] for key in ("T0", "kw", "cw", "ks", "cs", "F0")), now["friction"],
            a, ka, b, kb,
        )  # fmt: skip
        add(index, part)
        for line in axle["lines"]:
            right[index] += np.ravel(line_part(*at, *line)[0])
        right[index] += np.ravel(stop_part(*at, *axle["stop"])[0])

    right[0] += truck.get("driver", 0.0)  # a force forwards on the body's centre of gravity
    solved = np.zeros(13)
    solved[free] = np.linalg.solve(matrix[np.ix_(free, free)], right[free])
    # What the row of x misses is the force of whatever holds its speed.
    result["driver"] = float(matrix[0] @ solved - right[0]) + truck.get("driver", 0.0)
    result["accelerations"] = dict(zip(NAMES, solved.tolist(), strict=True))
    return result
