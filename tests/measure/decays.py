"""Free decays in closed form, for the tests of what is measured from them."""

import numpy as np


def viscous(time_s, zeta, frequency_hz=1.2):
    """Unit displacement let go from standstill; damped frequency given.

    Any vibration text, e.g. W. T. Thomson, Theory of Vibration with Applications, or S. S. Rao,
    Mechanical Vibrations, "free vibration with viscous damping"; recomputed.
    """
    damped = 2 * np.pi * frequency_hz
    rate = zeta * damped / np.sqrt(1 - zeta**2)
    return np.exp(-rate * time_s) * (np.cos(damped * time_s) + rate / damped * np.sin(damped * time_s))


def coulomb(time_s, start, give, frequency_hz=1.2):
    """Let go from `start` with dry friction F on a spring k, give = F/k; any vibration text.

    Half a cosine about ±give at a time; it stops at the first turn within ±give.
    """
    phase = 2 * np.pi * frequency_hz * time_s
    half = np.minimum(np.floor(phase / np.pi), coulomb_turns(start, give))
    side = np.where(half % 2 == 0, 1.0, -1.0)
    moving = side * ((start - (2 * half + 1) * give) * np.cos(phase - half * np.pi) + give)
    stopped = side * (start - 2 * half * give)
    return np.where(half == coulomb_turns(start, give), stopped, moving)


def coulomb_turns(start, give):
    """Half swings until it sticks."""
    return int(np.ceil((start - give) / (2 * give)))
