"""Lines and levers of one lane, in body axes from the sprung centre of gravity."""

from math import sqrt

from sim.machine.jit import inlined


@inlined
def turned(forward, up, sine, cosine):
    """Return a housing point turned by the housing's rotation (positive lowers what is ahead)."""
    return forward * cosine + up * sine, up * cosine - forward * sine


@inlined
def line(dx, dz, sideways, point_forward, point_up, path_slope):
    """Return a line's length, one over it, its derivative by jounce while the housing does not turn, and by the housing's turn.

    dx, dz run from the body point to the axle point; point_* is the axle point from the axle's centre after
    turning; path_slope is d(centre forward)/d(jounce).
    """
    square = dx * dx + dz * dz + sideways * sideways
    length = sqrt(square)
    by_length = length * (1.0 / square)  # root and reciprocal side by side, where 1 / length would wait for the root
    by_turn = (dx * point_up - dz * point_forward) * by_length
    return length, by_length, (dx * path_slope + dz) * by_length, by_turn
