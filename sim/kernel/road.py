"""The road under the wheels of every lane: where each wheel is, and what the road is there.

One text for all runs. The road comes as samples, evenly spaced, each with the cubic that leads to the next one
(`sim.lower.road.samples`). What differs is the spacing: of a run at some speed, the way that it goes in a step; of one that drives by
its own wheels, a length of its own.
"""

from math import floor

from sim.kernel import layout as at
from sim.kernel.layout import AXLE_AT
from sim.machine.jit import blocked


@blocked
def road_ahead(m, axle, ahead, by_spacing, lanes):
    """Work out how many samples past its nominal one an axle's wheels are.

    An axle whose centre stands where it was measured, and a body that has not left its frame, are `ahead` samples past it;
    what the centre is off that, by its guide, its give, by pitch and by what the truck has gained or lost, counts on top.
    """
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        off = (
            m[at.X * lanes + lane]
            + m[s + at.AHEAD * lanes]
            + m[s + at.HUB_X * lanes]
            - m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.centre_forward) * lanes + lane]
        )
        m[s + at.ROAD_AHEAD * lanes] = ahead + off * by_spacing


@blocked
def road_cell(m, road, axle, nominal, fresh, lanes):
    """Fetch the cubics of the samples that an axle's wheels have passed; `nominal` is the number of the nominal one.

    road : (2, samples, ROAD_ROWS). Its first and last cubics are level: before and past them it stays so. fresh : for how
    many lanes, all or none; a loop bound, since a branch here would cost the compiler its view of who holds the arrays.
    """
    least = -nominal
    most = road.shape[1] - 1 - nominal
    for lane in range(fresh):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        whole = min(max(floor(m[s + at.ROAD_AHEAD * lanes]), least), most)
        number = nominal + whole
        m[s + at.ROAD_CELL * lanes] = whole
        m[s + at.ROAD_START * lanes] = road[axle, number, at.ROAD_HEIGHT]
        m[s + at.ROAD_RISE * lanes] = road[axle, number, at.ROAD_BY_SAMPLE]
        m[s + at.ROAD_BEND * lanes] = road[axle, number, at.ROAD_BENT]
        m[s + at.ROAD_TWIST * lanes] = road[axle, number, at.ROAD_TWISTED]


@blocked
def road_here(m, axle, by_spacing, by_step, lanes):
    """Work out the road where an axle's wheels really are: height, slope, and its rise in time but for what they move by themselves.

    by_step : [1/s] samples that the frame passes in a second.
    """
    for lane in range(lanes):
        s = (at.SCRATCH + axle * at.SCRATCH_ROWS) * lanes + lane
        t = m[s + at.ROAD_AHEAD * lanes] - m[s + at.ROAD_CELL * lanes]
        rise = m[s + at.ROAD_RISE * lanes]
        bend = m[s + at.ROAD_BEND * lanes]
        twist = m[s + at.ROAD_TWIST * lanes]
        by_sample = rise + t * (2.0 * bend + 3.0 * t * twist)
        m[s + at.ROAD * lanes] = m[s + at.ROAD_START * lanes] + t * (rise + t * (bend + t * twist))
        m[s + at.ROAD_SLOPE * lanes] = by_sample * by_spacing
        m[s + at.ROAD_RATE * lanes] = by_sample * by_step
