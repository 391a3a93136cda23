"""Fixed steps over a block of set-ups, two evaluations each (`sim.kernel.stepping`).

The steps are the output samples, or a whole number of them make one (sub-steps). Pushes come sampled at the steps, and so
does the road at the places that the truck then passes (sim/lower/road/sampling.py); it is read where the wheels are.
"""

from collections.abc import Callable
from functools import cache
from typing import Any

from sim.kernel import layout as at
from sim.kernel.axle import axle_forces, constants, stop_forces, wheel_loads
from sim.kernel.curves import cosine, sine
from sim.kernel.equations import accelerations, is_general
from sim.kernel.giving import all_give, giving_accelerations
from sim.kernel.guides import guide, way_of
from sim.kernel.layout import CLOSING, DRIVEN, FRONT, LINE_AT, RATE, REAR, STATES
from sim.kernel.lines import (
    bush_correct,
    bush_keep,
    bush_predict,
    line_ends,
    line_forces,
    line_law,
    line_motion,
    line_slope,
    taut,
)
from sim.kernel.road import road_ahead, road_cell, road_here
from sim.kernel.stepping import (
    PAST_STEPS,
    advance,
    at_stage,
    correct,
    end_rows,
    go_back,
    missed,
    parts_of,
    predict,
    remember,
    weight_of,
)
from sim.kernel.watch import farthest, reach, watch
from sim.machine.jit import BLOCK, FEW, FOUR, NARROW, ONE, SINGLE, WIDE, blocked, compiled, inlined, narrowed

V = at.COORDINATES
STEADY = 1e12  # a time since which any bush has settled [s]
AT_ONCE = 1e-9  # a time in which none has moved [s]


@blocked
def begin(m, lanes, rows):
    """Clear the powers, which every part adds to, and take sine and cosine of the pitch."""
    for i in range(at.MOTION * lanes, rows * lanes):
        m[at.RATE * lanes + i] = 0.0
    for lane in range(lanes):
        m[at.SINE_PITCH * lanes + lane] = sine(m[at.PITCH * lanes + lane])
        m[at.COSINE_PITCH * lanes + lane] = cosine(m[at.PITCH * lanes + lane])


@blocked
def write_row(m, row, out, wrote, channel, lanes):
    """Write a row of memory as a channel of one output, lane beside lane."""
    for lane in range(lanes):
        out[wrote, channel * lanes + lane] = m[row * lanes + lane]


@blocked
def all_lines(
    m, lines, kinds, knots, first_group, memory, first, last, axle, lanes, rows, since, settled, keep, out, wrote, write,
):  # fmt: skip
    """Add the coils, dampers and straps of one axle, and write their channels if asked.

    The axle is a constant to each caller, and a line's number an index of its own: were either part of a sum of
    offsets, the compiler could prove neither rows apart nor indices positive, and would gather one lane at a time.
    """
    for number in range(first, last):
        kind = kinds[number]
        # Channels are written even of a slack strap.
        if kind == at.STRAP and not (write and rows > at.MOTION) and not taut(m, lines, number, axle, lanes):
            continue
        touching = line_motion(m, lines, number, axle, lanes)
        if write and rows == at.MOTION:  # a traced run writes all of it
            reach(m, memory, number, lanes)
        if kind == at.BUSHED:
            bush_predict(m, lines, memory, number, lanes, since)
            for group in range(first_group[number], first_group[number + 1]):
                line_law(m, knots, group, DRIVEN, lanes)
                line_slope(m, knots, group, lanes)
            bush_correct(m, lines, number, lanes, since, settled)
            for group in range(first_group[number], first_group[number + 1]):
                line_law(m, knots, group, DRIVEN, lanes)
                line_slope(m, knots, group, lanes)
            if keep:
                bush_keep(m, memory, number, lanes)
        else:
            for group in range(first_group[number], first_group[number + 1]):
                line_law(m, knots, group, CLOSING, lanes)
        if kind == at.SPRING:
            line_forces(m, lines, number, axle, lanes, rows, True, False)
        else:
            line_forces(m, lines, number, axle, lanes, rows, False, True)
        if touching:
            line_ends(m, lines, number, axle, lanes, rows)
        if write and rows > at.MOTION:
            channel = at.TRACE_LINES + number * at.LINE_CHANNELS
            write_row(m, at.LENGTH, out, wrote, channel + at.LINE_LENGTH, lanes)
            write_row(m, at.CLOSING, out, wrote, channel + at.LINE_SPEED, lanes)
            write_row(m, at.WHOLE, out, wrote, channel + at.LINE_FORCE, lanes)
            write_row(m, at.LAW, out, wrote, channel + at.LINE_LAW, lanes)


@blocked
def evaluate(
    m, lines, lines_front, kinds, knots, first_group, memory, road, nominal, past, by_spacing, by_step, speed, push, index,
    following, ahead, fresh, front_way, rear_way, general, giving, since, settled, out, wrote, write, keep, lanes, rows,
):  # fmt: skip
    """Evaluate the equations of all lanes once, `ahead` of 0 to 1 from the step `index` to the `following` one.

    nominal, past : number of a sample of the road, and how far past it that is.
    """
    begin(m, lanes, rows)
    guide(m, FRONT, lanes, front_way)
    guide(m, REAR, lanes, rear_way)
    road_ahead(m, FRONT, past, by_spacing, lanes)
    road_ahead(m, REAR, past, by_spacing, lanes)
    road_cell(m, road, FRONT, nominal, fresh, lanes)
    road_cell(m, road, REAR, nominal, fresh, lanes)
    if axle_forces(m, FRONT, lanes, rows):
        stop_forces(m, FRONT, lanes, rows)
    if axle_forces(m, REAR, lanes, rows):
        stop_forces(m, REAR, lanes, rows)
    all_lines(
        m, lines, kinds, knots, first_group, memory, 0, lines_front, FRONT, lanes, rows, since, settled, keep, out, wrote,
        write,
    )  # fmt: skip
    all_lines(
        m, lines, kinds, knots, first_group, memory, lines_front, kinds.size, REAR, lanes, rows, since, settled, keep, out,
        wrote, write,
    )  # fmt: skip
    road_here(m, FRONT, by_spacing, by_step, lanes)
    road_here(m, REAR, by_spacing, by_step, lanes)
    wheel_loads(m, FRONT, lanes, rows)
    wheel_loads(m, REAR, lanes, rows)
    pushed = at_stage(push[index], push[following], ahead)
    # A traced run tells the force that holds its speed, for which the row of x is formed.
    if giving:
        giving_accelerations(m, lanes, rows, False, pushed, speed)
    elif rows > at.MOTION or general > 0.0:
        accelerations(m, lanes, rows, True, False, pushed, speed)
    else:
        accelerations(m, lanes, rows, False, False, pushed, speed)


@blocked
def write_traces(m, out, wrote, lanes):
    """Write one output of a traced run: states, accelerations, loads, stops, road, and the force that holds the speed."""
    for i in range(at.STATES * lanes):
        out[wrote, i] = m[i]
    for i in range(V * lanes):
        out[wrote, at.TRACE_RATE * lanes + i] = m[(at.RATE + V) * lanes + i]
    for axle in range(at.AXLES):
        row = at.SCRATCH + axle * at.SCRATCH_ROWS
        write_row(m, row + at.LOAD, out, wrote, at.TRACE_TYRE + axle, lanes)
        write_row(m, row + at.STOP, out, wrote, at.TRACE_STOP + axle, lanes)
        write_row(m, row + at.ROAD, out, wrote, at.TRACE_ROAD + axle, lanes)
        write_row(m, row + at.ROAD_SLOPE, out, wrote, at.TRACE_SLOPE + axle, lanes)
    write_row(m, at.DRIVER, out, wrote, at.TRACE_DRIVER, lanes)


@inlined
def is_lost(m, rows):
    """Return whether the state is not finite any more, or far from anywhere that a truck can be."""
    total = 0.0
    for i in range(rows):
        total += abs(m[i])
    return not total < 1e9


@blocked
def move(m, lanes, rows, starting, stage, step, carrying, first_part):
    """Go on to where the equations are evaluated next: (5.1) and (5.2), or Runge-Kutta's stages at the start of a run."""
    if starting:
        if stage == 0 and first_part:
            remember(m, lanes, rows)
        if carrying and stage == 3:
            end_rows(m, lanes, 0, V, V, 1.0, step / 6.0)
            end_rows(m, lanes, V, rows, RATE, 1.0, step / 6.0)
        else:
            advance(m, lanes, rows, stage, step)
    elif stage == 0:
        predict(m, lanes, rows, step)
    else:
        correct(m, lanes, rows, step, carrying)


def loop(lanes: int, traced: bool, carrying: bool = False) -> Callable[..., Any]:
    """Return the loop for one lane count, not compiled, with time histories and energies or with what is watched only.

    carrying : what is too small for the precision of the state is kept and added later (`end_rows`).
    """
    rows = at.STATES if traced else at.MOTION
    # What is done for one set-up as it goes: to stop where it is lost, and to do a step again that meets a kink.
    alone = traced and lanes == SINGLE

    def run(
        m, lines, lines_front, kinds, knots, first_group, road, first, speed, push, step, steps, every, out, watched,
        memory,
    ):  # fmt: skip
        """Run all lanes; return how many outputs are written: of one lane with a time history, those that are finite.

        m : (MEMORY_ROWS * lanes,), with parameters and the initial state; holds the last state afterwards.
        lines : (lines, LINE_ROWS * lanes), the front axle's first, lines_front of them; kinds : (lines,) of SPRING, DAMPER,
        BUSHED, STRAP.
        knots : (groups, GROUP_ROWS * lanes); first_group : (lines + 1,) where each line's groups begin.
        road : (2, samples, ROAD_ROWS) under front and rear, a sample a step, number `first` of them at the first step.
        speed : [m/s] along it; 0 if it moves up and down under the wheels, wherever they are.
        push : (steps + 1,) upward force [N].
        out : (steps // every + 1, channels * lanes), written if traced; if not, (watched rows, outputs, lanes).
        watched : (n,) rows of m that are written there, if not traced.
        memory : (lines, BUSH_ROWS * lanes) of end bushes and reach.
        """
        wrote = 0
        by_step = 1.0 / step
        by_spacing = by_step / speed if speed > 0.0 else 0.0 * by_step
        front_way, rear_way = way_of(m, FRONT, lanes), way_of(m, REAR, lanes)
        constants(m, FRONT, lanes)
        constants(m, REAR, lanes)
        general, giving = is_general(m, lanes), all_give(m, lanes)
        before = m[at.CONTINUED * lanes]
        begins = before == 0.0
        kink = m[at.KINK] * weight_of(m) if alone else 0.0
        for i in range(rows * lanes):
            m[at.START * lanes + i] = m[at.POINT * lanes + i]
        # Up to which step there are no rates of smooth steps before.
        afresh = (max(PAST_STEPS, m[at.AFRESH]) if alone else PAST_STEPS) - before
        since_kept = STEADY if begins else AT_ONCE
        for index in range(steps + 1):
            starting = index < afresh
            following = index + 1 if index < steps else index
            parts, part, stage = 1, 0, 0
            while part < parts:
                # How far into the step, or a part of it: Runge-Kutta's stages stand at its start, middle, middle and end,
                # later ones at both ends.
                share = 0.0 if stage == 0 else 0.5 if starting and stage < 3 else 1.0
                ahead, length = share, step
                if alone and parts > 1:
                    ahead, length = (part + share) / parts, step / parts
                since = since_kept if stage == 0 else share * length
                settled = 1.0 if index == 0 and stage == 0 and begins else 0.0
                # At the end of a step the nominal sample is the next one: that of the start of the step which follows.
                past = ahead if ahead < 1.0 else 0.0
                nominal = first + (index if ahead < 1.0 else following)
                # Else the last evaluation was in the same place but for the step's correction, and its cubics serve.
                fresh = lanes if stage > 0 or index == 0 else 0
                keep = stage == 0  # only the first stage's speeds are final
                write = stage == 0 and part == 0 and index % every == 0
                evaluate(
                    m, lines, lines_front, kinds, knots, first_group, memory, road, nominal, past, by_spacing, by_step,
                    speed, push, index, following, ahead, fresh, front_way, rear_way, general, giving, since, settled, out, wrote, write, keep,
                    lanes, rows,
                )  # fmt: skip
                if write:
                    if traced:
                        write_traces(m, out, wrote, lanes)
                        if alone and is_lost(m, at.STATES):
                            return wrote
                    else:
                        farthest(m, lanes)
                        watch(m, out, watched, wrote, lanes)
                    wrote += 1
                if index == steps:
                    return wrote
                last = 3 if starting else 1
                if alone and kink > 0.0 and parts == 1 and stage == last:
                    off = missed(m, starting, step)
                    if off > kink:
                        # What the rates did before a kink says nothing of after it, in this step and in the next ones: it is done again
                        # by Runge-Kutta, whole at first, and in parts where that is off too.
                        parts = parts_of(off, kink) if starting else 1
                        afresh, starting = index + 1.0 + PAST_STEPS, True
                        m[at.AFRESH] = afresh + before
                        go_back(m)
                        advance(m, lanes, rows, 0, step / parts)
                        since_kept = step / parts
                        stage = 1
                        continue
                move(m, lanes, rows, starting, stage, length, carrying, part == 0)
                since_kept = length
                stage += 1
                if stage > last:
                    part += 1
                    stage = 0
        return wrote

    return run


def named(run: Callable[..., Any], name: str) -> Callable[..., Any]:
    """Return it with a name by which the cache knows it."""
    run.__name__ = run.__qualname__ = name
    return run


run_single = compiled(named(loop(SINGLE, traced=True), ONE))
run_few = compiled(named(loop(FEW, traced=True), FOUR))
run_block = compiled(named(loop(BLOCK, traced=False), WIDE))


@cache
def narrow_block() -> Callable[..., Any]:
    """Return `run_block` in single precision, made when it is first asked for.

    All its numbers and its step are of single precision. Rows CARRY hold what the initial state is short of by that.
    """
    run = named(loop(BLOCK, traced=False, carrying=True), NARROW)
    return compiled(run, narrowed)


@blocked
def lines_once(m, lines, knots, first_group, first, last, axle, pair, pair_rate):
    """Add one axle's lines for `derivative`; with `pair` given, a damper on bushes has its own speed."""
    for number in range(first, last):
        line_motion(m, lines, number, axle, 1)
        bushed = pair.size > 0 and lines[number, LINE_AT.bush_give] > 0.0
        m[at.DRIVEN] = pair[number] if bushed else m[at.CLOSING]
        m[at.SLOPE] = 0.0
        for group in range(first_group[number], first_group[number + 1]):
            line_law(m, knots, group, DRIVEN, 1)
            line_slope(m, knots, group, 1)
        if bushed:
            pair_rate[number] = (m[at.CLOSING] - pair[number]) / (lines[number, LINE_AT.bush_give] * m[at.SLOPE])
        line_forces(m, lines, number, axle, 1, STATES, True, True)
        line_ends(m, lines, number, axle, 1, STATES)


def _derivative(
    m, lines, lines_front, knots, first_group, road, ahead, by_spacing, by_step, push, pair, pair_rate
):  # fmt: skip
    """Evaluate the same equations once, for one lane: rest, linear view and reference integrators.

    Reads the state in rows POINT and leaves its derivative in rows RATE, loads and line forces in theirs.
    road, ahead, by_spacing, by_step : as `sim.kernel.road` takes them, from its first sample. pair : (lines,) speeds of dampers on end bushes as states of
    their own, whose rates are written to pair_rate; or (0,), then the bushes are taken as settled.
    """
    begin(m, 1, STATES)
    for i in range(V):
        m[at.RATE + i] = m[V + i]
    constants(m, FRONT, 1)
    guide(m, FRONT, 1, way_of(m, FRONT, 1))
    road_ahead(m, FRONT, ahead, by_spacing, 1)
    road_cell(m, road, FRONT, 0, 1, 1)
    road_here(m, FRONT, by_spacing, by_step, 1)
    wheel_loads(m, FRONT, 1, STATES)
    axle_forces(m, FRONT, 1, STATES)
    stop_forces(m, FRONT, 1, STATES)
    lines_once(m, lines, knots, first_group, 0, lines_front, FRONT, pair, pair_rate)
    constants(m, REAR, 1)
    guide(m, REAR, 1, way_of(m, REAR, 1))
    road_ahead(m, REAR, ahead, by_spacing, 1)
    road_cell(m, road, REAR, 0, 1, 1)
    road_here(m, REAR, by_spacing, by_step, 1)
    wheel_loads(m, REAR, 1, STATES)
    axle_forces(m, REAR, 1, STATES)
    stop_forces(m, REAR, 1, STATES)
    lines_once(m, lines, knots, first_group, lines_front, first_group.size - 1, REAR, pair, pair_rate)
    speed = by_step / by_spacing if by_spacing > 0.0 else 0.0
    if all_give(m, 1):
        giving_accelerations(m, 1, STATES, False, push, speed)
    else:
        accelerations(m, 1, STATES, True, False, push, speed)


derivative = compiled(_derivative)
