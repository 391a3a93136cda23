"""What stress a spring of a set-up is under beside what it bears, and how sure that is."""

from math import isfinite, sqrt
from typing import NamedTuple

from sim.describe.parts.springs import SpringDescription
from sim.describe.parts.springs.leaves import LEAF_STRESS
from sim.describe.parts.springs.wire import THICKEST
from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show, show_short
from sim.describe.to_measure import GAP, STOP_HEIGHT, listed

CONTINUED = 0.10
"""How far off the strength of a wire past the table may be, as a share, and that of leaves, which is "some 1000 MPa"; ours, no source."""


class StressOff(NamedTuple):
    """How far off a stress at full bump may be [Pa] by what is estimated, and what to measure."""

    half: float = 0.0
    measure: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """What it leaves open, as the end of a sentence; empty if nothing is estimated."""
        if not self.measure:
            return ""
        return f"; estimates leave {show(self.half, 'stress')} more or less: measure {listed(self.measure)}"


def stress_off(vehicle: Vehicle, axle: str, spring: SpringDescription) -> StressOff:
    """Return the doubt of a spring's stress at full bump: its rate times what gap and squeeze of the stop may be off, added as squares."""
    halves = {one.path: one.half for one in vehicle.estimates if one.half}
    # Stress grows in proportion to force: that of a metre of travel.
    by_travel = spring.stress_under(spring.rate_n_per_m)
    each = {words: halves.get(f"{axle}.stop.{key}", 0.0) for key, words in (("gap", GAP), ("squeeze", STOP_HEIGHT))}
    half = by_travel * sqrt(sum(one**2 for one in each.values()))
    return StressOff(half, tuple(words for words, one in each.items() if one)) if isfinite(half) else StressOff()


def coil_stress_words(
    who: str, wire: tuple[float, float] | None, stress: float, limits: tuple[float, float, float], off: StressOff
) -> list[str]:
    """Return what a coil's greatest stress calls for: the fault first, empty if it is none, then notes.

    Parameters
    ----------
    wire : tuple of float or None
        Its wire's and its own mean diameter [m].
    stress : float
        The greatest [Pa].
    limits : tuple of float
        What its wire bears [Pa]: oil-tempered as wound, and preset, chrome-silicon preset.
    """
    said = f"{who}: {show(stress, 'stress')} in its wire under its greatest load"
    thick = wire is not None and wire[0] > THICKEST
    fault, notes = "", []
    if stress > limits[2]:
        said = f"{said}, and chrome-silicon wire bears {show(limits[2], 'stress')} preset"
        # One that may have run for years on such figures is not called broken by what nobody knows so well.
        if stress - off.half <= limits[2] * (1.0 + (CONTINUED if thick else 0.0)):
            notes.append(f"{said}: at the limit, as far as that is known, so it may sag{off.words}")
        else:
            fault = f"{said}: it sags or breaks. Thicker wire with more turns, or less travel"
    elif stress > limits[1]:
        notes.append(
            f"{said}, more than oil-tempered wire bears ({show(limits[1], 'stress')}, preset): chrome-silicon, preset; ask the maker's limit"
        )
    elif stress > limits[0]:
        notes.append(
            f"{said}, more than the {show(limits[0], 'stress')} that oil-tempered wire bears as wound: order it preset"
        )
    if thick:
        notes.append(
            f"{who}: the strength of wire past {show_short(THICKEST, 'length', (1, 2))} is continued from thinner wire; ask the maker's"
        )
    return [fault, *notes]


def leaf_stress_words(vehicle: Vehicle, axle: str, name: str, pack: SpringDescription, stress: float) -> list[str]:
    """Return what a pack's stress [Pa] at full bump calls for; nothing where leaves bear it."""
    if not stress > LEAF_STRESS:
        return []
    off = stress_off(vehicle, axle, pack)
    said = (
        f"{axle} pack '{name}': {show(stress, 'stress')} in its leaves at full bump, and leaves bear some {show(LEAF_STRESS, 'stress')} "
        "nipped and peened (from memory, no source)"
    )
    if stress - off.half <= LEAF_STRESS * (1.0 + CONTINUED):
        return [f"{said}: at the limit, as far as that is known{off.words}"]
    return [f"{said}: more or longer leaves, thinner ones, or less travel"]
