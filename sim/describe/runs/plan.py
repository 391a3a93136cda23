"""What a run asks of the integrator, whatever kind it is."""

from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from sim.describe.parts.slip import Surface
from sim.describe.roads.course import Course

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Push:
    """An upward force on the body over time: pressed in smoothly, held, let go at once."""

    force: float  # [N], negative presses down
    forward: float  # [m] place from the centre of gravity, body axes
    up: float  # [m]
    pressed_s: float  # time until the full force
    released_s: float  # time at which it is let go

    def at(self, time_s: Array) -> Array:
        """Return the force [N] at times [s]; half of it at the very moment of letting go."""
        rise = 0.5 - 0.5 * np.cos(np.pi * np.clip(time_s / self.pressed_s, 0.0, 1.0))
        # Each sample counts for one step in all (equations.md, 5.2): half at the jump keeps the impulse exact.
        gone = np.isclose(time_s, self.released_s, rtol=0.0, atol=1e-9)
        return self.force * np.where(gone, 0.5, np.where(time_s < self.released_s, rise, 0.0))


@dataclass(frozen=True)
class Driving:
    """What a run that drives or brakes by its own wheels asks for."""

    surface: Surface
    climb_rad: float  # uphill positive
    speed_m_per_s: float  # at the start
    in_gear: bool  # driven by the engine, not rolling in neutral
    held: bool  # stands on its brakes at the start
    throttle: float  # share of full
    throttle_from_s: float
    throttle_rise_s: float
    brakes_off_s: float  # time in which the brakes that hold it let go; 0 if they do not
    pedal: float  # share of full brakes
    pedal_from_s: float
    pedal_rise_s: float
    pulling: bool = False  # speed held from outside, as on a rope: for the linear view and its proof
    goal_m_per_s: float | None = None  # speed to which time and distance are wanted
    throttle_off_s: float | None = None  # time at which the foot leaves the throttle again, as fast as it went down

    def controls(self, time_s: Array, brakes_n_m: tuple[float, float]) -> Array:
        """Return throttle and both brakes' moments (3, n) at times [s]."""
        throttle = self.throttle * np.clip((time_s - self.throttle_from_s) / self.throttle_rise_s, 0.0, 1.0)
        if self.throttle_off_s is not None:
            throttle = throttle * np.clip(1.0 - (time_s - self.throttle_off_s) / self.throttle_rise_s, 0.0, 1.0)
        pedal = self.pedal * np.clip((time_s - self.pedal_from_s) / self.pedal_rise_s, 0.0, 1.0)
        if self.held:
            pedal = (
                np.clip(1.0 - time_s / self.brakes_off_s, 0.0, 1.0) if self.brakes_off_s > 0.0 else np.ones_like(pedal)
            )
        return np.array([throttle, pedal * brakes_n_m[0], pedal * brakes_n_m[1]])


@dataclass(frozen=True)
class Plan:
    """A run in plain SI.

    state_offset holds what is added to the rest state by row, after the rest has been found with the roads'
    `boards_m` under front and rear; the boards are gone when the run begins.
    """

    duration_s: float
    released_s: float
    speed_m_per_s: float = 0.0
    free_to_roll: bool = False
    course: Course | None = None
    lead_m: float = 0.0
    push: Push | None = None
    boards_m: tuple[float, float] = (0.0, 0.0)
    body_up_m: float = 0.0
    nose_up_rad: float = 0.0
    jounce_m: tuple[float, float] = (0.0, 0.0)
    pinion_up_rad: tuple[float, float] = (0.0, 0.0)
    driving: Driving | None = None
    notes: tuple[str, ...] = field(default=())
    pushes_back: bool = True  # the road is read where the wheels are, and pushes back as well as up
    keeper_gain: float = 0.0  # [N s/m] force of a driver who keeps the speed, by what is missing of it

    @property
    def coasts(self) -> bool:
        """Whether nothing holds its speed."""
        return self.free_to_roll and self.keeper_gain == 0.0
