"""Springs from a wanted load at a wanted height: coils and leaf packs, an added leaf, a helper; closed forms of the handbooks."""

from dataclasses import dataclass
from math import ceil, inf, pi

from sim.describe.parts.springs.leaves import LEAF_STRESS, leaf_stress
from sim.describe.parts.springs.wire import (
    AS_WOUND,
    CHROME_SILICON,
    DEAD_TURNS,
    OIL_TEMPERED,
    PRESET,
    bears,
    shear_stress,
    solid_length,
)
from sim.describe.shown import show, show_short
from sim.errors import RunError

SHEAR_MODULUS, MODULUS = 79.3e9, 207e9
"""Of spring steel [Pa], as the parts have them."""

CLASH = 0.15
"""Travel that stays free before a coil is solid, as a share of its travel from free to full bump (Shigley, ch. 10, from memory)."""

WIRES = tuple(round(8.0 + 0.5 * number, 1) * 1e-3 for number in range(30))
"""Wires that are tried where none is named [m]: 8 to 22.5 mm by half a millimetre."""

INDEX = (4.0, 12.0)
"""Mean diameter over wire between which coils are wound (Shigley, ch. 10, from memory)."""

STEELS = (
    ("oil-tempered, as wound", OIL_TEMPERED, AS_WOUND), ("oil-tempered, preset", OIL_TEMPERED, PRESET), ("chrome-silicon, preset", CHROME_SILICON, PRESET),
)  # fmt: skip
"""Steels and how they are set, the plainest first; past THICKEST their strength is continued from thinner wire by the same law."""


@dataclass(frozen=True)
class CoilDesign:
    """A coil.

    Attributes
    ----------
    rate : float
        [N/m]
    load, length : float
        Wanted load [N] at a length seat to seat [m].
    free, solid, bump : float
        Lengths [m]: without load, turns touching, at full bump.
    wire, across : float
        Diameters of the wire and of the turns, middle to middle [m].
    active, turns : float
        Turns that work, and all of them.
    stress_ride, stress_bump, bears : float
        Shear stress with Wahl's factor at both, and what a wire of its steel bears [Pa].
    steel : str
        The plainest that bears it, and how it is set.
    problems : tuple of str
    """

    rate: float
    load: float
    length: float
    free: float
    solid: float
    bump: float
    wire: float
    across: float
    active: float
    turns: float
    stress_ride: float
    stress_bump: float
    bears: float
    steel: str
    problems: tuple[str, ...]


def coil(
    load: float, length: float, rate: float, across: float, travel: float, wire: float | None = None
) -> CoilDesign:
    """Return the coil that carries a load [N] at a length [m] with a rate [N/m].

    Parameters
    ----------
    across : float
        Mean diameter of its turns [m].
    travel : float
        From that length to full bump [m].
    wire : float, optional
        Diameter of the wire [m]; left out: the thinnest of WIRES that bears full bump and does not bind.

    Notes
    -----
    n = G d⁴ / (8 D³ k); solid (n + 2) d; tau = K 8 F D / (pi d³), K = (4C - 1)/(4C - 4) + 0.615/C (Wahl; Shigley, ch. 10).

    Raises
    ------
    RunError
        If none of the wires gives such a coil.
    """
    if wire is not None:
        return _coil(load, length, rate, across, travel, wire)
    for one in WIRES:
        if INDEX[0] <= across / one <= INDEX[1]:
            made = _coil(load, length, rate, across, travel, one)
            if not made.problems:
                return made
    raise RunError(
        f"No wire from {_short(WIRES[0])} to {_short(WIRES[-1])} makes such a coil of {_short(across)}: it would be overloaded or bind before full "
        "bump. A wider coil, a longer one at ride height, a softer one, or less travel to the stop; or name a wire to see what is wrong with it"
    )


def rate_of_wire(wire: float, across: float, active: float) -> float:
    """Return the rate [N/m] of a coil by its wire and its mean diameter [m] and the turns that work: G d⁴ / (8 D³ n) (Shigley, ch. 10)."""
    return SHEAR_MODULUS * wire**4 / (8.0 * across**3 * active)


def _short(length: float) -> str:
    return show_short(length, "length", (1, 2)).strip()


def stress_words(stress: float) -> str:
    """Return a stress [Pa] in the units that are shown."""
    return show(stress, "stress")


def _coil(load: float, length: float, rate: float, across: float, travel: float, wire: float) -> CoilDesign:
    active = SHEAR_MODULUS * wire**4 / (8.0 * across**3 * rate)
    free = length + load / rate
    solid = solid_length(wire, active)
    bump = length - travel
    most = load + rate * travel
    stress = shear_stress(most, wire, across)
    limit, steel = next(
        ((bears(wire, share, kind), name) for name, kind, share in STEELS if bears(wire, share, kind) >= stress),
        (bears(wire, PRESET, CHROME_SILICON), STEELS[-1][0]),
    )
    problems = []
    left = bump - solid
    if left < 0.0:
        problems.append(f"solid {_short(-left)} before full bump")
    elif left < CLASH * (free - bump):
        problems.append(f"{_short(left)} left before it is solid; {_short(CLASH * (free - bump))} are usual")
    if stress > limit:
        problems.append(f"{stress_words(stress)} at full bump, and {steel} wire bears {stress_words(limit)}")
    if active < 2.0:
        problems.append(f"only {active:.1f} turns work: a thicker wire is not wound so")
    return CoilDesign(
        rate, load, length, free, solid, bump, wire, across, active, active + DEAD_TURNS, shear_stress(load, wire, across), stress, limit, steel,
        tuple(problems),
    )  # fmt: skip


@dataclass(frozen=True)
class PackDesign:
    """A leaf pack: rate [N/m], camber without load so that it stands at the wanted height [m], stresses [Pa] of its leaves."""

    rate: float
    camber: float
    thickness: float
    stress_ride: float
    stress_bump: float
    bears: float


def pack(
    load: float, leaves: int, full: int, width: float, length: float, travel: float, thickness: float | None = None, rate: float | None = None
) -> PackDesign:  # fmt: skip
    """Return a pack that carries a load [N] flat, eye to eye and seat level.

    Parameters
    ----------
    leaves, full : int
        All leaves of one thickness, and those of full length among them.
    width, length : float
        Of a leaf, and of the pack less what the U-bolts hold [m].
    travel : float
        From there to full bump [m].
    thickness, rate : float, optional
        One of both: thickness of a leaf [m], or wanted rate [N/m], for which the next half millimetre is taken.

    Notes
    -----
    With W and l for half of the spring: deflection 12 W l³ / (E b t³ (2 n_G + 3 n_F)), stress of leaves that are nipped to
    share it alike 6 W l / (n b t²) (Khurmi, Machine Design; Bhandari, Design of Machine Elements).
    """
    half, worth = 0.5 * length, 2.0 * (leaves - full) + 3.0 * full
    if thickness is None:
        if rate is None:
            raise RunError("a pack needs the thickness of its leaves or the wanted rate")
        exact = (6.0 * half**3 * rate / (MODULUS * width * worth)) ** (1.0 / 3.0)
        thickness = ceil(exact / 5e-4 - 1e-9) * 5e-4
    own = MODULUS * width * thickness**3 * worth / (6.0 * half**3)

    def stress(force: float) -> float:
        return leaf_stress(force, leaves, width, thickness, length)

    return PackDesign(own, load / own, thickness, stress(load), stress(load + own * travel), LEAF_STRESS)


def added_leaf(rate: float, width: float, thickness: float, length: float, extra: float) -> tuple[float, float]:
    """Return the rate [N/m] of a pack with one leaf more, and how far the truck comes up [m].

    Parameters
    ----------
    rate : float
        Of the pack as it is [N/m].
    width, thickness, length : float
        Of the leaf that is added, graduated as its place in the pack asks [m].
    extra : float
        How much more camber the leaf has than the loaded pack at its place [m]: it is bent flat by so much as it is bolted in.

    Notes
    -----
    A graduated leaf adds E b t³ / (3 l³) with l half of the pack's length (2 of the 2 n_G + 3 n_F shares). Bolted in it pushes up with its
    rate times `extra`, and both come to rest where the sum of their forces is the old load: extra k₂/(k₁ + k₂).
    """
    own = 2.0 * MODULUS * width * thickness**3 / (6.0 * (0.5 * length) ** 3)
    return rate + own, extra * own / (rate + own)


def helper(rate: float, helper_rate: float, gap: float, load: float) -> tuple[float, float]:
    """Return how far a spring with a helper gives under a load [N], and the rate there [N/m]; the helper meets its stop after a gap [m].

    delta = F/k₁ below F = k₁ gap, gap + (F - k₁ gap)/(k₁ + k₂) beyond it.
    """
    if load <= rate * gap:
        return load / rate, rate
    return gap + (load - rate * gap) / (rate + helper_rate), rate + helper_rate


def frequency(rate: float, mass: float) -> float:
    """Return the frequency of a mass [kg] on a rate [N/m] in Hz."""
    return (rate / mass) ** 0.5 / (2.0 * pi) if mass > 0.0 else inf
