"""Planar truck on two axles, derived symbolically by Kane's method.

Axes: ground frame N with x forward, y to the left, z up. Every rotation is about +y, so a positive pitch P
lowers the nose. A body-fixed point (f, u) (forward, up from the body's centre of gravity, body axes) lies at

    x = X + f cos P + u sin P,    z = Z - f sin P + u cos P.

Where the guide holds the housing, its seat, in body axes: (place(q), h0 + q). Turn of the housing relative to the body: r = turn(q) + w.
The axle's centre is a distance `seat` below that along the housing: seat - (seat sin r, seat cos r).
Housing point (a, b) (ahead, above, housing axes) in body axes: centre + (a cos r + b sin r, b cos r - a sin r).

Kane's equations, one for each generalised speed u_r (here simply the time derivatives of X, Z, P and of q and w
of both axles), with partial velocities v_r = dv/du_r and partial angular velocities w_r:

    sum over forces (F . v_r) + sum over torques (T . w_r) - sum over bodies (m a . v_r + I alpha . w_r) = 0.

They are sums over bodies and forces, so one axle carried by the body is derived once, in (X, Z, P, q, w), and is
used for the front and the rear. A coordinate whose motion is prescribed without acceleration (X at constant
speed, w locked at 0) loses its equation and its column.

The guide enters by its exact value and first two derivatives at the present q, i.e. as the local polynomial
c0 + c1 (q - q*) + c2 (q - q*)^2 / 2, which is exact for the accelerations at q = q*.

Forces (all springs in their linear or polynomial law, contacts taken as made, nothing clipped):
  tyre         N = k d + k2 d^2 + c d',  d = road + R0 - height of the axle centre, upwards on the axle centre
  line         n [ks (L0 - L) - cl L' + G + kg (Lg - L)] along a line of length L = sqrt(dx^2 + dz^2 + side^2),
               positive pushing the body point and the housing point apart
  wind-up      T0 - kw w - cw w', on w only
  leaf seat    -(F0 + kl q + friction), on q only
  bump stop    S = (k p + k3 p^3)(1 + loss p'), p = q + (sb cos r - sa sin r) - sb - gap, along the body's z,
               down on the housing point and up on the body

Guide parameters, all in body axes apart from the housing points of the links:
  {"kind": "straight"}
  {"kind": "arm", "fp", "up"}       pivot on the body; the axle turns with the arm
  {"kind": "leaf", "fc", "uc"}      centre of the circular arc of the axle centre; the axle does not turn
  {"kind": "links", "fl", "ul", "al", "bl", "fu", "uu", "au", "bu"}   lower and upper link: body, housing points

Reference: T. R. Kane, D. A. Levinson, Dynamics: Theory and Applications, McGraw-Hill, 1985.
"""

from functools import cache

import numpy as np
import sympy as sp
from sympy.physics.mechanics import ReferenceFrame, dynamicsymbols

GUIDE_PARAMETERS = {
    "straight": (),
    "arm": ("fp", "up"),
    "leaf": ("fc", "uc"),
    "links": ("fl", "ul", "al", "bl", "fu", "uu", "au", "bu"),
}


# ---------------------------------------------------------------- guide


def _guide_constraints(kind, par, p0, h0, q, place, turn):
    """Two expressions which vanish when the axle centre is at (place, h0 + q) and the housing is turned by turn."""
    height = h0 + q
    cos, sin = sp.cos(turn), sp.sin(turn)
    if kind == "straight":
        return [place - p0, turn]
    if kind == "arm":
        fp, up = par
        a, b = p0 - fp, h0 - up
        return [place - fp - (a * cos + b * sin), height - up - (b * cos - a * sin)]
    if kind == "leaf":
        fc, uc = par
        return [(place - fc) ** 2 + (height - uc) ** 2 - (p0 - fc) ** 2 - (h0 - uc) ** 2, turn]
    fl, ul, al, bl, fu, uu, au, bu = par
    result = []
    for f, u, a, b in ((fl, ul, al, bl), (fu, uu, au, bu)):
        dx = place + a * cos + b * sin - f
        dz = height + b * cos - a * sin - u
        result.append(dx**2 + dz**2 - (p0 + a - f) ** 2 - (h0 + b - u) ** 2)
    return result


@cache
def _guide_functions(kind):
    """Constraint residual, its Jacobian, and the right sides of the implicit first and second derivatives."""
    q, p0, h0 = sp.symbols("q p0 h0")
    par = [sp.Symbol(name) for name in GUIDE_PARAMETERS[kind]]
    place, turn = sp.Function("place")(q), sp.Function("turn")(q)
    flat = y, t, y1, t1, y2, t2 = sp.symbols("y t y1 t1 y2 t2")
    whole = sp.Matrix(_guide_constraints(kind, par, p0, h0, q, place, turn))

    def plain(expression):
        names = [place.diff(q, 2), turn.diff(q, 2), place.diff(q), turn.diff(q), place, turn]
        symbols = [y2, t2, y1, t1, y, t]
        return expression.subs(list(zip(names, symbols, strict=True)))

    value, first, second = plain(whole), plain(whole.diff(q)), plain(whole.diff(q, 2))
    jacobian = first.jacobian([y1, t1])
    assert sp.simplify(second.jacobian([y2, t2]) - jacobian) == sp.zeros(2, 2)
    first_rest = first.subs({y1: 0, t1: 0})
    second_rest = second.subs({y2: 0, t2: 0})
    arguments = [*flat[:4], q, p0, h0, *par]
    return sp.lambdify(arguments, [value, jacobian, first_rest, second_rest], cse=True)


def guide_values(guide, p0, h0, q):
    """(place, place', place'', turn, turn', turn'') of the guide at jounce q, derivatives by q."""
    kind = guide["kind"]
    functions = _guide_functions(kind)
    par = [float(guide[name]) for name in GUIDE_PARAMETERS[kind]]
    y = np.array([p0, 0.0], dtype=float)

    def evaluate(y, rates, at):
        return [np.asarray(part, dtype=float) for part in functions(*y, *rates, at, p0, h0, *par)]

    # Newton's method, walked out from q = 0 so that the solution stays on the branch of the assembled axle
    for at in np.linspace(0.0, q, int(abs(q) / 0.02) + 2)[1:]:
        for _ in range(30):
            value, jacobian, _, _ = evaluate(y, (0.0, 0.0), at)
            step = np.linalg.solve(jacobian, value.ravel())
            y = y - step
            if np.all(np.abs(step) <= 4e-16 * (1.0 + np.abs(y))):
                break
        if not np.all(np.abs(step) < 1e-9):
            raise ValueError(f"guide {kind!r} cannot be assembled at q = {at}")
    _, jacobian, first_rest, _ = evaluate(y, (0.0, 0.0), q)
    y1 = -np.linalg.solve(jacobian, first_rest.ravel())
    _, _, _, second_rest = evaluate(y, y1, q)
    y2 = -np.linalg.solve(jacobian, second_rest.ravel())
    return tuple(float(v) for v in (y[0], y1[0], y2[0], y[1], y1[1], y2[1]))


# ---------------------------------------------------------------- multibody part


@cache
def _derive():
    """Lambdified contributions to Kane's equations: body, axle with tyre, one line element, one bump stop."""
    t = dynamicsymbols._t
    coordinates = X, Z, P, q, w = dynamicsymbols("X Z P q w")
    speeds = dynamicsymbols("vX vZ vP vq vw")
    accelerations_ = sp.symbols("aX aZ aP aq aw")
    to_speed = {c.diff(t): v for c, v in zip(coordinates, speeds, strict=True)}
    to_acceleration = {v.diff(t): a for v, a in zip(speeds, accelerations_, strict=True)}
    qs, h0, seat, g = sp.symbols("qs h0 seat g")
    c0, c1, c2, t0, t1, t2 = guide = sp.symbols("c0 c1 c2 t0 t1 t2")
    state = [*coordinates, *speeds]

    place = c0 + c1 * (q - qs) + c2 * (q - qs) ** 2 / 2
    turn = t0 + t1 * (q - qs) + t2 * (q - qs) ** 2 / 2
    N = ReferenceFrame("N")
    B = N.orientnew("B", "Axis", [P, N.y])
    H = B.orientnew("H", "Axis", [turn + w, B.y])
    body = X * N.x + Z * N.z
    centre = body + place * B.x + (h0 + q) * B.z - seat * H.z

    def velocity(position, frame=N):
        return position.dt(frame).subs(to_speed)

    def partials(vector, frame=N):
        return [vector.diff(v, frame, var_in_dcm=False) for v in speeds]

    def active(force, point):
        return sp.Matrix([force.dot(p) for p in partials(velocity(point))])

    def couple(torque, omega):
        return sp.Matrix([torque.dot(p) for p in partials(omega)])

    def inertial(mass, inertia, point, frame):
        v = velocity(point)
        omega = frame.ang_vel_in(N).subs(to_speed)
        rate = (mass * v.dt(N)).subs(to_speed).subs(to_acceleration)
        spin = (inertia * omega.dt(N)).subs(to_speed).subs(to_acceleration)
        return active(rate, point) + couple(spin, omega)

    def here(expression):
        return expression.subs(qs, q)  # the local polynomials are expanded about the present q

    def split(inertia_forces, active_forces):
        """Matrix of the accelerations and everything else, of inertia_forces = active_forces."""
        matrix = inertia_forces.jacobian(accelerations_)
        rest = inertia_forces.subs(dict.fromkeys(accelerations_, 0))
        return [here(matrix), here(active_forces - rest)]

    # sprung body
    mass, inertia = sp.symbols("mass inertia")
    body_part = sp.lambdify(
        [*state, g, mass, inertia],
        split(inertial(mass, inertia, body, B), active(-mass * g * N.z, body)),
        cse=True,
    )

    # axle with weight, tyre, wind-up bushing and leaf seat
    ga, gb, radius, k, k2, c, road, road_speed = sp.symbols("ga gb radius k k2 c road road_speed")
    T0, kw, cw, F0, kl, friction = sp.symbols("T0 kw cw F0 kl friction")
    cg = centre + ga * H.x + gb * H.z
    deflection = road + radius - centre.dot(N.z)
    deflection_speed = road_speed - velocity(centre).dot(N.z)
    load = k * deflection + k2 * deflection**2 + c * deflection_speed
    forces = active(-mass * g * N.z, cg) + active(load * N.z, centre)
    forces += sp.Matrix([0, 0, 0, -(F0 + kl * q + friction), T0 - kw * w - cw * speeds[4]])
    given = [g, mass, inertia, ga, gb, radius, k, k2, c, road, road_speed, T0, kw, cw, F0, kl, friction]
    axle_part = sp.lambdify(
        [*state, *guide, h0, seat, *given],
        split(inertial(mass, inertia, cg, H), forces),
        cse=True,
    )

    # one line element between a body point and a housing point
    n, bf, bu, a, b, side, ks, L0, cl, G, kg, Lg = sp.symbols("n bf bu a b side ks L0 cl G kg Lg")
    on_body = body + bf * B.x + bu * B.z
    on_axle = centre + a * H.x + b * H.z
    between = on_axle - on_body
    relative = velocity(on_axle) - velocity(on_body)
    length = sp.sqrt(between.dot(B.x) ** 2 + between.dot(B.z) ** 2 + side**2)
    closing = -between.dot(relative) / length
    push = n * (ks * (L0 - length) + cl * closing + G + kg * (Lg - length)) / length
    line_part = sp.lambdify(
        [*state, *guide, h0, seat, n, bf, bu, a, b, side, ks, L0, cl, G, kg, Lg],
        here(active(push * between, on_axle) - active(push * between, on_body)),
        cse=True,
    )

    # one bump stop; its two forces are opposite and at the same place, so only the motion within the body counts
    sa, sb, gap, k3, loss = sp.symbols("sa sb gap k3 loss")
    contact = centre - body + sa * H.x + sb * H.z
    squeeze = contact.dot(B.z) - (h0 - seat + sb) - gap
    moving = velocity(contact, B)
    force = -(k * squeeze + k3 * squeeze**3) * (1 + loss * moving.dot(B.z)) * B.z
    stop_part = sp.lambdify(
        [*state, *guide, h0, seat, sa, sb, gap, k, k3, loss],
        here(sp.Matrix([force.dot(p) for p in partials(moving, B)])),
        cse=True,
    )
    return body_part, axle_part, line_part, stop_part


def accelerations(truck, state):
    """Accelerations of the coordinates; 0 for those which are not free. See the module's text for the model."""
    body_part, axle_part, line_part, stop_part = _derive()
    g = truck["gravity"]
    matrix, right = np.zeros((7, 7)), np.zeros(7)
    place_of_body = [state["x"], state["z"], state["pitch"]]
    speed_of_body = [state["x_speed"], state["z_speed"], state["pitch_speed"]]

    def add(index, part):
        matrix[np.ix_(index, index)] += np.asarray(part[0], dtype=float)
        right[index] += np.asarray(part[1], dtype=float).ravel()

    body = truck["body"]
    # the body alone does not depend on q and w: their rows are empty, so any axle's index will do
    add([0, 1, 2, 3, 4], body_part(*place_of_body, 0, 0, *speed_of_body, 0, 0, g, body["mass"], body["inertia"]))

    free = [bool(truck["x_free"]), True, True]
    for name, index in (("front", [0, 1, 2, 3, 4]), ("rear", [0, 1, 2, 5, 6])):
        axle, now = truck[name], state[name]
        free += [True, bool(axle["wind_up"])]
        w, w_speed = (now["w"], now["w_speed"]) if axle["wind_up"] else (0.0, 0.0)
        motion = [*place_of_body, now["q"], w, *speed_of_body, now["q_speed"], w_speed]
        motion += [*guide_values(axle["guide"], axle["p0"], axle["h0"], now["q"]), axle["h0"], axle["seat"]]
        tyre = axle["tyre"]
        part = axle_part(
            *motion,
            g,
            axle["mass"],
            axle["inertia"],
            *axle["cg"],
            *(tyre[key] for key in ("radius", "k", "k2", "c")),
            now["road"],
            now["road_speed"],
            *(axle[key] for key in ("T0", "kw", "cw", "F0", "kl")),
            now["friction"],
        )
        add(index, part)
        for line in axle["lines"]:
            values = [line[key] for key in ("side", "ks", "L0", "cl", "G", "kg", "Lg")]
            right[index] += line_part(*motion, line["n"], *line["body"], *line["axle"], *values).ravel()
        stop = axle["stop"]
        if stop is not None:
            values = [stop[key] for key in ("gap", "k", "k3", "loss")]
            right[index] += stop_part(*motion, *stop["at"], *values).ravel()

    free = np.array(free)
    result = np.zeros(7)
    result[free] = np.linalg.solve(matrix[np.ix_(free, free)], right[free])
    names = ("x", "z", "pitch", "front_q", "front_w", "rear_q", "rear_w")
    return {name: float(value) for name, value in zip(names, result, strict=True)}
