"""Names of states, parameters and channels: the only place where a name meets a position.

Everything is in SI units and in the signs of the equations (docs/equations.md): x forward, z up, rotations about the leftward axis,
so that pitch is positive nose **down** and the housing's rotation has the same sense. A record's field order is the row order of the
kernel's arrays; the kernel asks for a row by the field's name (`positions`).
"""

from types import ModuleType
from typing import Any, Final, NamedTuple, TypeVar

Record = TypeVar("Record", bound=NamedTuple)

FRONT: Final = 0
REAR: Final = 1
AXLES: Final = 2

# --- state: one row each -------------------------------------------------------------------------
X: Final = 0  # distance run relative to a frame that moves at the run's speed
Z: Final = 1  # height of the sprung centre of gravity
PITCH: Final = 2
JOUNCE: Final = 3  # of the front axle; the rear one is two rows on
WIND_UP: Final = 4
SHIFT: Final = 7  # of the front axle along the truck, on its eyes, shackles and bushes [m]; the rear one follows
COORDINATES: Final = 9
FRICTION: Final = 18  # leaf friction force of the front axle; the rear one follows
MOTION: Final = 20  # rows above are motion; rows from here on are energies, time integrals of power

WORK_ROAD: Final = 20  # of the road, seen from the frame that moves at the run's speed
WORK_PUSH: Final = 21
WORK_DRIVER: Final = 22  # of what holds the speed, seen from the ground
LOSS_TYRES: Final = 23
LOSS_DAMPERS: Final = 24
LOSS_CONTACTS: Final = 25  # bump stops, straps, damper ends
LOSS_FRICTION: Final = 26  # interleaf
LOSS_WIND_UP: Final = 27
LOSS_SHIFT: Final = 28
STATES: Final = 29

# Rows of a run in which the truck drives or brakes by its own wheels; other runs have none of them. Two of a
# kind are of the front and the rear axle.
SPIN: Final = 29  # speed of the axle's wheels [rad/s], forwards positive
SLIP: Final = 31  # slip of the tyres behind their relaxation length
BRAKE: Final = 33  # turn by which the brakes give behind their friction faces [rad]
TWIST: Final = 35  # of shafts, seen at the wheels [rad]
ENGINE: Final = 37  # engine speed [rad/s]
FELT: Final = 38  # load that the tread answers, behind its relaxation length [N]; still where load acts at once
CENTRE: Final = 40  # by how much the front propshaft turns faster than the mean of both [rad/s]
CENTRE_GIVE: Final = 41  # turn by which the clutch between them gives behind its friction face [rad]
DRIVEN_MOTION: Final = 42  # rows from here on are energies
WORK_ENGINE: Final = 42
LOSS_SLIP: Final = 43  # into the contact patch, the little that the carcass stores included
LOSS_BRAKES: Final = 44
LOSS_SHAFTS: Final = 45  # and into the clutch between the propshafts
ROWS: Final = 46

DEGREE: Final = 12  # of the polynomials to which a guide is lowered


class Body(NamedTuple):
    """Sprung body and what acts on it alone."""

    mass: float  # [kg]
    pitch_inertia: float  # [kg m²] about the centre of gravity
    gravity: float  # [m/s²]
    free_to_roll: float  # 1: x is free; 0: an ideal driver holds its speed
    push_forward: float  # [m] where a push acts, from the centre of gravity in body axes
    push_up: float  # [m]
    keeper_gain: float  # [N s/m] force forwards of a driver who keeps the speed, by what is missing of it


class Axle(NamedTuple):
    """One axle with its guide, its vertical springs, its stop and its tyres."""

    mass: float  # [kg] with wheels
    pitch_inertia: float  # [kg m²] of the housing about the axle's centre of gravity
    gravity_forward: float  # [m] the axle's centre of gravity from where its guide holds it, in housing axes
    gravity_up: float  # [m]
    seat_up: float  # [m] where its guide holds the housing (leaf packs' seat, else its centre) at zero jounce, up from the body's centre of gravity
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
    stop_forward: float  # [m] where the stop meets the axle, from where its guide holds it, in housing axes
    stop_up: float  # [m]
    tyre_radius: float  # [m] unloaded
    tyre_rate: float  # [N/m] all tyres of the axle
    tyre_rate_rise: float  # [N/m²] added rate per deflection
    tyre_damping: float  # [N s/m]
    leaf_coupling: float  # [N/rad] support by wind-up, of a pack with unequal halves
    centre_forward: float  # [m] axle centre as measured, forward from the body's centre of gravity
    shift_free: float  # 1: the axle can give along the truck; 0: it is held
    shift_rate: float  # [N/m]
    shift_damping: float  # [N s/m]
    shift_preload: float  # [N] forward force on the axle at zero shift
    seat_above: float = 0.0  # [m] where its guide holds the housing, above the axle's centre in housing axes


class Arc(NamedTuple):
    """An axle's path if it is an arc about a point of the frame: exact, and cheaper than a polynomial.

    With z = jounce - level and q = radius² - z², the centre is side x root(q) ahead of the arc's middle.
    """

    radius_square: float = 0.0  # [m²]; 0: the path is no arc
    level: float = 0.0  # [m] jounce at which the centre is level with the arc's middle
    forward: float = 0.0  # [m] the arc's middle, from the body's centre of gravity
    side: float = 0.0  # 1: the axle is ahead of it; -1: behind it
    turns: float = 0.0  # 1: the housing turns as the radius does; 0: the path does not turn it
    ahead: float = 0.0  # [1/m] at zero jounce, the radius forward and up by its square
    above: float = 0.0  # [1/m]


ARC_LEAST: Final = 0.01
"""Least q of an arc as a share of its radius squared, far past a guide's range: a run that goes there is reported so, not lost."""


class Wheels(NamedTuple):
    """What an axle drives and brakes with: wheels, tyres along the road, shafts, brakes, give along the truck.

    The tyres' force is that of E. Bakker, L. Nyborg, H. B. Pacejka, SAE 870421 (1987), its coefficients for the load of
    the whole axle N in newtons and slip as a ratio.
    """

    spin_inertia: float  # [kg m²] of all its wheels
    rolling_share: float  # rolling radius = radius - share x deflection
    peak: float  # peak force = (peak + peak_rise N) N
    peak_rise: float  # [1/N]
    stiffness: float  # force by slip at none = (stiffness + stiffness_rise N) N exp(-stiffness_fade N)
    stiffness_rise: float  # [1/N]
    stiffness_fade: float  # [1/N]
    curvature: float  # E = curvature + curvature_rise N + curvature_bend N²
    curvature_rise: float  # [1/N]
    curvature_bend: float  # [1/N²]
    shape: float  # C
    relaxation_length: float  # [m]
    carcass_time: float  # [s] slip counts with its own rate so far ahead: the carcass's damping
    brake_rate: float  # [N m/rad] of the brakes' give behind their friction faces; 0 without brakes
    brake_damping: float  # [N m s/rad] of that give, more than 0
    ratio: float  # propshaft turns a wheel turn
    shaft_rate: float  # [N m/rad] at the wheels; 0 if the axle is not driven
    shaft_damping: float  # [N m s/rad]
    load_delayed: float  # 1: tread answers load after its relaxation length, the same at every slip; 0: at once


class Drive(NamedTuple):
    """Engine and gears of the whole truck, and the hill."""

    engine_inertia: float  # [kg m²]
    gears: float  # engine turns a propshaft turn
    idle: float  # [rad/s] below it a clutch slips, and the torque is that at idle
    torque_idle: float  # [N m] at idle and full throttle
    gravity_backwards: float  # [m/s²] along the hill
    drag: float = 0.0  # [N m] against the engine with its throttle shut, and what it grows by speed [N m s/rad]
    drag_rise: float = 0.0
    centre_free: float = 0.0  # 1: a differential between the propshafts; 0: they are locked, or one is driven
    centre_inertia: float = 1.0  # [kg m²] of both propshafts about their mean
    centre_limit: float = 0.0  # [N m] of the clutch between them; 0: open
    centre_rate: float = 0.0  # [N m/rad] of the clutch's give, and its damping [N m s/rad], more than 0
    centre_damping: float = 1.0


ENGINE_RAMPS: Final = 16  # changes of slope of its torque by speed: rows of start [rad/s] and change [N m s/rad]


class Line(NamedTuple):
    """A force along the line between a body point and an axle point: coil, damper set or strap."""

    number: float  # how many, all alike
    body_forward: float  # [m] from the body's centre of gravity, body axes
    body_up: float
    axle_forward: float  # [m] from where its guide holds the axle, housing axes
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
    """One ramp of a curve of speed: sense x slope x (sense x speed - start) wherever the bracket is positive."""

    sense: float  # +1 acts in compression, -1 in extension
    start: float  # [m/s]
    slope: float  # [N s/m] change of slope there


def positions(kind: type[Record]) -> Record:
    """Return a record's positions under its fields' own names: `positions(Axle).mass` is the row of an axle's mass.

    So that the kernel never counts fields, and their order may change. They are a module, because the compiler takes a module's
    number as it stands; a tuple it would put together whole at each mention.
    """
    at: Any = ModuleType(kind.__name__)
    for position, field in enumerate(kind._fields):
        setattr(at, field, position)
    named: Record = at  # with its fields' names, so that a wrong one is seen before anything runs
    return named


BODY_AT: Final = positions(Body)
AXLE_AT: Final = positions(Axle)
ARC_AT: Final = positions(Arc)
WHEELS_AT: Final = positions(Wheels)
DRIVE_AT: Final = positions(Drive)
LINE_AT: Final = positions(Line)

TYRE_DAMPING_DEPTH: Final = 0.005  # deflection [m] over which a tyre's damping fades out: touching down has no jump
PITCH_LIMIT: Final = 0.5  # largest pitch [rad] for which `curves.sine` and `curves.cosine` keep their stated error

# --- what a traced run writes at each output step --------------------------------------------------
TRACE_STATE: Final = 0  # STATES rows
TRACE_RATE: Final = STATES  # accelerations, COORDINATES rows
TRACE_TYRE: Final = TRACE_RATE + COORDINATES  # AXLES rows
TRACE_STOP: Final = TRACE_TYRE + AXLES
TRACE_ROAD: Final = TRACE_STOP + AXLES  # its height where the wheels are
TRACE_SLOPE: Final = TRACE_ROAD + AXLES
TRACE_DRIVER: Final = TRACE_SLOPE + AXLES  # force that holds the speed
TRACE_LINES: Final = TRACE_DRIVER + 1  # then LINE_CHANNELS rows a line
LINE_LENGTH: Final = 0
LINE_SPEED: Final = 1  # closing speed, compression positive
LINE_FORCE: Final = 2  # of one: damper law, gas, spring and ends
LINE_LAW: Final = 3  # of one: damper law alone
LINE_CHANNELS: Final = 4
# A driven run writes after its lines: rows SPIN to ROWS of the state, then a few of each axle, and the engine's torque.
DRIVEN_AXLE: Final = ROWS - STATES
DRIVEN_TRACTION: Final = 0  # of each axle
DRIVEN_AXLE_TORQUE: Final = 1
DRIVEN_BRAKE_TORQUE: Final = 2
DRIVEN_ROLLING_RADIUS: Final = 3
DRIVEN_AXLE_CHANNELS: Final = 4
DRIVEN_TORQUE: Final = DRIVEN_AXLE + AXLES * DRIVEN_AXLE_CHANNELS
DRIVEN_CHANNELS: Final = DRIVEN_TORQUE + 1

# --- one block's memory: rows of LANES numbers in one flat array -----------------------------------
# One array, so that the compiler can prove rows distinct and work on all lanes at once.
POINT: Final = 0  # the state at which the equations are evaluated, ROWS rows
RATE: Final = POINT + ROWS  # its time derivative
START: Final = RATE + ROWS  # the state at the start of the step
TOTAL: Final = START + ROWS  # the weighted sum of stages or of rates, but for the last
BODY: Final = TOTAL + ROWS
AXLE: Final = BODY + len(Body._fields)  # axle parameters, AXLE_ROWS rows each
AXLE_ROWS: Final = len(Axle._fields)
PATH: Final = AXLE + AXLES * AXLE_ROWS  # polynomial of the centre's forward place, DEGREE + 1 rows each
TURN: Final = PATH + AXLES * (DEGREE + 1)  # polynomial of the kinematic rotation
SCRATCH: Final = TURN + AXLES * (DEGREE + 1)  # SCRATCH_ROWS rows an axle

PLACE: Final = 0  # where the guide holds the axle, forward, then its first and second derivative by jounce
PLACE_1: Final = 1
PLACE_2: Final = 2
TURN_1: Final = 3  # derivatives of the kinematic rotation
TURN_2: Final = 4
SINE: Final = 5  # of the housing's whole rotation relative to the body
COSINE: Final = 6
FORCE_JOUNCE: Final = 7  # generalised forces: on jounce while the housing does not turn in space,
FORCE_WIND_UP: Final = 8  # and on wind-up
LOAD: Final = 9  # tyre load
STOP: Final = 10  # bump stop force
HEIGHT: Final = 11  # where the guide holds it, up, body axes
BY_MASS: Final = 12  # one over the axle's mass; constant
FORCE_SHIFT: Final = 13  # generalised force along the truck
ROAD: Final = 14  # height of the road under the wheels
ROAD_SLOPE: Final = 15
TRACTION: Final = 16  # force of the tyres along the road
MOMENT: Final = 17  # of wheels on housing: shafts and brakes
AXLE_TORQUE: Final = 18  # of the shafts on the wheels
BRAKE_TORQUE: Final = 19  # of the brakes on the housing
ROLLING_RADIUS: Final = 20
AHEAD: Final = 21  # where the guide holds it, from the body's centre of gravity, world axes
ABOVE: Final = 22
RISE_X: Final = 23  # its path by jounce, world axes
RISE_Z: Final = 24
TURNING: Final = 25  # speed of the housing's turn relative to the body
INERTIA: Final = 26  # of the housing about the centre; constant, as are the rows after it
BY_INERTIA: Final = 27  # one over it, or 0 if the housing is held by its guide
STATIC_FORWARD: Final = 28  # static moment: mass times place of the axle's centre of gravity, housing axes
STATIC_UP: Final = 29
# What is left of an axle for the body: rows of forwards (X), up (Z) and pitch (T), and their right-hand sides.
BODY_ZZ: Final = 30
BODY_ZT: Final = 31
BODY_TT: Final = 32
BODY_Z: Final = 33
BODY_T: Final = 34
BODY_XX: Final = 35
BODY_XZ: Final = 36
BODY_XT: Final = 37
BODY_X: Final = 38
# And its own accelerations: jounce = OWN_JOUNCE less these times the body's, the housing's from that of the centre.
OWN_JOUNCE: Final = 39
JOUNCE_Z: Final = 40
JOUNCE_T: Final = 41
JOUNCE_X: Final = 42
OWN_TURN: Final = 43
TURN_X: Final = 44
TURN_Z: Final = 45
OWN_SHIFT: Final = 46  # the same of an axle's give along the truck
SHIFT_X: Final = 47
SHIFT_Z: Final = 48
SHIFT_T: Final = 49
ROAD_RATE: Final = 50  # rise of the road in time, where the wheels are, at the run's own speed
ROAD_AHEAD: Final = 51  # samples of the road from the nominal one to where the wheels are,
ROAD_CELL: Final = 52  # and to the one whose cubic they are on: its height and derivatives follow
ROAD_START: Final = 53
ROAD_RISE: Final = 54
ROAD_BEND: Final = 55
ROAD_TWIST: Final = 56
BY_TURN: Final = 57  # one over the axle's mass and the housing's inertia about its centre of gravity, or 0; constant
HUB_X: Final = 58  # axle's centre from where its guide holds it, world axes; zero but on a seat above or below it
HUB_Z: Final = 59
SCRATCH_ROWS: Final = 60

LINE_SCRATCH: Final = SCRATCH + AXLES * SCRATCH_ROWS  # rows for the line that is being worked on
LENGTH: Final = LINE_SCRATCH
BY_JOUNCE: Final = LINE_SCRATCH + 1  # while the housing does not turn
BY_WIND_UP: Final = LINE_SCRATCH + 2
CLOSING: Final = LINE_SCRATCH + 3
LAW: Final = LINE_SCRATCH + 4
SLOPE: Final = LINE_SCRATCH + 5
WHOLE: Final = LINE_SCRATCH + 6
DRIVEN: Final = LINE_SCRATCH + 7  # speed of the damper itself, behind its bushes
FORECAST: Final = LINE_SCRATCH + 8
SINE_PITCH: Final = LINE_SCRATCH + 9
COSINE_PITCH: Final = LINE_SCRATCH + 10
BY_SHIFT: Final = LINE_SCRATCH + 11
DRIVER: Final = LINE_SCRATCH + 12  # force that holds the speed
TURNS: Final = LINE_SCRATCH + 13  # AXLES rows: whether the guide turns the housing at all
WHEELS: Final = TURNS + AXLES  # wheel parameters, WHEEL_ROWS rows an axle
WHEEL_ROWS: Final = len(Wheels._fields)
DRIVE: Final = WHEELS + AXLES * WHEEL_ROWS
ENGINE_STARTS: Final = DRIVE + len(Drive._fields)
ENGINE_SLOPES: Final = ENGINE_STARTS + ENGINE_RAMPS
# Steps that this run has made before: it goes on where they ended, with its end bushes and the rates of the last two as they were.
CONTINUED: Final = ENGINE_SLOPES + ENGINE_RAMPS
KINK: Final = CONTINUED + 1  # [m] lift by whose energy a traced step may be off, else it is done again; 0: any
ARC: Final = KINK + 1  # ARC_ROWS rows an axle
ARC_ROWS: Final = len(Arc._fields)
# MOTION rows: what the state at the start of the step is short of in single precision, added with the next step.
CARRY: Final = ARC + AXLES * ARC_ROWS
PAST: Final = CARRY + MOTION  # STATES rows each: rates at the start of the step before, and of the one before that
AFRESH: Final = PAST + 2 * STATES  # step, counted as CONTINUED does, up to which rates before a kink are no help
JOUNCE_MOST: Final = AFRESH + 1
"""Rows of how far the motion went, which every lane of a block keeps: two of an axle's kind are of the front and the rear one."""
JOUNCE_LEAST: Final = JOUNCE_MOST + AXLES
PITCH_MOST: Final = JOUNCE_LEAST + AXLES
PITCH_LEAST: Final = PITCH_MOST + 1
MEMORY_ROWS: Final = PITCH_LEAST + 1

BUSH_ROWS: Final = 8  # what is remembered of a line: four rows of a damper on end bushes, and how far it went
BUSH_DAMPER_SPEED: Final = 0  # at the start of the step, as are those after it
BUSH_LINE_SPEED: Final = 1
BUSH_SLOPE: Final = 2
BUSH_FORCE: Final = 3
LEAST_LENGTH: Final = 4  # kept by blocks, which write no channels of lines
MOST_LENGTH: Final = 5
FASTEST_CLOSING: Final = 6
FASTEST_OPENING: Final = 7  # as a negative closing speed

SPRING: Final = 0  # kinds of lines, by what is left out for them: no law and no gas
DAMPER: Final = 1  # no spring
BUSHED: Final = 2  # a damper on end bushes
STRAP: Final = 3  # acts past its extended end only

LINE_ROWS: Final = len(Line._fields)
GROUP: Final = 3  # ramps on each side worked off together; a line's last group is filled up with flat ones
COMPRESSION_START: Final = 0  # of a pair of ramps, one on each side
COMPRESSION_SLOPE: Final = 1
EXTENSION_START: Final = 2  # negative, as the speed is there
EXTENSION_SLOPE: Final = 3
PAIR_ROWS: Final = 4
OFFSET: Final = GROUP * PAIR_ROWS  # a group's constant, which makes its ramps zero at rest; the pairs stand before it
GROUP_ROWS: Final = OFFSET + 1
ROAD_HEIGHT: Final = 0  # of a sample of the road: a cubic over the share of the way to the next one
ROAD_BY_SAMPLE: Final = 1  # its coefficients
ROAD_BENT: Final = 2
ROAD_TWISTED: Final = 3
ROAD_ROWS: Final = 4

WATCHED: Final = (
    Z, PITCH, JOUNCE, WIND_UP, JOUNCE + 2, WIND_UP + 2, SHIFT, SHIFT + 1, COORDINATES + PITCH, RATE + COORDINATES + Z, RATE + COORDINATES + PITCH,
    SCRATCH + LOAD, SCRATCH + SCRATCH_ROWS + LOAD, SCRATCH + STOP, SCRATCH + SCRATCH_ROWS + STOP,
)  # fmt: skip
"""Rows of its memory that a block can write at each output step: what measures are taken of many set-ups at once."""
