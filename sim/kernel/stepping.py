"""How a step is made: by the steps before it, with two evaluations, and by Runge-Kutta where there are none.

Both are of fourth order. Road, knees, stops and lift-off have kinks, and past a kink every method is of second order: then
the shorter step gains more than the higher order, and two evaluations a step allow steps half as long as four do. A traced run
does a step again that meets one, by Runge-Kutta from its start on: whole, and in parts where that is off too.
"""

from math import sqrt

from sim.kernel import layout as at
from sim.kernel.layout import AXLE_AT, BODY_AT, MOTION, RATE
from sim.machine.jit import blocked, exact, inlined

V = at.COORDINATES

PAST_STEPS = 2
"""Steps whose rates are remembered; so many are made by Runge-Kutta at the start of a run, and after a kink."""

PARTS_MOST = 32.0
"""Parts at most in which a step with a kink is done again."""


@inlined
def at_stage(now, then, ahead):
    """Return an input between two steps, `ahead` of 0 to 1 into it: to the last bit what it is at either."""
    return (1.0 - ahead) * now + ahead * then


@blocked
def advance_rows(m, lanes, first, last, source, stage, step):
    """Advance some rows, whose rates stand `source` rows on from them."""
    if stage == 0:
        for i in range(first * lanes, last * lanes):
            rate = m[source * lanes + i]
            m[at.TOTAL * lanes + i] = rate
            m[at.POINT * lanes + i] = m[at.START * lanes + i] + 0.5 * step * rate
    elif stage < 3:
        ahead = 0.5 * step if stage == 1 else step
        for i in range(first * lanes, last * lanes):
            rate = m[source * lanes + i]
            m[at.TOTAL * lanes + i] += 2.0 * rate
            m[at.POINT * lanes + i] = m[at.START * lanes + i] + ahead * rate
    else:
        for i in range(first * lanes, last * lanes):
            total = m[at.TOTAL * lanes + i] + m[source * lanes + i]
            end = m[at.START * lanes + i] + step / 6.0 * total
            m[at.START * lanes + i] = end
            m[at.POINT * lanes + i] = end


@exact
def summed(start, more, short):
    """Return start + more, and by how much it is short of that (T. J. Dekker, Numerische Mathematik 18 (1971) 224-242)."""
    whole = more + short
    end = start + whole
    return end, whole - (end - start)


@blocked
def end_rows(m, lanes, first, last, source, weight, part):
    """End a step of some rows in single precision, and carry over what its numbers are too short for.

    What it adds is part x (TOTAL + weight x rate). Without it, slow motions get stuck: what a step adds to a height of a
    metre may be less than its last digit.
    """
    for i in range(first * lanes, last * lanes):
        total = m[at.TOTAL * lanes + i] + weight * m[source * lanes + i]
        end, short = summed(m[at.START * lanes + i], part * total, m[at.CARRY * lanes + i])
        m[at.CARRY * lanes + i] = short
        m[at.START * lanes + i] = end
        m[at.POINT * lanes + i] = end


@blocked
def sum_rows(m, lanes, first, last, stage, step):
    """Add one stage to the sum of rows on which nothing depends, such as energies; at last move them to the end of the step."""
    for i in range(first * lanes, last * lanes):
        rate = m[at.RATE * lanes + i]
        if stage == 0:
            m[at.TOTAL * lanes + i] = rate
        elif stage < 3:
            m[at.TOTAL * lanes + i] += 2.0 * rate
        else:
            end = m[at.START * lanes + i] + step / 6.0 * (m[at.TOTAL * lanes + i] + rate)
            m[at.START * lanes + i] = end
            m[at.POINT * lanes + i] = end


@blocked
def advance(m, lanes, rows, stage, step):
    """Add one stage to the step's sum and move to where the next one is evaluated, at last to the end of the step.

    Places change at the speeds, which stand as many rows on as there are coordinates and are still those of this stage.
    """
    advance_rows(m, lanes, 0, V, V, stage, step)
    advance_rows(m, lanes, V, MOTION, RATE, stage, step)
    if rows > at.MOTION:
        sum_rows(m, lanes, MOTION, rows, stage, step)


@blocked
def remember_rows(m, lanes, first, last, source):
    """Keep the rates of some rows at the start of a step for the next ones."""
    for i in range(first * lanes, last * lanes):
        m[(at.PAST + at.STATES) * lanes + i] = m[at.PAST * lanes + i]
        m[at.PAST * lanes + i] = m[source * lanes + i]


@blocked
def remember(m, lanes, rows):
    """Keep all rates at the start of a step for the next ones."""
    remember_rows(m, lanes, 0, V, V)
    remember_rows(m, lanes, V, rows, RATE)


@blocked
def predict_rows(m, lanes, first, last, source, step):
    """Move some rows to the end of the step by what rates were, and keep that and what the corrected step needs of it.

    J. C. Adams' explicit formula of third order, step / 12 x (23, -16, 5), and of the implicit one of fourth order,
    step / 24 x (9, 19, -5, 1), all but the rate at the end (E. Hairer, S. P. Norsett, G. Wanner, Solving Ordinary
    Differential Equations I, III.1). With a predictor of fourth order steps would have to be a third shorter to stay stable.
    """
    for i in range(first * lanes, last * lanes):
        now = m[source * lanes + i]
        before = m[at.PAST * lanes + i]
        long_before = m[(at.PAST + at.STATES) * lanes + i]
        m[at.POINT * lanes + i] = m[at.START * lanes + i] + step / 12.0 * (
            23.0 * now - 16.0 * before + 5.0 * long_before
        )
        m[at.TOTAL * lanes + i] = 19.0 * now + (long_before - 5.0 * before)
        m[(at.PAST + at.STATES) * lanes + i] = before
        m[at.PAST * lanes + i] = now


@blocked
def predict(m, lanes, rows, step):
    """Move to the end of the step by what the rates were at its start and before.

    Places change at the speeds, which stand as many rows on as there are coordinates and are still those of the start.
    """
    predict_rows(m, lanes, 0, V, V, step)
    predict_rows(m, lanes, V, rows, RATE, step)


@blocked
def correct_rows(m, lanes, first, last, source, step):
    """End a step of some rows by what their rates turned out to be where it was predicted to end."""
    for i in range(first * lanes, last * lanes):
        end = m[at.START * lanes + i] + step / 24.0 * (m[at.TOTAL * lanes + i] + 9.0 * m[source * lanes + i])
        m[at.START * lanes + i] = end
        m[at.POINT * lanes + i] = end


@blocked
def correct(m, lanes, rows, step, carrying):
    """End a step by what the rates turned out to be where it was predicted to end."""
    if carrying:
        end_rows(m, lanes, 0, V, V, 9.0, step / 24.0)
        end_rows(m, lanes, V, rows, RATE, 9.0, step / 24.0)
    else:
        correct_rows(m, lanes, 0, V, V, step)
        correct_rows(m, lanes, V, rows, RATE, step)


@inlined
def off_by(m, row, part, weight):
    """Return by how much a row at the end of a step, once corrected, is off where the step's last evaluation was."""
    return abs(m[at.START + row] + part * (m[at.TOTAL + row] + weight * m[RATE + row]) - m[at.POINT + row])


@inlined
def missed(m, starting, step):
    """Return the energy [J] by which a step, once corrected, is off its forecast; for one lane, before the step is ended.

    Where all is smooth that is of third order or more in the step, and next to nothing; past a kink of the rates (a wheel that
    touches down, a knee, an edge of the road) it is of second order. A speed's miss counts by its own inertia and its size, an
    axle's by how fast its tyres are pressed in: an upper limit, which leaves out how bodies are coupled.
    """
    part, weight = (step / 6.0, 1.0) if starting else (step / 24.0, 9.0)
    rise = abs(m[V + at.Z])
    energy = m[at.BODY + BODY_AT.mass] * rise * off_by(m, V + at.Z, part, weight)
    energy += m[at.BODY + BODY_AT.mass] * abs(m[V + at.X]) * off_by(m, V + at.X, part, weight)
    energy += m[at.BODY + BODY_AT.pitch_inertia] * abs(m[V + at.PITCH]) * off_by(m, V + at.PITCH, part, weight)
    for axle in range(at.AXLES):
        a = at.AXLE + axle * at.AXLE_ROWS
        s = at.SCRATCH + axle * at.SCRATCH_ROWS
        jounce, wind_up, shift = V + at.JOUNCE + 2 * axle, V + at.WIND_UP + 2 * axle, V + at.SHIFT + axle
        pressed = rise + abs(m[jounce]) + abs(m[s + at.ROAD_RATE])
        energy += m[a + AXLE_AT.mass] * pressed * off_by(m, jounce, part, weight)
        energy += m[s + at.INERTIA] * abs(m[wind_up]) * off_by(m, wind_up, part, weight)
        energy += m[a + AXLE_AT.mass] * abs(m[shift]) * off_by(m, shift, part, weight)
    if not starting:
        # Where the road's rises are means over windows, each step's work is off and only the sum is right: such steps are done
        # again all together or not at all. Runge-Kutta has no forecast of work, and integrates a cubic's slope exactly.
        for row in range(MOTION, at.STATES):
            energy += off_by(m, row, part, weight)
    return energy


@inlined
def parts_of(off, kink):
    """Return in how many parts a step is done again that is off by more than `kink`: what is missed falls with their square."""
    return int(min(PARTS_MOST, 1.0 + sqrt(off / kink)))


@inlined
def go_back(m):
    """Go back to the start of a step, with the rates that were there; for one lane."""
    for i in range(V):
        m[at.POINT + i] = m[at.START + i]
    for i in range(V, at.STATES):
        m[at.POINT + i] = m[at.START + i]
        m[RATE + i] = m[at.PAST + i]


@inlined
def weight_of(m):
    """Return the truck's weight [N]; for one lane."""
    mass = m[at.BODY + BODY_AT.mass]
    for axle in range(at.AXLES):
        mass += m[at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.mass]
    return mass * m[at.BODY + BODY_AT.gravity]
