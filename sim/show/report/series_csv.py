"""Time histories of one set-up as CSV, units in the header."""

from pathlib import Path

import numpy as np

from sim.integrate.result import Array, DriveTrace, Run
from sim.show.report.table_csv import Table


def columns(run: Run) -> dict[str, Array]:
    """Return every channel by its header, `name [unit]`, in the signs that people use."""
    channels = {
        "time [s]": run.time_s,
        "distance [m]": run.distance_m,
        "bounce up [mm]": 1e3 * run.bounce_m,
        "pitch nose up [deg]": np.degrees(run.pitch_nose_up_rad),
    }
    # Points of the body have names of the vehicle's file, so these columns differ from truck to truck.
    for point, values in run.acceleration_m_per_s2.items():
        channels[f"acceleration up {point} [m/s2]"] = values
    if run.drive is not None:
        channels |= _driving(run, run.drive)
    elif run.pushes_back:
        channels |= {
            "road speed [km/h]": 3.6 * (run.speed_m_per_s + run.gained_m_per_s),
            "driver's force forwards [N]": run.driver_force_n,
        }
        for point, values in run.acceleration_forward_m_per_s2.items():
            channels[f"acceleration forward {point} [m/s2]"] = values
    for name, axle in run.axles:
        channels |= {
            f"road {name} [mm]": 1e3 * axle.road_height_m,
            f"wheel height {name} [mm]": 1e3 * axle.wheel_height_m,
            f"axle travel {name} bump + [mm]": 1e3 * axle.jounce_m,
            f"wind-up {name} pinion up [deg]": np.degrees(axle.wind_up_rad),
            f"tyre load {name} [N]": axle.tyre_load_n,
            f"spring force {name} [N]": axle.spring_force_n,
            f"bump stop force {name} [N]": axle.stop_force_n,
            f"limit strap force {name} [N]": axle.strap_force_n,
        }
        if axle.give_m is not None and run.drive is None:
            channels[f"axle shift {name} forwards [mm]"] = 1e3 * axle.give_m
        for damper in axle.dampers.values():
            channels |= {
                f"damper {name} {damper.name} length [mm]": 1e3 * damper.length_m,
                f"damper {name} {damper.name} speed compression + [m/s]": damper.speed_m_per_s,
                # Of one damper, not of the set: that is what lies beside a test machine's curve.
                f"damper {name} {damper.name} force of one compression + [N]": damper.force_n,
            }
    return channels


def _driving(run: Run, drive: DriveTrace) -> dict[str, Array]:
    """Return what only a run that drives or brakes has."""
    channels = {
        "road speed [km/h]": 3.6 * drive.speed_m_per_s,
        "engine speed [rpm]": drive.engine_rad_per_s * 30.0 / np.pi,
        "engine torque [N m]": drive.engine_torque_n_m,
    }
    for name, wheel in (("front", drive.front), ("rear", drive.rear)):
        channels |= {
            f"wheel speed {name} [rad/s]": wheel.spin_rad_per_s,
            f"slip {name} [%]": 100.0 * wheel.slip,
            f"traction {name} forwards [N]": wheel.traction_n,
            f"shaft torque {name} [N m]": wheel.shaft_torque_n_m,
            f"brake torque {name} [N m]": wheel.brake_torque_n_m,
            f"torque on housing {name} pinion up [N m]": wheel.housing_torque_n_m,
            f"axle shift {name} forwards [mm]": 1e3 * wheel.shift_m,
        }
        if wheel.joint_at_gearbox_rad is not None and wheel.joint_at_pinion_rad is not None:
            channels[f"joint angle {name} at gearbox [deg]"] = np.degrees(wheel.joint_at_gearbox_rad)
            channels[f"joint angle {name} at pinion [deg]"] = np.degrees(wheel.joint_at_pinion_rad)
    for name, axle in run.axles:
        # Nearly no truck has a wind-up link: a column of noughts would only raise questions.
        if axle.link_force_n is not None and np.any(axle.link_force_n):
            channels[f"wind-up link {name} pull + [N]"] = axle.link_force_n
    return channels


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
