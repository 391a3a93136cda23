"""Channels of one run, part by part: dampers, axles, driven wheels, and the balance of its energy.

Signs are those of `result`.
"""

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from sim.describe.parts.dampers.laws import Law

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class DamperTrace:
    """One damper of a set of `count`, all alike; speed and force are positive in compression.

    Attributes
    ----------
    axle, name : str
        "front" or "rear", and the set's name in the vehicle file.
    count : int
        Dampers in the set.
    length_m : (n,) array
        Length eye to eye [m].
    speed_m_per_s : (n,) array
        Closing speed [m/s].
    force_n : (n,) array
        Force of one damper [N] with gas and hard ends; positive pushes its ends apart.
    length_rest_m : float
        Length where the set-up stands [m].
    length_collapsed_m, length_extended_m : float or None
        Length fully in and fully out [m]; None if the file does not say.
    law : Law
        The law it is valved to; `law.force(speed)` draws its curve.
    """

    axle: str
    name: str
    count: int
    length_m: Array
    speed_m_per_s: Array
    force_n: Array
    length_rest_m: float
    length_collapsed_m: float | None
    length_extended_m: float | None
    valving: Law


@dataclass(frozen=True)
class AxleTrace:
    """One axle: its travel, loads and dampers; forces are of both sides together.

    Attributes
    ----------
    jounce_m : (n,) array
        Upward travel from the measured ride height [m].
    wind_up_rad : (n,) array
        Elastic turn of the housing [rad], pinion-up positive.
    tyre_load_n : (n,) array
        Vertical load of all its tyres [N]; zero off the ground.
    wheel_height_m : (n,) array
        Height of the axle's centre above where it stood [m].
    road_height_m : (n,) array
        Road under the axle as its tyres feel it [m].
    stop_force_n, strap_force_n : (n,) array
        Push of the bump stops, pull of the limit straps [N]; zero when apart or slack.
    spring_force_n : (n,) array
        Support of the body by the springs, leaf friction included [N].
    jounce_rest_m : float
        Jounce where the set-up stands [m].
    jounce_at_stop_m, jounce_full_m : float or None
        Jounce where the stops are met and where they are fully squeezed [m]; None without stops.
    jounce_at_strap_m : float or None
        Jounce where the straps are just taut [m]; None without straps, or if they never are.
    tyre_load_rest_n : float
        Load of all its tyres where the set-up stands [N].
    dampers : dict of str to DamperTrace
        Its damper sets by name.
    link_force_n : (n,) array or None
        Pull of the wind-up link [N], negative pushes; zero without one.
    give_m : (n,) array or None
        Of the axle along the truck on its eyes and bushes, forwards [m]; None where its file gives it none.
    """

    jounce_m: Array
    wind_up_rad: Array
    tyre_load_n: Array
    wheel_height_m: Array
    road_height_m: Array
    stop_force_n: Array
    strap_force_n: Array
    spring_force_n: Array
    jounce_rest_m: float
    jounce_at_stop_m: float | None
    jounce_full_m: float | None
    jounce_at_strap_m: float | None
    tyre_load_rest_n: float
    dampers: dict[str, DamperTrace]
    link_force_n: Array | None = None
    give_m: Array | None = None

    def body_rise_m(self, first: int = 0) -> Array:
        """Return how far the body is above where it stood over the axle, from a sample on (n - first,) [m].

        What a tape from hub to arch and one from hub to ground would say. Jounce is along the guide, in body axes, so this misses the
        axle's depth below the centre of gravity times (1 - cos pitch): 0.1 mm in 0.6 m at one degree.
        """
        return self.wheel_height_m[first:] - (self.jounce_m[first:] - self.jounce_rest_m)


@dataclass(frozen=True)
class WheelTrace:
    """Wheels, shafts and brakes of one axle in a run that drives or brakes; forwards is positive.

    Attributes
    ----------
    spin_rad_per_s : (n,) array
        Speed of its wheels [rad/s].
    slip : (n,) array
        (rolling radius x spin - speed) over the greater of the two: 1 spins on the spot, -1 is locked and slides.
    traction_n : (n,) array
        Force of its tyres along the road [N].
    shaft_torque_n_m, brake_torque_n_m : (n,) array
        Moment of the shafts on its wheels, and of the brakes against them [N m].
    housing_torque_n_m : (n,) array
        Moment of both on the housing, pinion upwards [N m].
    shift_m : (n,) array
        Of the axle along the truck on its eyes and bushes [m].
    joint_at_gearbox_rad, joint_at_pinion_rad : (n,) array or None
        Angles of its propshaft's joints [rad]; None if the file does not say where they are.
    """

    spin_rad_per_s: Array
    slip: Array
    traction_n: Array
    shaft_torque_n_m: Array
    brake_torque_n_m: Array
    housing_torque_n_m: Array
    shift_m: Array
    joint_at_gearbox_rad: Array | None = None
    joint_at_pinion_rad: Array | None = None


@dataclass(frozen=True)
class DriveTrace:
    """What a run that drives or brakes has beyond others.

    Attributes
    ----------
    distance_m, speed_m_per_s : (n,) array
        Of the body's centre of gravity along the road.
    engine_rad_per_s, engine_torque_n_m : (n,) array
        Of the engine; zero torque in neutral.
    front, rear : WheelTrace
        The axles' wheels.
    pedal_s : float
        When the throttle or the pedal begins to go down [s].
    goal_m_per_s : float or None
        Speed to which time and distance are wanted [m/s].
    in_gear : bool
        Whether the engine drives.
    """

    distance_m: Array
    speed_m_per_s: Array
    engine_rad_per_s: Array
    engine_torque_n_m: Array
    front: WheelTrace
    rear: WheelTrace
    pedal_s: float
    goal_m_per_s: float | None
    in_gear: bool


@dataclass(frozen=True)
class Energy:
    """Balance of a run: work in = stored change + dissipated + residual [J].

    Attributes
    ----------
    work_in_j : float
        Work of the road and of a push.
    stored_change_j : float
        Kinetic and potential energy at the end less at the beginning.
    dissipated_j : dict of str to float
        Loss by kind of part: dampers, tyres, stops and ends, leaf friction, wind-up.
    residual_j : float
        What the balance leaves open: the integrator's error.
    swing_j : float
        Largest kinetic energy of the body on the way: what a run without losses passes to and fro.
    """

    work_in_j: float
    stored_change_j: float
    dissipated_j: dict[str, float]
    residual_j: float
    swing_j: float = 0.0

    @property
    def residual_share(self) -> float:
        """Residual as a share of the energy that went through the run."""
        lost = sum(map(abs, self.dissipated_j.values()))
        # Of whichever is largest: nothing works on a truck that drops, and one without dampers loses next to nothing.
        scale = max(abs(self.work_in_j), abs(self.stored_change_j), lost, self.swing_j)
        return abs(self.residual_j) / scale if scale > 1e-9 else 0.0  # nothing moved, nothing to balance
