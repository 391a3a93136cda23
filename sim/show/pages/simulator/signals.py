"""What a page draws of a run: each signal is one column of what the kernel writes, with people's sign and zero."""

from typing import NamedTuple

from sim.integrate.channels import PINION_UP
from sim.kernel import layout as at
from sim.show.pages.simulator.calls import Call


class Signal(NamedTuple):
    """One signal: scale x column + zero + per_s x time, in SI."""

    column: int
    scale: float = 1.0
    zero: float = 0.0
    per_s: float = 0.0


def signals(call: Call) -> dict[str, Signal]:
    """Return the signals of a run by name.

    Those of a frame (`sim.show.pages.scene.frames`): distance_m; bounce_m and pitch_nose_up_rad from where the set-up stands on
    level ground; of each axle, `front.` or `rear.`: travel_m from the height as measured, wind_up_rad (pinion-up), give_m,
    tyre_load_n. And what only plots show: acceleration_m_per_s2, upwards, of the body's centre of gravity; of each damper
    `front.NAME.` speed_m_per_s and force_n of one, positive in compression.
    """
    standing = call.standing.state
    # A truck that drives has its whole way among its states; else they count from a frame that moves at the run's speed.
    frame = call.plan.speed_m_per_s if call.plan.driving is None else 0.0
    found = {
        "distance_m": Signal(at.X, per_s=frame),
        "bounce_m": Signal(at.Z, zero=-float(standing[at.Z])),
        "pitch_nose_up_rad": Signal(at.PITCH, -1.0, float(standing[at.PITCH])),
        "acceleration_m_per_s2": Signal(at.TRACE_RATE + at.Z),
    }
    for index, axle in enumerate(("front", "rear")):
        found |= {
            f"{axle}.travel_m": Signal(at.JOUNCE + 2 * index),
            f"{axle}.wind_up_rad": Signal(at.WIND_UP + 2 * index, PINION_UP[axle]),
            f"{axle}.give_m": Signal(at.SHIFT + index),
            f"{axle}.tyre_load_n": Signal(at.TRACE_TYRE + index),
        }
    for number, line in enumerate(call.setup.lines):
        if line.role == "damper":
            first = at.TRACE_LINES + number * at.LINE_CHANNELS
            found[f"{line.axle}.{line.name}.speed_m_per_s"] = Signal(first + at.LINE_SPEED)
            found[f"{line.axle}.{line.name}.force_n"] = Signal(first + at.LINE_FORCE)
    return found
