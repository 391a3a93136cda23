"""The real model set up as the textbooks' cars: vertical guides, axle centres at the height of the centre of gravity
(books know no heights; see docs/equations.md, "Height of the body"), light axles on stiff tyres or as given."""

from types import SimpleNamespace

import numpy as np
from scipy.optimize import least_squares

from sim.describe.files.vehicles import vehicle_from
from sim.describe.runs import Release
from sim.integrate.simulation import simulate

HEIGHT = 1.0  # of centre of gravity and axle centres [m]


LIGHT = 50.0  # mass of an axle that a book does not have [kg]; less would need short steps


STIFF = 1e6
"""Rate of its tyre, in rates of its spring: two in series give a frequency 1/(2 STIFF) lower."""


def axle(rate, behind, unsprung, tyre_rate, damping=0.0, load=None, friction=None):
    made = {
        "housing": {"mass": f"{unsprung} kg", "pitch_inertia": "1e-6 kg m^2"},
        "tyre": {"count": 1, "radius": f"{HEIGHT + load / tyre_rate!r} m", "rate": f"{tyre_rate!r} N/m"},
        "guide": {"kind": "straight"},
        "springs": {
            "coil": {
                "kind": "coil", "count": 1, "rate": f"{rate!r} N/m", "held_both_ways": True,
                "body": {"behind_front_axle": f"{behind!r} m", "above_ground": f"{HEIGHT + 1.0} m"},
                "axle": {"ahead": "0 m", "above": "0 m"},
            }
        },
    }  # fmt: skip
    if friction is not None:
        made["springs"] = {"pack": {"kind": "leaf_pack", "count": 1, "rate": f"{rate!r} N/m", **friction}}
    if damping:
        made["dampers"] = {
            "main": {
                "count": 1, "valving": {"kind": "straight", "compression": f"{damping!r} N s/m", "rebound": f"{damping!r} N s/m"},
                "body": {"behind_front_axle": f"{behind!r} m", "above_ground": f"{HEIGHT + 1.0} m"},
                "axle": {"ahead": "0 m", "above": "0 m"},
            }
        }  # fmt: skip
    return made


def car(
    mass, inertia, a, b, front, rear, unsprung=(None, None), tyre_rates=(None, None), dampings=(0.0, 0.0), friction=None,
    stiff=STIFF,
):  # fmt: skip
    """Return a vehicle of SI numbers: a, b from the centre of gravity forward and back to the axles."""
    g = 9.80665
    span = a + b
    light = [LIGHT if u is None else u for u in unsprung]
    tyres = [stiff * rate if own is None else own for rate, own in zip((front, rear), tyre_rates, strict=True)]
    loads = (mass * b / span + light[0]) * g, (mass * a / span + light[1]) * g
    return vehicle_from(
        {
            "kind": "vehicle", "name": "textbook car", "wheelbase": f"{span!r} m",
            "body": {
                "mass": f"{mass!r} kg", "pitch_inertia": f"{inertia!r} kg m^2",
                "centre_of_gravity": {"behind_front_axle": f"{a!r} m", "above_ground": f"{HEIGHT} m"},
            },
            "front": axle(front, 0.0, light[0], tyres[0], dampings[0], loads[0], friction),
            "rear": axle(rear, span, light[1], tyres[1], dampings[1], loads[1], friction),
        }
    )  # fmt: skip


def winding(stiffness, inertia, damping, d):
    """A held, heavy axle that winds up against `stiffness`, with one level damper at a distance d above its centre."""
    vehicle = car(4e5, 6e5, 1.3, 1.3, 2e7, 2e7, unsprung=(400.0, 400.0), tyre_rates=(4e8, 4e8))
    return vehicle.changed(
        {
            "front.guide": {"kind": "straight", "wind_up": {"rate": f"{stiffness} N m/rad"}},
            "front.housing.pitch_inertia": f"{inertia} kg m^2",
            "front.dampers.level": {
                "count": 1, "valving": {"kind": "straight", "compression": f"{damping} N s/m", "rebound": f"{damping} N s/m"},
                "body": {"behind_front_axle": "1 m", "above_ground": f"{HEIGHT + d} m"},
                "axle": {"ahead": "0 m", "above": f"{d} m"},
            },
        }
    )  # fmt: skip


def release(**offsets):
    watch = offsets.pop("watch", "20 s")
    return Release.model_validate({"kind": "release", "watch": watch, **offsets})


def decay(vehicle, **offsets):
    return simulate(vehicle, release(**offsets))


def modes(run, count, signals):
    """Fit `count` undamped frequencies [rad/s] to signals (n, k) of a free motion; return them with amplitudes.

    Frequencies start from the peaks of the windowed spectrum and are refined by least squares on every seventh sample of the
    record: some ten a period of the fastest here.
    """
    time = run.time_s
    window = np.hanning(len(time))
    spectrum = sum(np.abs(np.fft.rfft(window * s / np.max(np.abs(s)), 16 * len(time))) for s in signals)
    grid = np.fft.rfftfreq(16 * len(time), time[1]) * 2 * np.pi
    tops = (spectrum[:-2] < spectrum[1:-1]) & (spectrum[1:-1] >= spectrum[2:]) & (grid[1:-1] > 1.0)
    peaks = 1 + np.flatnonzero(tops)
    peaks = np.sort(peaks[np.argsort(-spectrum[peaks], kind="stable")[:count]])
    scaled = np.array([s / np.max(np.abs(s)) for s in signals])[:, ::7]

    def columns(frequencies, time):
        rows = [np.ones_like(time)]
        for w in frequencies:
            rows += [np.cos(w * time), np.sin(w * time)]
        return np.array(rows).T

    def residual(frequencies):
        basis = columns(frequencies, time[::7])
        solution = np.linalg.lstsq(basis, scaled.T, rcond=None)[0]
        return (basis @ solution - scaled.T).ravel()

    found = least_squares(residual, grid[peaks], x_scale=0.01, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    solution = np.linalg.lstsq(columns(found.x, time), np.array(signals).T, rcond=None)[0]
    amplitudes = np.array([[solution[1 + 2 * m, k] for k in range(len(signals))] for m in range(count)])
    return SimpleNamespace(frequencies=found.x, amplitudes=amplitudes)
