"""What a run gives back: named channels in SI with their signs, energy, and its status.

A result never comes without its status: `flags` says where a run left what the model is valid for.

Signs, the same everywhere: up is positive; jounce (bump travel) is positive and measured from the
ride height of the truck as measured, not from where the set-up stands; pitch is nose-up positive;
wind-up is pinion-up positive; damper speed and force are positive in compression.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.in_html import html_table
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import show
from sim.integrate.columns import columns

Array = npt.NDArray[np.float64]

IN_WORDS = {
    "damper_end": "{part} met its {end} end",
    "no_strap": "{part} holds the hanging axle, no strap does",
    "cavitation": "{part} drew gas bubbles into its oil",
    "coil_bind": "{part} went solid",
    "stop_full": "{part} squeezed flat",
    "on_stops": "{part} stands on its bump stops",
    "wheels_up": "{part} in the air at rest",
    "not_run": "the run could not be made",
    "pitch_range": "body pitched further than the model holds",
    "jounce_range": "{part} left the range of its guide",
    "not_finite": "the run blew up",
    "numerical": "energy balance does not close",
    "hot": "{part} has too hot oil",
    "cold": "{part} has too cold oil",
}
"""What tables say of each kind of flag; its sentence has the rest. The order is that in which they count."""


@dataclass(frozen=True)
class Flag:
    """Where and when a run left the model's validity, and what that means.

    Attributes
    ----------
    kind : str
        One of IN_WORDS; hot and cold are of hours of track, no_strap is of a set-up at rest.
    time_s : float or None
        When it first happened [s]; None if it is of the run as a whole.
    part : str
        What it happened to, in words: "front damper 'main'", "body".
    sentence : str
        What happened, what it means and what to try.
    past_m : float
        How far a length went past its limit [m]; 0 for the others.
    end : str
        Which end of a damper: "collapsed" or "extended"; empty for the others.
    """

    kind: str
    time_s: float | None
    part: str
    sentence: str
    past_m: float = 0.0
    end: str = ""

    @property
    def words(self) -> str:
        """The fault in a few words, for a cell of a table."""
        return IN_WORDS[self.kind].format(part=self.part, end=self.end or "stroke's")

    @property
    def fault(self) -> tuple[str, str, str]:
        """What tells one fault of a truck from another: kind, part and end."""
        return self.kind, self.part, self.end


def in_words(flags: Iterable[Flag]) -> str:
    """Return what flags say in a few words each, every fault once; empty if there are none."""
    return "; ".join(dict.fromkeys(flag.words for flag in flags))


def once(flags: Iterable[Flag]) -> tuple[Flag, ...]:
    """Return one flag of each fault, in the order in which they came: the one farthest past its limit."""
    known: dict[tuple[str, str, str], Flag] = {}
    for flag in flags:
        # Of equals the first: a kind without a length has its earliest.
        before = known.setdefault(flag.fault, flag)
        if flag.past_m > before.past_m:
            known[flag.fault] = flag
    return tuple(known.values())


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
        scale = max(abs(self.work_in_j), abs(self.stored_change_j), lost, self.swing_j)
        return abs(self.residual_j) / scale if scale > 1e-9 else 0.0  # nothing moved, nothing to balance


@dataclass(frozen=True)
class Run:
    """One set-up over one run; all arrays share `time_s` (n,).

    A run that blew up is flagged `not_finite` and its arrays end there.

    Attributes
    ----------
    setup : str
        The set-up's name.
    vehicle : Vehicle
        The truck as set up.
    run : AnyRun
        Course, push, drop or release.
    time_s : (n,) array
        Evenly spaced from zero [s].
    bounce_m : (n,) array
        Centre of gravity of the body above where it stood [m].
    pitch_nose_up_rad : (n,) array
        Pitch from where it stood [rad].
    acceleration_m_per_s2 : dict of str to (n,) array
        Vertical acceleration, upward, at named points of the body [m/s²]; zero at rest. Always
        holds 'centre of gravity'.
    front, rear : AxleTrace
        The axles.
    energy : Energy
        The balance of the run.
    flags : tuple of Flag
        Where it left the model's validity; empty if it did not.
    released_s : float
        From here on nothing disturbs the truck [s].
    speed_m_per_s : float
        Held road speed [m/s]; zero for runs on the spot.
    acceleration_forward_m_per_s2 : dict of str to (n,) array
        Forward acceleration at the same points [m/s²], level with the road: the truck's own and, above or below the centre
        of gravity, what pitching adds. At a held speed the latter alone. Gravity is not in it.
    pitch_acceleration_rad_per_s2 : (n,) array
        Of the body, nose-up [rad/s²].
    driver_force_n : (n,) array
        Force forwards on the body that holds the speed [N]; empty where it was not kept.
    gained_m, gained_m_per_s : (n,) array
        How far and how fast the body is ahead of the run's speed [m], [m/s]: zero with an ideal driver. Empty where not kept.
    pushes_back : bool
        Whether the road was read where the wheels really are and bumps push back as well as up.
    surges : bool
        Whether the body can move to and fro along the road: not with an ideal driver.
    coasts : bool
        Whether nothing holds the speed.
    rests_within : mapping of str to float, or None
        Half of the band in which each motion of the body counts as at rest [m], [rad], where set-ups are compared; None: by itself.
    height_rest_m, nose_up_rest_rad : float
        Centre of gravity of the body above level ground, and its pitch from the truck as measured, where it stood [m], [rad].
    coarse : Run or None
        The same run at twice the step, at the same times: the difference is the numerical error of
        every measure. None in the coarse one itself.
    drive : DriveTrace or None
        Wheels, engine and way of a run that drives or brakes by its own wheels.
    """

    setup: str
    vehicle: Vehicle
    run: AnyRun
    time_s: Array
    bounce_m: Array
    pitch_nose_up_rad: Array
    acceleration_m_per_s2: dict[str, Array]
    front: AxleTrace
    rear: AxleTrace
    energy: Energy
    flags: tuple[Flag, ...]
    released_s: float
    speed_m_per_s: float
    coarse: "Run | None" = None
    drive: DriveTrace | None = None
    acceleration_forward_m_per_s2: dict[str, Array] = field(default_factory=dict)
    pitch_acceleration_rad_per_s2: Array = field(default_factory=lambda: np.zeros(0))
    driver_force_n: Array = field(default_factory=lambda: np.zeros(0))
    gained_m: Array = field(default_factory=lambda: np.zeros(0))
    gained_m_per_s: Array = field(default_factory=lambda: np.zeros(0))
    pushes_back: bool = False
    surges: bool = False
    coasts: bool = False
    height_rest_m: float = 0.0
    nose_up_rest_rad: float = 0.0
    rests_within: Mapping[str, float] | None = None

    @property
    def distance_m(self) -> Array:
        """Way that the body has gone [m] (n,)."""
        if self.drive is not None:
            return self.drive.distance_m
        nominal = self.time_s * self.speed_m_per_s
        return nominal + self.gained_m if self.gained_m.size else nominal

    @property
    def axles(self) -> tuple[tuple[str, AxleTrace], tuple[str, AxleTrace]]:
        """Both axles with their names."""
        return ("front", self.front), ("rear", self.rear)

    def __repr__(self) -> str:
        """Return what it is in one line: all of its arrays would be thousands."""
        return f"<Run {self._words}>"

    def _repr_html_(self) -> str:
        """Return it as notebooks show it: extremes of what most people ask for."""
        rows = []
        for name, axle in self.axles:
            rows += [
                _extremes(f"{name} axle travel, bump +", axle.jounce_m, "length"),
                _extremes(f"{name} tyre load", axle.tyre_load_n, "force"),
                *(
                    _extremes(f"{name} damper '{d.name}' speed, compression +", d.speed_m_per_s, "speed")
                    for d in axle.dampers.values()
                ),
            ]
        rows += [
            _extremes(f"acceleration up, {point}", values, "acceleration")
            for point, values in self.acceleration_m_per_s2.items()
        ]
        said = [f"FLAGGED: {flag.sentence}" for flag in self.flags]
        return html_table(f"Run {self._words}", said, ("", "least", "most"), rows)

    @property
    def _words(self) -> str:
        lasts = f"{self.time_s[-1]:.2f} s, {self.time_s.size} outputs" if self.time_s.size else "no outputs"
        of = self.run.words or self.run.kind
        return f"'{self.setup}', {of}: {lasts}" + (f", FLAGGED: {in_words(self.flags)}" if self.flags else "")

    def to_dataframe(self) -> Any:
        """Return its channels as a pandas DataFrame, time in seconds as its index.

        Columns are in SI and named as the run's own fields: `bounce_m`, `front.tyre_load_n`, `rear.dampers.main.force_n`.

        Raises
        ------
        ImportError
            If pandas is not installed: it is not needed for anything else.
        """
        try:
            import pandas
        except ImportError:
            raise ImportError("a table of a run needs pandas, which is not installed: pip install pandas") from None
        channels = {"distance_m": self.distance_m, **dict(columns(self, self.time_s.size))}
        time = channels.pop("time_s")
        return pandas.DataFrame(channels, index=pandas.Index(time, name="time_s"))


def _extremes(label: str, values: Array, quantity: str) -> tuple[str, str, str]:
    """Return a row of a table: least and most of a channel in people's units."""
    known = values[np.isfinite(values)]
    return (
        (label, show(float(known.min()), quantity), show(float(known.max()), quantity))
        if known.size
        else (label, "–", "–")
    )
