"""A truck that drives and brakes by its own wheels, in a general-purpose multi-body engine (MuJoCo).

Beyond half_car.py it is free along the road, each axle slides along the truck where it gives, its wheels are bodies of their
own on the housing, and the engine turns about the truck's long axis. What has a memory (tread, brakes, leaf friction) is
integrated by the engine as activations, in the same Runge-Kutta steps. Every law is written here from docs/equations.md and
reads the vehicle's file, not what the program lowers it to; only what a run without wheels already needs (masses, springs,
dampers, stops) comes from there.
"""

from math import atan, cos, exp, hypot, pi, sin

import numpy as np
from scipy.optimize import fsolve

from sim.describe.parts.guides.arm import Arm
from sim.kernel import layout as at
from tests.multibody.half_car import Engine, mujoco

AXLES = ("front", "rear")
LIGHT = 1e-7  # mass of a link [kg] and its inertia [kg m²]: nothing, beside steps as fine as these
WHEELS_MASS = 90.0  # [kg] of an axle's mass: where it is counted must make no difference
QUICKEST = 0.002  # [s] in which a tread takes up slip


class Road:
    """Cubics through heights and slopes of an even grid of places (axles, 2, places), an axle at a time."""

    def __init__(self, profile, start, step):
        self.profile, self.start, self.step = profile.tolist(), start, step
        self.last = profile.shape[2] - 2

    def __call__(self, axle, x):
        """Return height [m] and slope."""
        place = (x - self.start) / self.step
        i = min(max(int(place), 0), self.last)
        u = min(max(place - i, 0.0), 1.0)
        heights, slopes = self.profile[axle]
        rise = heights[i + 1] - heights[i]
        first, second = slopes[i] * self.step, slopes[i + 1] * self.step
        height = heights[i] + u * u * (3.0 - 2.0 * u) * rise + u * (1.0 - u) * ((1.0 - u) * first - u * second)
        slope = 6.0 * u * (1.0 - u) * rise + (1.0 - u) * (1.0 - 3.0 * u) * first + u * (3.0 * u - 2.0) * second
        return height, slope / self.step


class Tread:
    """Force along the road of all tyres of an axle: D sin(C atan(B phi)), phi = (1 - E) k + (E/B) atan(B k)."""

    def __init__(self, tyre, surface):
        self.count, self.slip = tyre.count, tyre.slip
        self.friction = surface.friction
        self.scale = 1.0
        if tyre.slip.coefficients is None:
            stiffness, peak, end = tyre.slip.stiffness, surface.friction, surface.sliding

            def misses(unknown):
                shape, bend = unknown
                steep = stiffness / (shape * peak)

                def angle(slip):
                    return shape * atan(steep * slip * (1.0 - bend) + bend * atan(steep * slip))

                return angle(surface.peak_at) - 0.5 * pi, peak * sin(angle(1.0)) - end

            solution, _, found, why = fsolve(misses, (1.5, 0.5), xtol=1e-14, full_output=True)
            assert found == 1, why
            self.shape, self.bend = map(float, solution)
        else:
            self.scale = surface.friction / tyre.slip.coefficients_friction

    def at(self, load):
        """Return D [N] of the axle, B C by slip as a ratio, C and E at a load of the axle [N]."""
        if self.slip.coefficients is None:
            return self.friction * load, self.slip.stiffness / self.friction, self.shape, self.bend
        # E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421: of one tyre, its load in kN, slip in %, force in N.
        a1, a2, a3, a4, a5, a6, a7, a8 = self.slip.coefficients
        kn = load / self.count / 1e3
        peak = (a1 * kn + a2) * kn
        slope = (a3 * kn + a4) * kn * exp(-a5 * kn)  # by slip in %
        by_slip = 100.0 * slope / peak if peak > 0.0 else 100.0 * a4 / a2
        return self.scale * self.count * peak, by_slip, 1.65, (a6 * kn + a7) * kn + a8

    def force_and_rate(self, slip, load, sliding, fastest):
        """Return the force along the road [N] and the rate of slip [1/s]."""
        size, grip, shape, bend = self.at(load)
        length = max(self.slip.relaxation_length / (1.0 + grip * abs(slip)) ** 2, QUICKEST * fastest)
        rate = (sliding - fastest * slip) / length
        steep = grip / shape * (slip + self.slip.carcass_time * rate)
        return size * sin(shape * atan((1.0 - bend) * steep + bend * atan(steep))), rate


class DrivenTruck(Engine):
    """One set-up on a launch or a stop; no end bushes."""

    def __init__(self, setup, vehicle, driving, road=None):
        self.setup, self.vehicle, self.driving = setup, vehicle, driving
        self.parts = dict(vehicle.axles)
        self.road = road
        self.hubs = {name: super(DrivenTruck, self).hub(name) for name in AXLES}
        body, line = setup.body, vehicle.driveline
        hill = driving.climb_rad
        sites = "".join(
            f'<site name="body{i}" pos="{n.line.body_forward} 0 {n.line.body_up}"/>' for i, n in enumerate(setup.lines)
        )
        tendons = "".join(
            f'<spatial name="line{i}"><site site="body{i}"/><site site="axle{i}"/></spatial>'
            for i in range(len(setup.lines))
        )
        pushes = "".join(f'<general name="line{i}" tendon="line{i}" gainprm="1"/>' for i in range(len(setup.lines)))
        memories = "".join(
            f'<general name="{what}_{name}" joint="z" dyntype="user" actdim="1" gainprm="0"/>'
            for what in ("slip", "brake", "friction")
            for name in AXLES
        )
        inertia = line.engine.inertia
        text = f"""<mujoco><option integrator="RK4" gravity="{-body.gravity * sin(hill)} 0 {-body.gravity * cos(hill)}">
        <flag contact="disable"/></option><compiler inertiafromgeom="false"/><worldbody>
        <body name="engine"><joint name="engine" type="hinge" axis="1 0 0"/>
        <inertial pos="0 0 0" mass="1" diaginertia="{inertia} {inertia} {inertia}"/></body>
        <body name="body"><joint name="x" type="slide" axis="1 0 0"/><joint name="z" type="slide" axis="0 0 1"/>
        <joint name="pitch" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{body.mass}" diaginertia="{body.pitch_inertia} {body.pitch_inertia} {body.pitch_inertia}"/>
        {sites}{"".join(self._axle(name) for name in AXLES)}</body></worldbody>
        <tendon>{tendons}</tendon><actuator>{pushes}{memories}</actuator></mujoco>"""
        self.model = mujoco.MjModel.from_xml_string(text)
        self.data = mujoco.MjData(self.model)
        self.address = {self.model.joint(i).name: self.model.joint(i).qposadr[0] for i in range(self.model.njnt)}
        self.wheels = [self.model.body(f"{name}_wheels").id for name in AXLES]
        self.treads = [Tread(self.parts[name].tyre, driving.surface) for name in AXLES]
        self.springs = [self._springs(name) for name in AXLES]
        self.carriers = [self._carrier(self.parts[name]) for name in AXLES]
        self.lines = [
            (n.line, [(k.sense, k.start, k.slope) for k in n.knots], n.line.end_rate > 0.0) for n in setup.lines
        ]
        assert all(n.line.bush_give == 0.0 for n in setup.lines)
        assert all(a.stop_forward == a.stop_up + a.seat_above == 0.0 for a in setup.axles.values())
        engine = line.engine
        points = [(p.speed, p.torque) for p in engine.torque if p.speed < engine.limit]
        last = float(np.interp(engine.limit, *zip(*[(p.speed, p.torque) for p in engine.torque], strict=True)))
        self.curve = tuple(zip(*points, (engine.limit, last), (1.03 * engine.limit, 0.0), strict=True))
        self.memory_rates = [0.0] * 6
        self.lines_number = len(setup.lines)

    def hub(self, name):
        """As in half_car.py, kept: it is asked for at every stage."""
        return self.hubs[name]

    def _axle(self, name):
        """An axle as in half_car.py, its guide sliding along the truck and its wheels a body of their own."""
        axle, part = self.setup.axles[name], self.parts[name]
        (px, pz), (dx, dz) = self.hub(name)
        housing = axle.mass - WHEELS_MASS
        # The housing is jointed at its seat; its wheels are below that.
        hub = -axle.seat_above
        forward = axle.gravity_forward * axle.mass / housing
        up = (axle.gravity_up * axle.mass - hub * WHEELS_MASS) / housing
        # About its own centre of gravity, so that with the wheels' mass the axle's inertia is what the file says.
        inertia = (
            axle.pitch_inertia
            - WHEELS_MASS * (axle.gravity_forward**2 + (hub - axle.gravity_up) ** 2)
            - housing * ((forward - axle.gravity_forward) ** 2 + (up - axle.gravity_up) ** 2)
        )
        spin = part.tyre.count * part.tyre.spin_inertia
        slide = f'<joint name="{name}_shift" type="slide" axis="1 0 0"/>' if part.fore_and_aft else ""
        sites = "".join(
            f'<site name="axle{i}" pos="{n.line.axle_forward} {n.line.sideways} {n.line.axle_up}"/>'
            for i, n in enumerate(self.setup.lines)
            if n.axle == name
        )
        return f"""<body name="{name}_guide" pos="{px} 0 {pz}">{slide}<joint name="{name}_guide" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{LIGHT}" diaginertia="{LIGHT} {LIGHT} {LIGHT}"/>
        <body name="{name}_housing" pos="{dx} 0 {dz}"><joint name="{name}_housing" type="hinge" axis="0 1 0"/>
        <inertial pos="{forward} 0 {up}" mass="{housing}" diaginertia="{inertia} {inertia} {inertia}"/>{sites}
        <body name="{name}_wheels" pos="0 0 {hub}"><joint name="{name}_wheels" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{WHEELS_MASS}" diaginertia="{spin} {spin} {spin}"/></body></body></body>"""

    def _springs(self, name):
        """Return an axle's rate against wind-up and its coupling with jounce, of its packs' halves as cantilevers."""
        part, axle = self.parts[name], self.setup.axles[name]
        if part.guide.wind_up.rate != "from_leaves":
            return part.guide.wind_up.rate, 0.0
        (pack,) = part.springs.values()
        a, b, rate = pack.halves.ahead, pack.halves.behind, axle.leaf_rate
        ahead = rate * b**3 / (a**3 + b**3)
        behind = rate - ahead
        return a * a * ahead + b * b * behind, b * behind - a * ahead

    def _carrier(self, part):
        """Return rate and damping of the brakes' give: a fifth of critical for the wheels on it."""
        rate = part.brakes.torque / part.brakes.give
        return rate, 0.4 * (rate * part.tyre.count * part.tyre.spin_inertia) ** 0.5

    def controls(self, time):
        """Return throttle and the share of the pedal at a time."""
        d = self.driving
        throttle = d.throttle * min(max((time - d.throttle_from_s) / d.throttle_rise_s, 0.0), 1.0)
        if d.held:
            return throttle, max(1.0 - time / d.brakes_off_s, 0.0)
        return throttle, d.pedal * min(max((time - d.pedal_from_s) / d.pedal_rise_s, 0.0), 1.0)

    def set_state(self, state):
        """Put the engine where the program starts: only motion without wheels, slip, brakes and friction count."""
        q, v, act, address = self.data.qpos, self.data.qvel, self.data.act, self.address
        super().set_state(state)
        q[address["x"]], v[address["x"]] = state[at.X], state[at.COORDINATES + at.X]
        for index, name in enumerate(AXLES):
            if f"{name}_shift" in address:
                q[address[f"{name}_shift"]] = state[at.SHIFT + index]
            v[address[f"{name}_wheels"]] = state[at.SPIN + index]
            act[index], act[2 + index] = state[at.SLIP + index], state[at.BRAKE + index]
            act[4 + index] = state[at.FRICTION + index]

    def forces(self, model, data):
        """Set every force at one stage, and the rates of what has a memory."""
        q, v, act, address = data.qpos.tolist(), data.qvel.tolist(), data.act.tolist(), self.address
        out = [0.0] * len(v)
        throttle, pedal = self.controls(data.time)
        line = self.vehicle.driveline
        e = address["engine"]
        out[e] = throttle * float(np.interp(max(v[e], line.engine.idle), *self.curve))
        for index, name in enumerate(AXLES):
            axle, part = self.setup.axles[name], self.parts[name]
            g, h, w = (address[f"{name}_{joint}"] for joint in ("guide", "housing", "wheels"))
            # Vertical springs and the moment against wind-up.
            jounce, slope = self.jounce(name, q[g])
            speed = slope * v[g]
            level = not isinstance(part.guide, Arm)
            wind_up, turning = (q[h] + q[g], v[h] + v[g]) if level else (q[h], v[h])
            rate, coupling = self.springs[index]
            friction = act[4 + index]
            self.memory_rates[4 + index] = (speed * axle.friction - abs(speed) * friction) * axle.friction_build_up
            support = axle.leaf_preload + axle.leaf_rate * jounce + friction + coupling * wind_up
            # It meets the axle at its centre, which swings about the seat.
            met = axle.stop_up * cos(wind_up) - axle.stop_up
            squeeze = max(jounce + met - axle.stop_gap, 0.0)
            assert squeeze == 0.0 or axle.seat_above == 0.0
            stop = max(0.0, (axle.stop_rate * squeeze + axle.stop_cubic * squeeze**3) * (1.0 + axle.stop_loss * speed))
            out[g] -= (support + stop) * slope
            moment = axle.wind_up_preload - rate * wind_up - part.guide.wind_up.damping * turning - coupling * jounce
            out[h] += moment
            if level:
                out[g] += moment
            if part.fore_and_aft:
                s = address[f"{name}_shift"]
                # What holds it where the truck was measured, against the lean of its springs.
                out[s] += axle.shift_preload - part.fore_and_aft.rate * q[s] - part.fore_and_aft.damping * v[s]
            # Shafts and brakes between wheels and housing: that is what the wheels' own joint measures.
            torque = 0.0
            if self.driving.in_gear and line.drives(name):
                ratio = line.gear * line.transfer * part.shafts.final_drive
                torque = part.shafts.rate * (q[e] / ratio - q[w]) + part.shafts.damping * (v[e] / ratio - v[w])
                out[e] -= torque / ratio
            # The carrier gives as the disc turns, unless it takes more than the pedal's friction to hold it so.
            faces, (stiffness, damping) = pedal * part.brakes.torque, self.carriers[index]
            held = stiffness * act[2 + index] + damping * v[w]
            brake = float(np.clip(held, -faces, faces))
            self.memory_rates[2 + index] = v[w] if brake == held else (brake - stiffness * act[2 + index]) / damping
            out[w] += torque - brake
            # The road, at the wheels' centre.
            body = self.wheels[index]
            motion = np.zeros(6)
            mujoco.mj_objectVelocity(model, data, mujoco.mjtObj.mjOBJ_BODY, body, motion, 0)
            _, spin, _, forwards, _, upwards = motion.tolist()
            x, _, z = data.xpos[body].tolist()
            height, tilt = self.road(index, x) if self.road else (0.0, 0.0)
            give = max(height + part.tyre.radius - z, 0.0)
            share = min(give / at.TYRE_DAMPING_DEPTH, 1.0)
            load = (axle.tyre_rate + axle.tyre_rate_rise * give) * give
            load = max(load + axle.tyre_damping * share * (tilt * forwards - upwards), 0.0)
            rolling = part.tyre.radius - part.tyre.rolling_share * give
            root = hypot(1.0, tilt)
            along = (forwards + tilt * upwards) / root
            tread = rolling * spin
            traction, slip_rate = self.treads[index].force_and_rate(
                act[index], load, tread - along, max(abs(along), abs(tread))
            )
            self.memory_rates[index] = slip_rate
            data.xfrc_applied[body] = (
                traction / root - load * tilt, 0.0, load + traction * tilt / root, 0.0, -traction * rolling, 0.0,
            )  # fmt: skip
        data.qfrc_passive[:] += out
        lengths, rates = data.ten_length.tolist(), data.ten_velocity.tolist()
        pushes = [
            own.number * self._push(own, knots, ends, length, -rate)
            for (own, knots, ends), length, rate in zip(self.lines, lengths, rates, strict=True)
        ]
        data.ctrl[: len(pushes)] = pushes

    @staticmethod
    def _push(own, knots, ends, length, closing):
        """Return what one line pushes its ends apart with [N]."""
        force = max(own.rate * (own.length_free - length), own.force_least)
        force += own.force_constant + own.force_rate * (own.force_length - length)
        for sense, start, slope in knots:
            force += sense * slope * max(sense * closing - start, 0.0)
        if ends:
            deep, far = max(own.length_collapsed - length, 0.0), max(length - own.length_extended, 0.0)
            force += max(0.0, own.end_rate * deep * (1.0 + own.end_loss * closing))
            force -= max(0.0, own.end_rate * far * (1.0 - own.end_loss * closing))
        return force

    def _rate(self, model, data, number):
        return self.memory_rates[number - self.lines_number]

    def accelerations(self, start):
        """Return all accelerations and the rates of memories in a state of the program."""
        mujoco.mj_resetData(self.model, self.data)
        self.set_state(start)
        self._call(lambda: mujoco.mj_forward(self.model, self.data))
        return np.concatenate([self.data.qacc, self.memory_rates])

    def run(self, start, step, seconds):
        """Return what is compared, a row a millisecond: see `CHANNELS`."""
        self.model.opt.timestep = step
        mujoco.mj_resetData(self.model, self.data)
        self.set_state(start)
        every, rows = round(1e-3 / step), []

        def steps():
            for count in range(round(seconds / step) + 1):
                if count % every == 0:
                    rows.append(self._row())
                mujoco.mj_step(self.model, self.data)

        self._call(steps)
        return np.array(rows)

    def _call(self, work):
        mujoco.set_mjcb_passive(self.forces)
        mujoco.set_mjcb_act_dyn(self._rate)
        try:
            work()
        finally:
            mujoco.set_mjcb_passive(None)
            mujoco.set_mjcb_act_dyn(None)

    def _row(self):
        q, v, address = self.data.qpos, self.data.qvel, self.address
        height, pitch, *axles = super()._row()
        turn = v[address["pitch"]]
        spins = [turn + sum(v[address[f"{n}_{j}"]] for j in ("guide", "housing", "wheels")) for n in AXLES]
        shifts = [q[address[f"{n}_shift"]] if f"{n}_shift" in address else 0.0 for n in AXLES]
        return [q[address["x"]], v[address["x"]], height, pitch, *axles, *shifts, *spins, v[address["engine"]]]


CHANNELS = (
    "distance", "speed", "height", "pitch", "front jounce", "front wind-up", "rear jounce", "rear wind-up",
    "front shift", "rear shift", "front wheels", "rear wheels", "engine",
)  # fmt: skip
