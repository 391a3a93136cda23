"""The same equations integrated by SciPy's DOP853 at tight tolerance, on the road's own rates: a reference for the
integrator, its steps, its sampled roads and its reduced end bushes (not for the equations themselves)."""

import itertools
from bisect import bisect_left, bisect_right
from dataclasses import replace

import numpy as np
from scipy.integrate import solve_ivp

from sim.describe.parts.dampers import ramps
from sim.integrate.given import road_profile
from sim.integrate.single import start_state, with_plan
from sim.kernel import layout as at
from sim.lower.lowering import lower
from sim.lower.rest import Equations, Under, rest
from sim.lower.road.samples import BEFORE, cubics


class Curve:
    """A damper's ramps as a broken line that can be read both ways: the full pair needs speed from force."""

    def __init__(self, knots):
        starts = sorted({k.sense * k.start for k in knots} | {0.0})
        ends = np.array([starts[0] - 100.0, *starts, starts[-1] + 100.0])
        self.speeds = ends.tolist()
        self.forces = (ramps.force(tuple(knots), ends) if knots else ends * 0.0).tolist()
        self.none = not knots

    def speed(self, force):
        if self.none:
            return 0.0
        if not self.forces[0] < force < self.forces[-1]:
            return self.speeds[0 if force <= self.forces[0] else -1]
        i = bisect_right(self.forces, force) - 1
        share = (force - self.forces[i]) / (self.forces[i + 1] - self.forces[i])
        return self.speeds[i] + share * (self.speeds[i + 1] - self.speeds[i])

    def slope(self, speed):
        if self.none:
            return 0.0
        i = min(max(bisect_left(self.speeds, speed) - 1, 0), len(self.speeds) - 2)
        return (self.forces[i + 1] - self.forces[i]) / (self.speeds[i + 1] - self.speeds[i])


class Felt:
    """A road's cubics read one place at a time, as an integrator of one state does: arrays of one take ten times as long."""

    def __init__(self, curve):
        self.x, self.z, self.slope = (values.tolist() for values in (curve.x, curve.z, curve.slope))

    def at(self, x):
        """Return height [m] and slope at a place [m]: level outside the nodes."""
        inside = min(max(x, self.x[0]), self.x[-1])
        i = min(max(bisect_right(self.x, inside) - 1, 0), len(self.x) - 2)
        span, rise = self.x[i + 1] - self.x[i], self.z[i + 1] - self.z[i]
        if span == 0.0:
            return self.z[i], 0.0
        t, first, last = (inside - self.x[i]) / span, self.slope[i] * span, self.slope[i + 1] * span
        second, third = 3.0 * rise - 2.0 * first - last, first + last - 2.0 * rise
        height = self.z[i] + t * (first + t * (second + t * third))
        return height, (first + t * (2.0 * second + t * 3.0 * third)) / span if inside == x else 0.0


class Reference:
    """One set-up over one run by DOP853."""

    def __init__(self, vehicle, run, rtol=1e-10, gravity=None):
        setup = lower(vehicle) if gravity is None else lower(vehicle, gravity)
        self.plan = run.plan(setup)
        self.setup = with_plan(setup, self.plan)
        self.vehicle = vehicle
        self.standing = rest(self.setup)
        self.start = start_state(self.setup, self.plan, self.standing)
        self.equations = Equations(self.setup)
        self.lines = len(self.setup.lines)
        self.rtol = rtol
        self.curves = [Curve(line.knots) for line in self.setup.lines]
        self.profiles = None
        if self.plan.course is not None:
            self.profiles = [
                Felt(road_profile(self.plan.course, axle.tyre.radius, axle.tyre.contact_length).curve)
                for _, axle in vehicle.axles
            ]
            self.behind = [vehicle.axle_behind_front_m(name) for name, _ in vehicle.axles]

    def road(self, time):
        if self.profiles is None:
            return np.zeros(2), np.zeros(2)
        speed = self.plan.speed_m_per_s
        heights, rates = np.zeros(2), np.zeros(2)
        for index, (profile, behind) in enumerate(zip(self.profiles, self.behind, strict=True)):
            heights[index], slope = profile.at(float(speed * time - self.plan.lead_m - behind))
            rates[index] = speed * slope
        return heights, rates

    def under(self, time, state):
        """A road that pushes back, as straight lines about where the wheels of a state are: spaced by a metre."""
        speed, beside = self.plan.speed_m_per_s, 3
        lines = np.empty((2, 2 * beside + 1))
        slopes = np.empty((2, 2 * beside + 1))
        for index, (name, path) in enumerate(self.setup.paths.items()):
            axle = self.setup.axles[name]
            jounce, pitch = state[at.JOUNCE + 2 * index], state[at.PITCH]
            forward = float(path.at(float(jounce))[0]) + state[at.SHIFT + index]
            off = state[at.X] + forward * np.cos(pitch) + (axle.seat_up + jounce) * np.sin(pitch) - axle.centre_forward
            place = speed * time - self.plan.lead_m - self.behind[index] + off
            height, slopes[index] = self.profiles[index].at(float(place))
            lines[index] = height + slopes[index] * (np.arange(-beside, beside + 1) - off)
        return Under(cubics(lines, slopes), float(beside + BEFORE), 1.0, speed)

    def derivative(self, time, state, speeds):
        if self.profiles is not None and self.plan.pushes_back:
            return self.equations.derivative(state, push=self.push(time), pair=speeds, road=self.under(time, state))
        return self.equations.derivative(state, *self.road(time), self.push(time), speeds)

    def push(self, time):
        return float(self.plan.push.at(np.array([time]))[0]) if self.plan.push else 0.0

    def rhs(self, time, y):
        state = np.zeros(at.STATES)
        state[: at.MOTION] = y[: at.MOTION]
        pair = y[at.MOTION :]
        speeds = np.array([c.speed(f) for c, f in zip(self.curves, pair, strict=True)])
        d = self.derivative(time, state, speeds)
        slopes = np.array([c.slope(u) for c, u in zip(self.curves, speeds, strict=True)])
        return np.concatenate([d[: at.MOTION], self.equations.pair_rate * slopes])

    def solve(self, times, pieces=()):
        """Return states (n, MOTION + lines) at the given times; integration starts afresh at `pieces`."""
        y = np.concatenate([self.start[: at.MOTION], np.zeros(self.lines)])
        bounds = [times[0], *[p for p in pieces if times[0] < p < times[-1]], times[-1]]
        out = np.empty((len(times), y.size))
        for begin, end in itertools.pairwise(bounds):
            inside = (times >= begin) & (times <= end)
            wanted = times[inside]
            asked = wanted if wanted.size and wanted[-1] == end else np.append(wanted, end)
            found = solve_ivp(self.rhs, (begin, end), y, "DOP853", asked, rtol=self.rtol, atol=1e-11, max_step=0.02)
            assert found.success, found.message
            out[inside] = found.y[:, : wanted.size].T
            y = found.y[:, -1]
        return out

    def loads_and_acceleration(self, times, states):
        """Return tyre loads (n, 2) and the upward acceleration of the centre of gravity (n,)."""
        loads, up = np.empty((len(times), 2)), np.empty(len(times))
        for i, (time, y) in enumerate(zip(times, states, strict=True)):
            state = np.zeros(at.STATES)
            state[: at.MOTION] = y[: at.MOTION]
            speeds = np.array([c.speed(f) for c, f in zip(self.curves, y[at.MOTION :], strict=True)])
            up[i] = self.derivative(time, state, speeds)[at.COORDINATES + at.Z]
            loads[i] = self.equations.tyre_loads()
        return loads, up


def without_bushes(vehicle):
    """Return a set-up with rigid damper ends."""
    changes = {
        f"{name}.dampers.{key}.bush_rate": "none"
        for name, axle in vehicle.axles
        for key, damper in axle.dampers.items()
        if damper.bush_rate is not None
    }
    return vehicle.changed(changes) if changes else vehicle


__all__ = ["Reference", "replace", "without_bushes"]
