"""Time histories of one set-up as CSV, units in the header."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from sim.describe.shown import figures_of, headed
from sim.integrate.result import Run
from sim.integrate.traces import Array, DriveTrace
from sim.show.report.table_csv import Table


def columns(run: Run) -> dict[str, Array]:
    """Return every channel by its header, `name [unit]`, in the signs that people use and the units that are shown."""
    channels = {headed(name, quantity): figures_of(values, quantity) for name, quantity, values in _channels(run)}
    if run.drive is not None:
        for name, wheel in (("front", run.drive.front), ("rear", run.drive.rear)):
            # No unit of the workshop: engineers read it beside the engine's.
            channels[f"wheel speed {name} [rad/s]"] = wheel.spin_rad_per_s
    return channels


def _channels(run: Run) -> Iterator[tuple[str, str, Array]]:
    """Yield name, quantity and values [SI] of every channel."""
    yield "time", "time", run.time_s
    yield "distance", "distance", run.distance_m
    yield "bounce up", "length", run.bounce_m
    yield "pitch nose up", "angle", run.pitch_nose_up_rad
    # Points of the body have names of the vehicle's file, so these columns differ from truck to truck.
    for point, values in run.acceleration_m_per_s2.items():
        yield f"acceleration up {point}", "acceleration", values
    if run.drive is not None:
        yield from _driving(run, run.drive)
    elif run.pushes_back:
        yield "road speed", "road_speed", run.speed_m_per_s + run.gained_m_per_s
        yield "driver's force forwards", "force", run.driver_force_n
        for point, values in run.acceleration_forward_m_per_s2.items():
            yield f"acceleration forward {point}", "acceleration", values
    for name, axle in run.axles:
        yield f"road {name}", "length", axle.road_height_m
        yield f"wheel height {name}", "length", axle.wheel_height_m
        yield f"axle travel {name} bump +", "length", axle.jounce_m
        yield f"wind-up {name} pinion up", "angle", axle.wind_up_rad
        yield f"tyre load {name}", "force", axle.tyre_load_n
        yield f"spring force {name}", "force", axle.spring_force_n
        yield f"bump stop force {name}", "force", axle.stop_force_n
        yield f"limit strap force {name}", "force", axle.strap_force_n
        if axle.give_m is not None and run.drive is None:
            yield f"axle shift {name} forwards", "length", axle.give_m
        for damper in axle.dampers.values():
            yield f"damper {name} {damper.name} length", "length", damper.length_m
            yield f"damper {name} {damper.name} speed compression +", "speed", damper.speed_m_per_s
            # Of one damper, not of the set: that is what lies beside a test machine's curve.
            yield f"damper {name} {damper.name} force of one compression +", "force", damper.force_n


def _driving(run: Run, drive: DriveTrace) -> Iterator[tuple[str, str, Array]]:
    """Yield what only a run that drives or brakes has."""
    yield "road speed", "road_speed", drive.speed_m_per_s
    yield "engine speed", "turning", drive.engine_rad_per_s
    yield "engine torque", "torque", drive.engine_torque_n_m
    for name, wheel in (("front", drive.front), ("rear", drive.rear)):
        yield f"slip {name}", "percent", wheel.slip
        yield f"traction {name} forwards", "force", wheel.traction_n
        yield f"shaft torque {name}", "torque", wheel.shaft_torque_n_m
        yield f"brake torque {name}", "torque", wheel.brake_torque_n_m
        yield f"torque on axle {name} pinion up", "torque", wheel.housing_torque_n_m
        yield f"axle shift {name} forwards", "length", wheel.shift_m
        if wheel.joint_at_gearbox_rad is not None and wheel.joint_at_pinion_rad is not None:
            yield f"joint angle {name} at gearbox", "angle", wheel.joint_at_gearbox_rad
            yield f"joint angle {name} at pinion", "angle", wheel.joint_at_pinion_rad
    for name, axle in run.axles:
        # Nearly no truck has a wind-up link: a column of noughts would only raise questions.
        if axle.link_force_n is not None and np.any(axle.link_force_n):
            yield f"wind-up link {name} pull +", "force", axle.link_force_n


def write(run: Run, path: Path) -> None:
    """Write all channels of a run; seven digits, one row a sample.

    One format string for thousands of rows at once: several times faster than going
    row by row.
    """
    channels = columns(run)
    # Seven digits are far more than the model is good for, at half the size of full doubles.
    row = ",".join(["%.4f"] + ["%.7g"] * (len(channels) - 1))
    table = np.column_stack(list(channels.values())) + 0.0  # no negative zeros
    with path.open("w", encoding="utf-8", newline="\n") as file:
        Table(file).writerow(channels)  # quotes what needs it
        # Not all rows at once: of a long course the format string and the tuple would take a lot of memory.
        for start in range(0, len(table), 2000):
            part = table[start : start + 2000]
            file.write("\n".join([row] * len(part)) % tuple(part.ravel().tolist()))
            file.write("\n")
