"""Force laws of one lane: small pure functions of speed and travel."""

from sim.kernel.layout import TYRE_DAMPING_DEPTH
from sim.machine.jit import inlined


@inlined
def ramps(speed, compression, rise, extension, fall):
    """Return one ramp of each side of a damper curve [N], but for the constant that makes them zero at rest.

    rise x max(speed, compression) + fall x min(speed, extension), where compression and extension (< 0) are the
    speeds [m/s] at which they begin and rise and fall their slopes [N s/m].
    """
    above = speed if speed > compression else compression
    below = speed if speed < extension else extension
    return rise * above + fall * below


@inlined
def ramps_slope(speed, compression, rise, extension, fall):
    """Return the slope of such a pair of ramps [N s/m]."""
    return (rise if speed > compression else 0.0) + (fall if speed < extension else 0.0)


@inlined
def contact(depth, depth_speed, rate, cubic, loss):
    """Return a one-sided contact's force and its elastic part [N].

    force = (rate p + cubic p³)(1 + loss dp/dt), never pulling; K. H. Hunt, F. R. E. Crossley,
    J. Applied Mechanics 42 (1975) 440: loss in proportion to the elastic force keeps it continuous at touch.
    """
    p = depth if depth > 0.0 else 0.0
    elastic = p * (rate + cubic * p * p)
    force = elastic * (1.0 + loss * depth_speed)
    return (force if force > 0.0 else 0.0), elastic


@inlined
def tyre(deflection, deflection_speed, rate, rate_rise, damping):
    """Return the tyres' vertical load and its elastic part [N]; contact only in compression.

    load = k d + k' d² + c dd/dt, with c fading in over the first millimetres so that touch-down has no jump.
    """
    d = deflection if deflection > 0.0 else 0.0
    depth = d / TYRE_DAMPING_DEPTH
    share = depth if depth < 1.0 else 1.0
    elastic = d * (rate + rate_rise * d)
    load = elastic + damping * share * deflection_speed
    return (load if load > 0.0 else 0.0), elastic


@inlined
def friction_rate(speed, force, friction, build_up):
    """Return the rate of interleaf friction [N/s], a state that follows travel and not time.

    build_up is 1/beta; dF/ds = (F_envelope - F)/beta in the sense of motion: P. S. Fancher, R. D. Ervin, C. C. MacAdam,
    C. B. Winkler, SAE 800905 (1980), the envelope law, written as a differential equation.
    """
    size = speed if speed > 0.0 else -speed
    return (speed * friction - size * force) * build_up
