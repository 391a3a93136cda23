"""Turning points of a signal that comes in pieces."""

from sim.machine.jit import compiled


@compiled
def turning_points(signal, least, memory, out):
    """Write the turning points of a signal (n,) to `out` (n,), those of ranges below `least` left out; return how many.

    memory : (2,) the last extreme and which way it was reached (+1, -1; 0: the signal has only begun). It goes on where the
    piece before ended; before the first piece it holds the first sample and 0.
    """
    extreme, way = memory[0], memory[1]
    count = 0
    for i in range(signal.size):
        value = signal[i]
        if way == 0.0:
            if abs(value - extreme) >= least:
                out[count] = extreme
                count += 1
                way = 1.0 if value > extreme else -1.0
                extreme = value
        elif way * (value - extreme) > 0.0:
            extreme = value
        elif way * (extreme - value) >= least:
            out[count] = extreme
            count += 1
            extreme, way = value, -way
    memory[0], memory[1] = extreme, way
    return count
