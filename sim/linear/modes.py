"""Linear view: how a set-up moves by itself about where it stands, from the same equations as every run."""

from dataclasses import dataclass, replace
from math import pi

import numpy as np
import numpy.typing as npt

from sim.describe.lowered import Lowered
from sim.describe.parts.dampers import ramps
from sim.kernel import layout as at
from sim.lower.rest import NUDGE, Equations, Rest, rest
from sim.lower.still import free_coordinates

Array = npt.NDArray[np.float64]

DAMPER_SPEED = ramps.BODY_SPEED
"""Speed amplitude [m/s] at which damper curves are taken as straight."""

NAMES = {
    at.Z: "bounce", at.PITCH: "pitch", at.JOUNCE: "front hop", at.WIND_UP: "front wind-up",
    at.JOUNCE + 2: "rear hop", at.WIND_UP + 2: "rear wind-up",
    at.SHIFT: "front fore-and-aft give", at.SHIFT + 1: "rear fore-and-aft give",
}  # fmt: skip

IN_WORDS = {
    "bounce": "body up and down (bounce)", "pitch": "body nods, nose against tail (pitch)",
    "front end": "front end of the body up and down", "rear end": "rear end of the body up and down",
} | {
    f"{axle} {name}": f"{axle} axle {words}"
    for axle in ("front", "rear")
    for name, words in (
        ("hop", "up and down on its tyres (hop)"), ("wind-up", "turns about itself (wind-up)"),
        ("fore-and-aft give", "back and forth along the truck"),
    )
}  # fmt: skip
"""What moves in a mode, for people who do not know the names."""

OF_BODY = ("bounce", "pitch", "front end", "rear end")
"""Names of the body's own motions."""


@dataclass(frozen=True)
class Mode:
    """One way of moving.

    Attributes
    ----------
    name : str
        By what holds most of its kinetic energy; "front end" and "rear end" where both motions of the body are
        bounce as much as pitch.
    frequency_hz : float
        Undamped frequency |eigenvalue| / 2 pi.
    damping_ratio : float
        1 and more: it creeps back without swinging.
    centre_behind_front_axle_m : float
        Place about which the body swings; nan where the body hardly moves.
    shares : dict of str to float
        Share of kinetic energy by name.
    shape : Shape
        How its parts move together.
    """

    name: str
    frequency_hz: float
    damping_ratio: float
    centre_behind_front_axle_m: float
    shares: dict[str, float]
    shape: "Shape"


@dataclass(frozen=True)
class Shape:
    """Complex amplitudes of a mode, turned and sized so that what moves most is 1 m, or 1 rad over ARM_M.

    Attributes
    ----------
    bounce : complex
        Rise of the sprung centre of gravity [m].
    pitch : complex
        Turn of the body, nose down [rad].
    axle_rise, housing_turn : dict of str to complex
        Rise of the axle's centre [m] and whole turn of its housing [rad], front down, by axle.
    axle_ahead : dict of str to complex
        Move of the axle's centre ahead [m], by axle; empty where axles have no fore-and-aft give.
    """

    bounce: complex
    pitch: complex
    axle_rise: dict[str, complex]
    housing_turn: dict[str, complex]
    axle_ahead: dict[str, complex]


ARM_M = 0.35
"""A turn counts in a shape as the movement of a point so far away: about a tyre's radius."""


def equivalent_damping(knots: tuple[at.Knot, ...], speed_m_per_s: float) -> float:
    """Return the straight damping [N s/m] that takes as much energy from a sine of this speed amplitude.

    c = integral of F v over integral of v² in one cycle (L. S. Jacobsen, Trans. ASME 52, 1930, from memory).
    """
    v = speed_m_per_s * np.sin(2.0 * pi * (np.arange(720) + 0.5) / 720)
    return float(np.sum(ramps.force(knots, v) * v) / np.sum(v * v))


def straightened(setup: Lowered, speed_m_per_s: float = DAMPER_SPEED) -> Lowered:
    """Return the set-up with straight dampers on rigid ends and leaf packs that slip without friction."""
    lines = []
    for named in setup.lines:
        damping = equivalent_damping(named.knots, speed_m_per_s) if named.knots else 0.0
        knots = ramps.side(1.0, [0.0], [damping]) + ramps.side(-1.0, [0.0], [damping])
        # A bush in series would need a state of its own, which the linear view does not have.
        lines.append(named._replace(line=named.line._replace(bush_give=0.0), knots=knots))
    # Interleaf friction is no straight line: it holds small motions and slips in large ones, which are meant here.
    axles = {name: axle._replace(friction=0.0) for name, axle in setup.axles.items()}
    return replace(setup, lines=tuple(lines), axles=axles)


def state_matrix(setup: Lowered, standing: Rest) -> tuple[Array, list[int]]:
    """Return the matrix of the linear motion (2n, 2n), places first, and the rows of its n coordinates."""
    equations = Equations(setup)
    rows = free_coordinates(setup)
    columns = rows + [at.COORDINATES + row for row in rows]
    n = len(rows)
    matrix = np.zeros((2 * n, 2 * n))
    matrix[:n, n:] = np.eye(n)  # rates of places are the speeds
    for place, row in enumerate(columns):
        step = np.zeros(at.STATES)
        step[row] = NUDGE
        ahead = equations.derivative(standing.state + step)  # central: what bends evenly both ways drops out
        behind = equations.derivative(standing.state - step)
        matrix[n:, place] = ((ahead - behind) / (2.0 * NUDGE))[[at.COORDINATES + r for r in rows]]
    return matrix, rows


def modes(setup: Lowered, speed_m_per_s: float = DAMPER_SPEED) -> tuple[Mode, ...]:
    """Return the modes of a set-up about where it stands, slowest first.

    Dampers are taken straight at the given speed amplitude, leaf friction as slipping.
    """
    linear = straightened(setup, speed_m_per_s)
    matrix, rows = state_matrix(linear, rest(linear))
    values, vectors = np.linalg.eig(matrix)
    # Swinging motions come as conjugate pairs: one of each is kept.
    motions = [
        _mode(linear, values[i], vectors[: len(rows), i], rows) for i in range(len(values)) if values[i].imag > 1e-9
    ]
    # Creeping motions come in twos: the fastest is taken with the slowest as those of one overdamped motion.
    still = sorted((v.real, i) for i, v in enumerate(values) if abs(v.imag) <= 1e-9)
    # Two real eigenvalues are one overdamped mode: |frequency|² is their product, damping their mean over its root.
    for (fast, i), (slow, _) in zip(still[: len(still) // 2], reversed(still[len(still) // 2 :]), strict=False):
        if fast * slow <= 0.0:  # one of them grows: the truck falls over where it stands, and that is no mode
            continue
        whole = np.sqrt(fast * slow)
        mode = _mode(linear, complex(0.0, whole), vectors[: len(rows), i], rows)
        motions.append(replace(mode, damping_ratio=float(-(fast + slow) / 2.0 / whole)))
    return _named_by_end(tuple(sorted(motions, key=lambda mode: mode.frequency_hz)), setup.vehicle.wheelbase)


def least_of_body(found: tuple[Mode, ...]) -> float:
    """Return the least damping ratio of the body's motions, bounce and pitch: of the one that swings on longest by its own beat; nan of none."""
    return min((mode.damping_ratio for mode in found if mode.name in OF_BODY), default=float("nan"))


AT_AXLE = 0.15
"""Share of the wheelbase from an axle within which a body that swings about a point is said to swing about that axle."""


def end_that_moves(mode: Mode, wheelbase_m: float) -> str:
    """Return "front" or "rear" where the body swings about the other axle, so that one end alone moves; else nothing."""
    if mode.name not in OF_BODY:
        return ""
    from_front, from_rear = (abs(mode.centre_behind_front_axle_m - place) for place in (0.0, wheelbase_m))
    near = AT_AXLE * wheelbase_m
    return "front" if from_rear <= near else "rear" if from_front <= near else ""


def in_words(mode: Mode, wheelbase_m: float) -> str:
    """Return what moves in a mode: of a body that swings about an axle the other end, whatever the mode is called."""
    end = end_that_moves(mode, wheelbase_m)
    return IN_WORDS[f"{end} end"] if end else IN_WORDS[mode.name]


def _named_by_end(found: tuple[Mode, ...], wheelbase_m: float) -> tuple[Mode, ...]:
    """Return the modes with two of one name told apart by the end that moves: both centres lie between the axles."""
    names = [mode.name for mode in found]
    renamed = []
    for mode in found:
        # A body whose ends are coupled can have two motions that both bounce more than they pitch, or pitch more.
        if names.count(mode.name) > 1 and mode.name in ("bounce", "pitch"):
            # It swings about a centre: what is far from that moves most.
            end = "front" if mode.centre_behind_front_axle_m > 0.5 * wheelbase_m else "rear"
            mode = replace(mode, name=f"{end} end")
        renamed.append(mode)
    return tuple(renamed)


def named_like(found: tuple[Mode, ...], others: tuple[Mode, ...]) -> tuple[Mode, ...]:
    """Return modes of a truck with the body's own motions named as those of another one that move most like them.

    Two trucks that differ by a little can have their names the other way round, where both motions hold about as much bounce as pitch.
    """
    own = [mode for mode in found if mode.name in OF_BODY]
    like = [mode for mode in others if mode.name in OF_BODY]
    if len(own) != 2 or len(like) != 2:
        return found
    straight, crossed = (alike(own[0], like[one]) + alike(own[1], like[other]) for one, other in ((0, 1), (1, 0)))
    names = [mode.name for mode in (like if straight >= crossed else reversed(like))]
    return tuple(replace(mode, name=names[own.index(mode)]) if mode in own else mode for mode in found)


def alike(one: Mode, other: Mode) -> float:
    """Return how much two motions of a body are one: 1 where it swings about the same place, 0 where one has its largest move there."""
    first, second = (np.array([mode.shape.bounce, ARM_OF_BODY_M * mode.shape.pitch]) for mode in (one, other))
    return float(abs(np.vdot(first, second)) / (np.linalg.norm(first) * np.linalg.norm(second)))


ARM_OF_BODY_M = 1.2
"""A turn of the body counts as the movement of a point so far away where motions are compared: about its radius of gyration."""


def _mode(setup: Lowered, value: complex, shape: npt.NDArray[np.complex128], rows: list[int]) -> Mode:
    part = dict(zip(rows, shape, strict=True))
    bounce, pitch = part[at.Z], part[at.PITCH]
    rises: dict[str, complex] = {}
    turns: dict[str, complex] = {}
    moves: dict[str, complex] = {}
    energies = {at.Z: setup.body.mass * abs(bounce) ** 2, at.PITCH: setup.body.pitch_inertia * abs(pitch) ** 2}
    for index, name in enumerate(("front", "rear")):
        axle, path = setup.axles[name], setup.paths[name]
        forward = path.place[0]
        jounce = part[at.JOUNCE + 2 * index]
        rise = bounce - forward * pitch + jounce  # pitch is nose down: it lowers an axle ahead
        energies[at.JOUNCE + 2 * index] = axle.mass * abs(rise) ** 2
        turn = path.turn[1] * path.scale * jounce + part.get(at.WIND_UP + 2 * index, 0.0) + pitch
        rises[name], turns[name] = complex(rise), complex(turn)
        if at.WIND_UP + 2 * index in part:
            energies[at.WIND_UP + 2 * index] = axle.pitch_inertia * abs(turn) ** 2
        if at.SHIFT + index in part:
            along = (
                part[at.SHIFT + index]
                + path.place[1] * path.scale * jounce
                + axle.seat_up * pitch
                - axle.seat_above * turn
            )
            energies[at.SHIFT + index] = axle.mass * abs(along) ** 2
            moves[name] = complex(along)
    whole = sum(energies.values())
    shares = {NAMES[row]: float(energy / whole) for row, energy in energies.items()}
    centre = float("nan")
    # Of wheel hop the body's centre says nothing; without pitch it is at infinity.
    if shares["bounce"] + shares["pitch"] > 0.5 and abs(pitch) > 1e-9 * abs(bounce):
        # Where bounce - ahead x pitch is zero, counted back from the front axle.
        centre = setup.place.cg_behind_front_axle - float((bounce / pitch).real)
    name = max(shares, key=lambda key: shares[key])
    # Sized by the largest movement of body over the axles, axles or housings, so that any mode can be drawn.
    body = [bounce - forward * pitch for forward in (setup.paths["front"].place[0], setup.paths["rear"].place[0])]
    # Moves ahead count too: without them an axle that moves fore and aft is not seen, and what it stirs up is drawn far too large.
    largest = max([*body, *rises.values(), *moves.values(), *(ARM_M * turn for turn in turns.values())], key=abs)
    form = Shape(
        complex(bounce / largest), complex(pitch / largest),
        *({axle: size / largest for axle, size in each.items()} for each in (rises, turns, moves)),
    )  # fmt: skip
    return Mode(name, abs(value) / 2.0 / pi, float(-value.real / abs(value)), centre, shares, form)
