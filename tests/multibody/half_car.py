"""The truck in a general-purpose multi-body engine (MuJoCo, from the package registry).

The engine gets bodies, joints and masses; springs, dampers, stops and tyres are plain functions here, applied through the
engine's own Jacobians at every stage of its Runge-Kutta steps. It knows nothing of this program's kinematics, mass matrix
or force levers. The arm is a hinge at its pivot that carries the housing's hinge; the leaf's arc a link of a hundredth of a
gram with the housing held level against it; both are exact but for that mass.
"""

from math import cos, hypot, sin

import numpy as np
import pytest

from sim.describe.parts.guides.arm import Arm
from sim.kernel import layout as at

mujoco = pytest.importorskip("mujoco", reason="no wheel of the multi-body engine for this machine")
LIGHT = 1e-5  # mass of a link [kg]; a gram already shows in the fifth digit


class Engine:
    """One set-up in the engine; no leaf friction, no end bushes."""

    def __init__(self, setup, vehicle, held):
        self.setup, self.vehicle = setup, vehicle
        self.parts = dict(vehicle.axles)
        self.held = held
        body = setup.body
        children = "".join(self._axle(name) for name in ("front", "rear"))
        slide = "" if held else '<joint name="x" type="slide" axis="1 0 0"/>'
        lines = "".join(
            f'<site name="body{i}" pos="{n.line.body_forward} 0 {n.line.body_up}"/>' for i, n in enumerate(setup.lines)
        )
        text = f"""<mujoco><option integrator="RK4" gravity="0 0 {-body.gravity}"/><compiler inertiafromgeom="false"/>
        <worldbody><body name="body">{slide}<joint name="z" type="slide" axis="0 0 1"/>
        <joint name="pitch" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{body.mass}" diaginertia="{body.pitch_inertia} {body.pitch_inertia} {body.pitch_inertia}"/>
        {lines}{children}</body></worldbody></mujoco>"""
        self.model = mujoco.MjModel.from_xml_string(text)
        self.data = mujoco.MjData(self.model)
        names = ["z", "pitch", "front_guide", "front_housing", "rear_guide", "rear_housing"] + ([] if held else ["x"])
        self.address = {name: self.model.joint(name).qposadr[0] for name in names}
        self.sites = [(self.model.site(f"body{i}").id, self.model.site(f"axle{i}").id) for i in range(len(setup.lines))]
        self.housing = {name: self.model.body(f"{name}_housing").id for name in ("front", "rear")}

    def hub(self, name):
        """Where the guide's link turns (body axes), and the axle's centre, or its leaf packs' seat, from there at zero jounce."""
        axle, path, guide, place = (
            self.setup.axles[name],
            self.setup.paths[name],
            self.parts[name].guide,
            self.setup.place,
        )
        forward = place.cg_behind_front_axle - self.vehicle.axle_behind_front_m(name)
        up = axle.seat_up
        if isinstance(guide, Arm):
            pivot = place.forward(guide.pivot), place.up(guide.pivot)
        else:
            reach = guide.radius_m if guide.fixed_eye == "ahead" else -guide.radius_m
            # path_centre_above is 0 here: where the truck was measured the seat was level with its arc's middle, which stays.
            measured = dict(self.vehicle.reference.axles)[name].springs["pack"]
            above = axle.seat_above - measured.seat_above - measured.block  # by a set-up's block
            pivot = forward + reach, up - above
            assert guide.path_centre_above == 0.0
            assert path.middle == pytest.approx(-above, abs=1e-12)
            return pivot, (-np.sign(reach) * np.sqrt(reach**2 - above**2), above)
        return pivot, (forward - pivot[0], up - pivot[1])

    def _axle(self, name):
        axle = self.setup.axles[name]
        (px, pz), (dx, dz) = self.hub(name)
        inertia = axle.pitch_inertia
        sites = "".join(
            f'<site name="axle{i}" pos="{n.line.axle_forward} 0 {n.line.axle_up}"/>'
            for i, n in enumerate(self.setup.lines)
            if n.axle == name
        )
        return f"""<body name="{name}_guide" pos="{px} 0 {pz}"><joint name="{name}_guide" type="hinge" axis="0 1 0"/>
        <inertial pos="0 0 0" mass="{LIGHT}" diaginertia="1e-6 1e-6 1e-6"/>
        <body name="{name}_housing" pos="{dx} 0 {dz}"><joint name="{name}_housing" type="hinge" axis="0 1 0"/>
        <inertial pos="{axle.gravity_forward} 0 {axle.gravity_up}" mass="{axle.mass}" diaginertia="{inertia} {inertia} {inertia}"/>
        {sites}</body></body>"""

    def guide_angle(self, name, jounce):
        """The link's angle at a jounce: up = R sin(alpha - angle)."""
        _, (dx, dz) = self.hub(name)
        radius, side = hypot(dx, dz), np.sign(dx)
        return side * (np.arcsin(dz / radius) - np.arcsin((dz + jounce) / radius))

    def jounce(self, name, angle):
        """Jounce at a link's angle and its derivative."""
        _, (dx, dz) = self.hub(name)
        return dz * cos(angle) - dx * sin(angle) - dz, -dz * sin(angle) - dx * cos(angle)

    def set_state(self, state):
        q = self.data.qpos
        q[self.address["z"]], q[self.address["pitch"]] = state[at.Z], state[at.PITCH]
        for index, name in enumerate(("front", "rear")):
            angle = self.guide_angle(name, state[at.JOUNCE + 2 * index])
            wind_up = state[at.WIND_UP + 2 * index]
            level = not isinstance(self.parts[name].guide, Arm)
            q[self.address[f"{name}_guide"]] = angle
            q[self.address[f"{name}_housing"]] = wind_up - (angle if level else 0.0)

    def forces(self, model, data):
        """Add every force at one stage."""
        q, v, out = data.qpos, data.qvel, data.qfrc_passive
        heights, rates = self.road(data.time)
        for index, name in enumerate(("front", "rear")):
            axle, part = self.setup.axles[name], self.parts[name]
            g, h = self.address[f"{name}_guide"], self.address[f"{name}_housing"]
            jounce, slope = self.jounce(name, q[g])
            speed = slope * v[g]
            support = axle.leaf_preload + axle.leaf_rate * jounce
            squeeze = max(jounce - axle.stop_gap, 0.0)
            stop = max(0.0, (axle.stop_rate * squeeze + axle.stop_cubic * squeeze**3) * (1.0 + axle.stop_loss * speed))
            out[g] -= (support + stop) * slope
            level = not isinstance(part.guide, Arm)
            wind_up, turning = (q[h] + q[g], v[h] + v[g]) if level else (q[h], v[h])
            moment = axle.wind_up_preload - axle.wind_up_rate * wind_up - axle.wind_up_damping * turning
            out[h] += moment
            if level:
                out[g] += moment
            jacobian = np.zeros((3, model.nv))
            mujoco.mj_jac(model, data, jacobian, None, data.xpos[self.housing[name]], self.housing[name])
            centre = data.xpos[self.housing[name]][2]
            give, give_rate = heights[index] + axle.tyre_radius - centre, rates[index] - jacobian[2] @ v
            if give > 0.0:
                load = axle.tyre_rate * give + axle.tyre_damping * min(give / at.TYRE_DAMPING_DEPTH, 1.0) * give_rate
                out += jacobian[2] * max(load, 0.0)
        for (one, two), named in zip(self.sites, self.setup.lines, strict=True):
            line = named.line
            first, second = np.zeros((3, model.nv)), np.zeros((3, model.nv))
            mujoco.mj_jacSite(model, data, first, None, one)
            mujoco.mj_jacSite(model, data, second, None, two)
            gap = data.site_xpos[two] - data.site_xpos[one]
            length = np.sqrt(gap @ gap + line.sideways**2)
            lever = gap @ (second - first) / length
            closing = -lever @ v
            force = max(line.rate * (line.length_free - length), line.force_least)
            force += line.force_constant + line.force_rate * (line.force_length - length)
            for knot in named.knots:
                force += knot.sense * knot.slope * max(knot.sense * closing - knot.start, 0.0)
            deep, far = line.length_collapsed - length, length - line.length_extended
            force += max(0.0, line.end_rate * max(deep, 0.0) * (1.0 + line.end_loss * closing))
            force -= max(0.0, line.end_rate * max(far, 0.0) * (1.0 - line.end_loss * closing))
            out += line.number * force * lever

    def run(self, start, road, step, seconds):
        """Return time, height, pitch, jounces and wind-ups, a row a millisecond."""
        self.road = road
        self.model.opt.timestep = step
        mujoco.mj_resetData(self.model, self.data)
        self.set_state(start)
        every, rows = round(1e-3 / step), []
        mujoco.set_mjcb_passive(self.forces)
        try:
            for count in range(round(seconds / step) + 1):
                if count % every == 0:
                    rows.append(self._row())
                mujoco.mj_step(self.model, self.data)
        finally:
            mujoco.set_mjcb_passive(None)
        return np.array(rows)

    def _row(self):
        q = self.data.qpos
        row = [q[self.address["z"]], q[self.address["pitch"]]]
        for name in ("front", "rear"):
            guide, housing = q[self.address[f"{name}_guide"]], q[self.address[f"{name}_housing"]]
            level = not isinstance(self.parts[name].guide, Arm)
            row += [self.jounce(name, guide)[0], housing + (guide if level else 0.0)]
        return row
