"""Names of states, parameters and channels: the only place where a name meets a position.

Everything is in SI units and in the signs of the equations (docs/equations.md): x forward, z up,
rotations about the leftward axis, so that pitch is positive nose **down** and the housing's rotation
has the same sense. A record's field order is the row order of the kernel's arrays.
"""

from typing import Final, NamedTuple

FRONT: Final = 0
REAR: Final = 1
AXLES: Final = 2

# --- state: one row each -------------------------------------------------------------------------
X: Final = 0  # distance run relative to a frame that moves at the run's speed
Z: Final = 1  # height of the sprung centre of gravity
PITCH: Final = 2
JOUNCE: Final = 3  # of the front axle; the rear one is two rows on
WIND_UP: Final = 4
COORDINATES: Final = 7
FRICTION: Final = 14  # leaf friction force of the front axle; the rear one follows
MOTION: Final = 16  # rows above are motion; rows from here on are energies, time integrals of power

WORK_ROAD: Final = 16
WORK_PUSH: Final = 17
LOSS_TYRES: Final = 18
LOSS_DAMPERS: Final = 19
LOSS_CONTACTS: Final = 20  # bump stops, straps, damper ends
LOSS_FRICTION: Final = 21  # interleaf
LOSS_WIND_UP: Final = 22
STATES: Final = 23

DEGREE: Final = 12
"""Degree of the polynomials to which a guide is lowered."""


class Body(NamedTuple):
    """Sprung body and what acts on it alone."""

    mass: float  # [kg]
    pitch_inertia: float  # [kg m²] about the centre of gravity
    gravity: float  # [m/s²]
    free_to_roll: float  # 1: x is free; 0: x runs at constant speed
    push_forward: float  # [m] where a push acts, from the centre of gravity in body axes
    push_up: float  # [m]


class Axle(NamedTuple):
    """One axle with its guide, its vertical springs, its stop and its tyres."""

    mass: float  # [kg] with wheels
    pitch_inertia: float  # [kg m²] of the housing about the axle's centre of gravity
    gravity_forward: float  # [m] the axle's centre of gravity from its centre, in housing axes
    gravity_up: float  # [m]
    centre_up: float  # [m] axle centre at zero jounce, up from the body's centre of gravity
    jounce_middle: float  # [m] middle of the guide's range
    jounce_scale: float  # [1/m] one over half of the guide's range
    wind_up_rate: float  # [N m/rad]
    wind_up_damping: float  # [N m s/rad]
    wind_up_preload: float  # [N m] moment on the housing at zero wind-up
    wind_up_free: float  # 1: the housing winds up; 0: it is held by its guide
    leaf_rate: float  # [N/m] vertical rate at the axle's seat
    leaf_preload: float  # [N] support at zero jounce
    friction: float  # [N] half height of the leaf pack's loop
    friction_build_up: float  # [1/m] one over the travel in which friction builds up
    stop_gap: float  # [m]
    stop_rate: float  # [N/m]
    stop_cubic: float  # [N/m³]
    stop_loss: float  # [s/m] force grows by this share per speed of squeezing
    stop_forward: float  # [m] where the stop meets the axle, in housing axes
    stop_up: float  # [m]
    tyre_radius: float  # [m] unloaded
    tyre_rate: float  # [N/m] all tyres of the axle
    tyre_rate_rise: float  # [N/m²] added rate per deflection
    tyre_damping: float  # [N s/m]


class Line(NamedTuple):
    """A force along the line between a body point and an axle point: coil, damper set or strap."""

    number: float  # how many, all alike
    body_forward: float  # [m] from the body's centre of gravity, body axes
    body_up: float
    axle_forward: float  # [m] from the axle's centre, housing axes
    axle_up: float
    sideways: float  # [m] distance across, constant: the lean seen from behind
    rate: float  # [N/m] straight spring
    length_free: float  # [m] length at which the spring's force is zero
    force_least: float  # [N] the spring's least force: 0 for a coil that can come loose
    force_constant: float  # [N] gas push at the reference length
    force_rate: float  # [N/m] gas rate
    force_length: float  # [m] length at which the gas force is given
    length_collapsed: float  # [m] hard end
    length_extended: float  # [m] hard end, or a strap's taut length
    end_rate: float  # [N/m] of the hard ends
    end_loss: float  # [s/m]
    bush_give: float  # [m/N] one over the rate of the end bushes in series; 0: rigid


class Knot(NamedTuple):
    """One ramp of a curve of speed: slope x (sense x speed - start) wherever that is positive."""

    sense: float  # +1 acts in compression, -1 in extension
    start: float  # [m/s]
    slope: float  # [N s/m] change of slope there; the kernel gets it times the sense


TYRE_DAMPING_DEPTH: Final = 0.005
"""Tyre deflection [m] over which its damping fades to nothing, so that touching down has no jump."""

PITCH_LIMIT: Final = 0.5
"""Largest pitch [rad] for which `curves.sine` and `curves.cosine` keep their stated error."""

# --- what a traced run writes at each output step --------------------------------------------------
TRACE_STATE: Final = 0  # STATES rows
TRACE_RATE: Final = STATES  # accelerations, COORDINATES rows
TRACE_TYRE: Final = TRACE_RATE + COORDINATES  # AXLES rows
TRACE_STOP: Final = TRACE_TYRE + AXLES
TRACE_LINES: Final = TRACE_STOP + AXLES  # then LINE_CHANNELS rows a line
LINE_LENGTH: Final = 0
LINE_SPEED: Final = 1  # closing speed, compression positive
LINE_FORCE: Final = 2  # of one: damper law, gas, spring and ends
LINE_LAW: Final = 3  # of one: damper law alone
LINE_CHANNELS: Final = 4

# --- what every lane reduces while it runs ---------------------------------------------------------
PEAK_TYRE: Final = 0  # AXLES rows each
LEAST_TYRE: Final = 2
AIRBORNE: Final = 4  # samples without load
JOUNCE_MOST: Final = 6
JOUNCE_LEAST: Final = 8
SUM_ACCELERATION_SQUARED: Final = 10
ACCELERATION_MOST: Final = 11
PITCH_MOST: Final = 12
PITCH_LEAST: Final = 13
WIND_UP_MOST: Final = 14
WIND_UP_LEAST: Final = 16
REDUCTIONS: Final = 18

# --- one block's memory: rows of LANES numbers in one flat array -----------------------------------
# One array, so that the compiler can prove rows distinct and work on all lanes at once.
POINT: Final = 0  # the state at which the equations are evaluated, STATES rows
RATE: Final = POINT + STATES  # its time derivative, STATES rows
START: Final = RATE + STATES  # the state at the start of the step
TOTAL: Final = START + STATES  # the weighted sum of the stages
BODY: Final = TOTAL + STATES
AXLE: Final = BODY + len(Body._fields)  # axle parameters, AXLE_ROWS rows each
AXLE_ROWS: Final = len(Axle._fields)
PATH: Final = AXLE + AXLES * AXLE_ROWS  # polynomial of the centre's forward place, DEGREE + 1 rows each
TURN: Final = PATH + AXLES * (DEGREE + 1)  # polynomial of the kinematic rotation
SCRATCH: Final = TURN + AXLES * (DEGREE + 1)  # SCRATCH_ROWS rows an axle

PLACE: Final = 0  # centre forward, then its first and second derivative by jounce
PLACE_1: Final = 1
PLACE_2: Final = 2
TURN_1: Final = 3  # derivatives of the kinematic rotation
TURN_2: Final = 4
SINE: Final = 5  # of the housing's whole rotation relative to the body
COSINE: Final = 6
FORCE_JOUNCE: Final = 7  # generalised forces on jounce and wind-up
FORCE_WIND_UP: Final = 8
LOAD: Final = 9  # tyre load
STOP: Final = 10  # bump stop force
HEIGHT: Final = 11  # centre up, body axes
ANGLE: Final = 12  # the housing's whole rotation relative to the body
SCRATCH_ROWS: Final = 13

LINE_SCRATCH: Final = SCRATCH + AXLES * SCRATCH_ROWS  # rows for the line that is being worked on
LENGTH: Final = LINE_SCRATCH
BY_JOUNCE: Final = LINE_SCRATCH + 1
BY_WIND_UP: Final = LINE_SCRATCH + 2
CLOSING: Final = LINE_SCRATCH + 3
LAW: Final = LINE_SCRATCH + 4
SLOPE: Final = LINE_SCRATCH + 5
WHOLE: Final = LINE_SCRATCH + 6
DRIVEN: Final = LINE_SCRATCH + 7  # speed of the damper itself, behind its bushes
FORECAST: Final = LINE_SCRATCH + 8
SINE_PITCH: Final = LINE_SCRATCH + 9
COSINE_PITCH: Final = LINE_SCRATCH + 10
TURNS: Final = LINE_SCRATCH + 11  # AXLES rows: whether the guide turns the housing at all
MEMORY_ROWS: Final = TURNS + AXLES

BUSH_ROWS: Final = 8
"""What is remembered of a line: four of a damper on end bushes (its speed, the line's speed, slope and force), and how far it went."""

LEAST_LENGTH: Final = 4  # kept by blocks, which write no channels of lines
MOST_LENGTH: Final = 5
FASTEST_CLOSING: Final = 6
FASTEST_OPENING: Final = 7  # as a negative closing speed

SPRING: Final = 0  # kinds of lines, by what is left out for them: no law and no gas
DAMPER: Final = 1  # no spring
BUSHED: Final = 2  # a damper on end bushes
STRAP: Final = 3  # acts past its extended end only

LINE_ROWS: Final = len(Line._fields)
KNOT_ROWS: Final = len(Knot._fields)
GROUP: Final = 4
"""Ramps are worked off in groups of this size; the last group of a line is filled up with flat ones."""

WATCHED: Final = (
    Z, PITCH, JOUNCE, WIND_UP, JOUNCE + 2, WIND_UP + 2, COORDINATES + PITCH, RATE + COORDINATES + Z, RATE + COORDINATES + PITCH,
    SCRATCH + LOAD, SCRATCH + SCRATCH_ROWS + LOAD, SCRATCH + STOP, SCRATCH + SCRATCH_ROWS + STOP,
)  # fmt: skip
"""Rows of its memory that a block writes at each output step, if asked: what measures are taken of many set-ups at once."""
