"""Swings of a motion after release: where it comes to rest, its stays on either side, its turns; and contacts that begin."""

from sim.kernel.curves import cosine, sine
from sim.machine.jit import compiled


@compiled
def turns_of(x, least_swing, out):
    """Write the samples at which a motion (n,) turns to `out` (n,); return how many.

    A turn counts if the motion has gone into it and come back from it by `least_swing`; the first one written may lack the way in.
    """
    count, sense = 0, 0.0  # of the swing that is going on, once one is known
    low, high = 0, 0  # the lowest and highest sample since the last turn
    for i in range(x.size):
        if x[i] < x[low]:
            low = i
        if x[i] > x[high]:
            high = i
        if sense >= 0.0 and x[high] - x[i] >= least_swing and high < i:
            out[count] = high
            count += 1
            sense, low = -1.0, i
        elif sense <= 0.0 and x[i] - x[low] >= least_swing and low < i:
            out[count] = low
            count += 1
            sense, high = 1.0, i
    return count


@compiled
def excursions(motion, rest, x, away):
    """Write how far a motion (n,) is from where it rests to `x` (n,), the largest positive, and without sign to `away` (n,); return its sample.

    The first sample that is no number counts as the largest.
    """
    largest = 0
    for i in range(motion.size):
        x[i] = motion[i] - rest
        away[i] = abs(x[i])
        if away[i] > away[largest]:
            largest = i
    for i in range(motion.size):
        if away[i] != away[i]:
            return i
    if x[largest] < 0.0:
        for i in range(motion.size):
            x[i] = -x[i]
    return largest


@compiled
def stays_outside(x, least, out):
    """Write the farthest sample of each stay of a motion (n,) outside ±`least` to `out` (n + 1,), then the last sample outside; return how many.

    A stay lasts until the motion is outside on the other side, so their sides alternate.
    """
    count, side, place, last = 0, 0.0, 0, -1
    for i in range(x.size):
        if abs(x[i]) > least:
            last = i
            here = 1.0 if x[i] > 0.0 else -1.0
            if here != side:
                if side != 0.0:
                    out[count] = place
                    count += 1
                side, place = here, i
            elif abs(x[i]) > abs(x[place]):
                place = i
    if side != 0.0:
        out[count] = place
        count += 1
    out[count] = last
    return count


@compiled
def contacts_begun(touching, time_s, part_s):
    """Return how many contacts begin, of samples (n,) at times (n,) [s]; one that parted for less than part_s [s] goes on."""
    count, ended = 0, False
    end_s = 0.0
    for i in range(1, touching.size):
        if touching[i] and not touching[i - 1]:
            if not ended or time_s[i] - end_s >= part_s:
                count += 1
        elif touching[i - 1] and not touching[i]:
            ended, end_s = True, time_s[i]
    return count


@compiled
def sines_and_cosines(angles, sines, cosines):
    """Write sines and cosines (n,) of angles (n,) within 0.8 rad, as the equations have them (`curves`)."""
    for i in range(angles.size):
        sines[i] = sine(angles[i])
        cosines[i] = cosine(angles[i])
