"""The order sheet of a damper set: what a builder must know, in both unit systems; what is not known is left to fill in."""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from math import degrees, isfinite
from pathlib import Path

from sim.fit import Fit, lean_words
from sim.parts.dampers.damper_set import DamperSet
from sim.standing import AxleStanding
from sim.units import show, show_parts

TEST_SPEEDS = (0.05, 0.10, 0.13, 0.26, 0.52, 1.00)
"""Speeds [m/s] at which forces are asked: 2, 4, 5, 10, 20 and 40 in/s; customary, from memory."""

TOLERANCE = 0.10
"""General trade builds within 10 to 15 %, good rebuilders match pairs within 5 %; common practice, no source."""

BLANK = "__________"

CAUTIONS = (
    "Gas-charged dampers can shoot out their rods: do not heat, weld near, cut or drill them; charging is a job for those with "
    "a regulated source and a guard.",
    "Support the axle before a damper is taken out, and the truck on its frame with wheels chocked; nobody under it in droop tests.",
    "Stops and straps must act before the damper's own ends. Cycle the axle with springs out, both wheels and crossed, at steering "
    "lock, before ordering. Check hoses, shafts and steering after a lift; local rules and licensed practice come first.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it licenses nothing.",
)


@dataclass(frozen=True)
class Row:
    """One line of the sheet: metric and inch text; other is empty where the trade has one unit only."""

    section: str
    label: str
    metric: str
    inch: str = ""


def both(value: float, quantity: str) -> tuple[str, str]:
    """Return a value as metric and inch texts with their units."""
    if not isfinite(value):
        return BLANK, BLANK
    parts = show(value, quantity)
    metric, _, inch = parts.partition(" (")
    return metric, inch.rstrip(")")


def rows(setup: str, truck: str, used: str, fit: Fit, part: DamperSet, axle: AxleStanding) -> list[Row]:
    """Return the sheet of one damper set.

    Parameters
    ----------
    setup, truck, used : str
        Names of set-up and truck, and what the set-up was computed for.
    fit : Fit
        Its lengths over the travel.
    part : DamperSet
        The set itself.
    axle : AxleStanding
        How its axle stands.
    """
    made: list[Row] = []

    def add(section: str, label: str, metric: str = BLANK, inch: str = "") -> None:
        made.append(Row(section, label, metric, inch))

    def add_value(section: str, label: str, value: float, quantity: str) -> None:
        metric, inch = both(value, quantity)
        made.append(Row(section, label, metric, inch))

    ride = fit.places["ride"]
    job = "1 Job"
    add(job, "truck, set-up", f"{truck}, {setup}")
    add(job, "place, how many on this axle", f"{fit.axle} axle, set '{fit.name}', {fit.count} off")
    add(job, "computed for", used)
    add_value(job, "axle load on the ground", axle.load, "force")
    add_value(job, "sprung mass on this axle", axle.sprung_mass, "mass")
    add_value(job, "unsprung mass of this axle", axle.unsprung_mass, "mass")
    add_value(job, "springs' rate at the axle (both sides)", axle.wheel_rate, "stiffness")
    add(job, "motion ratio at ride (damper per wheel)", f"{ride.motion_ratio:.3f}")
    add(job, "lean at ride, side view", lean_words(ride.lean_side))
    add(job, "lean at ride, seen from behind", f"{degrees(ride.lean_behind):.1f} deg inward")
    lengths = "2 Lengths, eye to eye"
    stroke = (part.length_extended or float("nan")) - (part.length_collapsed or float("nan"))
    for label, value in (
        ("extended (+/- 2 mm)", part.length_extended), ("collapsed (+/- 2 mm)", part.length_collapsed), ("stroke", stroke),
    ):  # fmt: skip
        add_value(lengths, label, float("nan") if value is None else value, "length")
    for place, found in fit.places.items():
        add_value(
            lengths, f"in place: {place}" + ("" if place == "ride" else ", 5 deg of wind-up"), found.length, "length"
        )
    add_value(lengths, "left from squeezed stop to collapsed", fit.margin_in, "length")
    add_value(lengths, "left from taut strap to extended", fit.margin_out, "length")
    ends = "3 Ends"
    for label in (
        "upper: type, pin or stem, width, bush",
        "lower: type, pin or stem, width, bush",
        "stud thread and shoulder",
    ):
        add(ends, label)
    body = "4 Body"
    add(body, "twin-tube, monotube, reservoir (hose)")
    add(body, "bore, outside diameter, rod diameter")
    add_value(body, "mass of tube and what moves with it (as assumed)", part.tube_mass or float("nan"), "mass")
    add_value(body, "mass of rod and piston (as assumed)", part.rod_mass or float("nan"), "mass")
    stands = "5 Stands"
    add(stands, "tube end", f"{part.tube_end}; the {'tube' if part.tube_end == 'down' else 'rod'} is on the axle")
    worst = max(fit.places.values(), key=lambda p: abs(p.lean_side))
    add(stands, "greatest lean over the travel, side view", lean_words(worst.lean_side))
    gas = "6 Gas and oil"
    add_value(gas, "push of one at ride length", part.gas_force, "force")
    add(gas, "pressure at which length and temperature; medium")
    add(gas, "oil: grade, volume")
    forces = "7 Force of one, without gas and seal"
    for speed in TEST_SPEEDS:
        for way, sense in (("compression", 1.0), ("rebound", -1.0)):
            force = abs(float(part.law.force(sense * speed)))
            metric, inch = both(force, "force")
            spread = f" +/- {100 * TOLERANCE:.0f} %"
            add(
                forces,
                f"{way} at {speed:.2f} m/s ({show_parts(speed, 'speed')[1][0]:.1f} in/s)",
                metric + spread,
                inch + spread,
            )
    add_value(forces, "seal friction assumed, either way", part.seal_friction, "force")
    test = "8 Test"
    add(test, "full smooth loop about mid-stroke", "20 +/- 5 degC", "68 +/- 9 degF")
    add(test, "run-in before reading", "at least 5 strokes")
    add(test, "crank: peak speed = pi x stroke x rpm / 60", "100 mm at 50, 100 rpm", "0.26, 0.52 m/s")
    add(test, "gas force subtracted from the figures", "yes / no")
    back = "9 Marked and matched; comes back with"
    add(back, "pairs within (usual 5 %; common practice)", BLANK)
    add(back, "loop and force-speed print, date, gas, serial numbers", BLANK)
    add(back, "serviceable, adjuster range and setting", BLANK)
    return made


def write_csv(made: Sequence[Row], warnings: Sequence[str], path: Path) -> None:
    """Write the sheet as CSV: section, what, metric, inch."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = csv.writer(file, lineterminator="\n")
        table.writerow(["section", "what", "metric", "inch"])
        table.writerows([row.section, row.label, row.metric, row.inch] for row in made)
        table.writerows(["note", text, "", ""] for text in (*warnings, *CAUTIONS))
