"""The order sheet of a damper set: what a builder must know, in both unit systems; what is not known is left to fill in."""

from collections.abc import Mapping, Sequence
from math import degrees, isfinite, nan
from pathlib import Path

import numpy as np

from sim.describe.good import Placed
from sim.describe.parts.axle import Axle
from sim.describe.parts.dampers.curve_words import curve_words
from sim.describe.parts.dampers.damper_set import DamperSet
from sim.describe.parts.dampers.laws import Law
from sim.describe.parts.dampers.testing import TEST_SPEEDS
from sim.describe.shown import figure_of, headed, show, show_short, system
from sim.linear.droop import HANGING, STRAP
from sim.linear.placing import placings
from sim.linear.standing import Standing
from sim.show.report.sheet_method import add_evidence, add_test
from sim.show.report.sheet_rows import BLANK, Row, Rows
from sim.show.report.table_csv import Table
from sim.study.dyno import TOLERANCE
from sim.study.fit import Fit, lean_words

CAUTIONS = (
    "Hot dampers burn: let them cool. Gas-charged ones can shoot out their rods: do not heat, weld near, cut or drill them; "
    "charging needs a regulated source and a guard.",
    "A compressed coil holds enough to kill: use a rated spring compressor and a chain or cage, and stand aside.",
    "Support the axle before a damper comes out; truck on stands under its frame, wheels chocked; nobody under it in droop tests.",
    "Bump stops and limit straps must act before the damper's ends. Before ordering cycle the axle with springs out, both wheels and crossed, at "
    "steering lock; check hoses, shafts, steering. Local rules and licensed practice come first.",
    "Computed for comparison of set-ups by a half-car (no roll, no steering); it approves nothing.",
)

CONSTRUCTIONS = {
    "twin_tube": "twin-tube, free oil surface", "gas_cell": "twin-tube with gas cell", "monotube": "monotube",
    "reservoir": "monotube with reservoir",
}  # fmt: skip

SPREAD = " +/- "

LENGTH_TOLERANCE = 2e-3
"""Within which a damper's lengths are ordered [m]; common practice, no source."""

FASTEST_BACK = 3.0
"""Speed [m/s] up to which the table of forces is written that a vehicle file can read back."""


def rows(
    setup: str, used: str, fit: Fit, standing: Standing, rides: Mapping[str, float], in_doubt: bool = False
) -> list[Row]:
    """Return the sheet of one damper set.

    Parameters
    ----------
    setup, used : str
        Name of the set-up, and what it was computed for.
    fit : Fit
        Lengths over the travel.
    standing : Standing
        How the set-up stands.
    rides : mapping of str to float
        Length at ride [m] in every set-up of the file: its loads.
    in_doubt : bool
        Whether one that fits by its central values may meet an end all the same.
    """
    sheet = Rows()
    # From the vehicle that stands: it has the set-up's changes, which the vehicle file has not.
    part = dict(standing.vehicle.axles)[fit.axle].dampers[fit.name]
    _job(sheet, setup, used, fit, standing)
    _lengths(sheet, fit, setup, rides, in_doubt)
    _forces(sheet, part)
    _ends(sheet)
    _body(sheet, part)
    _stands(sheet, fit, part)
    _gas(sheet, part)
    add_test(sheet, fit)
    add_evidence(sheet)
    return sheet.made


def _job(made: Rows, setup: str, used: str, fit: Fit, standing: Standing) -> None:
    job, vehicle, axle = "1 Job", standing.vehicle, standing.axles[fit.axle]
    part: Axle = getattr(vehicle, fit.axle)
    ride = fit.places["ride"]
    made.add(job, "truck, set-up", f"{vehicle.name}, {setup}")
    made.add(
        job,
        "place, how many on this axle",
        f"{fit.axle} axle, set '{fit.name}', {fit.count} on the axle"
        + (", both sides alike" if fit.count % 2 == 0 else ": an odd number, so the sides differ"),
    )
    # A valving is good for a road and a speed: whoever builds it must see for which.
    made.add(job, "computed for (road, speed)", used)
    made.add(job, "use: road, gravel, corrugations, rock, mud, tow")
    metric, inch = made.both(axle.load, "load")
    # As the scales say it, and as a force for whoever computes.
    made.add(job, "axle load on the ground", f"{metric} = {axle.load:.0f} N" if metric.endswith("kg") else metric, inch)
    made.add_value(job, "sprung mass of each side", 0.5 * axle.sprung_mass, "mass")
    made.add_value(job, "unsprung mass of this axle", axle.unsprung_mass, "mass")
    loads = ", ".join(f"{name} {show(load.mass, 'mass')}" for name, load in vehicle.loads.items())
    made.add(job, "loads aboard", loads or "none")
    kinds = ", ".join(dict.fromkeys(spring.words for spring in part.springs.values()))
    made.add(job, "springs, how the axle is held", f"{kinds}; {part.guide.held}")
    made.add_value(job, "springs' rate at the axle (both sides)", axle.wheel_rate, "stiffness")
    # The way round is said because the trade uses both; damping at the wheel goes by its square.
    usual = {one.kind: one for one in placings(standing) if one.axle == fit.axle and one.name in ("", fit.name)}
    made.add(
        job,
        "motion ratio at ride (damper per wheel)",
        _with_word(f"{ride.motion_ratio:.3f}", usual.get("motion_ratio")),
    )
    made.add(
        job,
        "lean at ride: side view; seen from behind",
        f"{lean_words(ride.lean_side)}; {degrees(ride.lean_behind):.1f} deg inward",
    )
    _placed(made, standing, fit)


def _placed(made: Rows, standing: Standing, fit: Fit) -> None:
    """Add how this end stands against what is usual in the trade."""
    own = [one for one in placings(standing) if one.axle == fit.axle and one.name in ("", fit.name)]
    for label, kinds in PLACED:
        said = [f"{of}{one.said}" for kind, of in kinds for one in own if one.kind == kind]
        if said:
            made.add("1 Job", label, "; ".join(said))
    seals = standing.axles[fit.axle].friction_ratio
    # A builder who reckons the valving back from the ratio would else come out too firm.
    if seals >= 0.005:
        made.add("1 Job", "of the body's damping ratio: friction of the seals", f"{seals:.2f}")


PLACED: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("body over this axle (no source)", (("body_frequency", ""), ("body_damping", "damping ratio "))),
    ("hop of this axle (no source)", (("hop_frequency", ""), ("hop_damping", "damping ratio "))),
    ("left at ride (no source)", (("bump_left", "bump travel "), ("stroke_left", "stroke inwards "))),
)
"""What of how it stands is said on the sheet, and the words before each figure."""


def _with_word(text: str, one: Placed | None) -> str:
    return text if one is None else f"{text}{one.said.removeprefix(one.figure)} (no source)"


def _lengths(made: Rows, fit: Fit, setup: str, rides: Mapping[str, float], in_doubt: bool) -> None:
    lengths = "2 Lengths, eye to eye"
    within = f"+/- {show_short(LENGTH_TOLERANCE, 'length', (0, 2))}"
    made.add_value(lengths, f"extended, {within}", fit.extended, "length")
    made.add_value(lengths, f"collapsed, {within}", fit.collapsed, "length")
    made.add_value(lengths, "stroke", fit.extended - fit.collapsed, "length")
    for place, placed in fit.places.items():
        # At ride a tape can check it; elsewhere `Fit` gives the worst length over 5 deg of twist.
        words = f"in place: {place}" + ("" if place == "ride" else ", 5 deg of wind-up")
        made.add_value(lengths, words, placed.length, "length")
    for other, length in rides.items():
        # Half a millimetre is less than a tape reads: loads that change no more need no line.
        if other != setup and abs(length - fit.places["ride"].length) > 5e-4:
            made.add_value(lengths, f"in place: ride, '{other}'", length, "length")
    made.add(lengths, "limited by", _limits(fit))
    if fit.strap:
        made.add(lengths, "limit strap, to be ordered with it", fit.strap)
    made.add_value(lengths, "left from squeezed bump stop to collapsed", fit.margin_in, "length")
    end = "taut limit strap" if fit.droop.place in ("", STRAP) else fit.droop.place
    made.add_value(lengths, f"left from {end} to extended", fit.margin_out, "length")
    said = "fits, with that limit strap" if fit.strap and fit.fits else fit.verdict
    made.add(lengths, "fits in bump, droop and wind-up", "in doubt, see above" if in_doubt else said)


def _limits(fit: Fit) -> str:
    bump = "bump stop" if "bump stop squeezed" in fit.places else "damper itself"
    droop = {STRAP: "limit strap", HANGING: "springs, no strap"}.get(fit.droop.place, "damper itself")
    # A negative margin says that the damper ends first, whatever stop or strap is there.
    droop = "damper itself" if fit.margin_out < 0.0 else droop
    out = "limit strap, to be ordered" if fit.strap else droop
    return f"{'damper itself' if fit.margin_in < 0.0 else bump} in bump, {out} in droop"


def _ends(made: Rows) -> None:
    for end in ("upper", "lower"):
        # A vehicle file has no pins and threads: no force depends on them, but a damper must bolt on.
        made.add("4 Ends", f"{end}: eye, stud, bar pin")
        made.add("4 Ends", f"{end}: pin or bore, width")
        made.add("4 Ends", f"{end}: bush, its angle")
    made.add("4 Ends", "stud thread, shoulder")


def _body(made: Rows, part: DamperSet) -> None:
    body, law = "5 Body", part.valving
    made.add(body, "construction", BLANK if part.built is None else CONSTRUCTIONS.get(part.built, part.built))
    tube = part.tube
    bore, rod = (tube.bore, tube.rod) if tube else (nan, nan)
    # Bore and rod of the valving come first: the forces of this sheet were computed with them.
    if law.inside is not None:
        bore, rod = (own if isfinite(own) else given for own, given in zip(law.inside[1:3], (bore, rod), strict=True))
    made.add_value(body, "bore", bore, "length")
    if tube:  # estimates from its dimensions, to compare tubes by: the builder's own filling stays a blank
        made.add_value(body, "oil, about (from its size)", tube.oil_mass, "oil_mass")
        made.add_value(body, "heat to warm it by a degree", tube.heat_capacity, "heat_capacity")
    made.add_value(body, "rod diameter", rod, "length")
    made.add_value(body, "outside diameter", tube.outside_diameter if tube else nan, "length")
    for label in ("room for it", "rod thread", "reservoir hose: length"):
        made.add(body, label)
    # 0 stands for not given, so the line stays blank.
    made.add_value(body, "tube's mass (assumed)", part.tube_mass or nan, "mass")
    made.add_value(body, "rod's mass (assumed)", part.rod_mass or nan, "mass")


def _stands(made: Rows, fit: Fit, part: DamperSet) -> None:
    stands = "6 Stands"
    # What is on the axle counts as unsprung: turned over, tube and rod change places there.
    made.add(stands, "tube end", f"{part.tube_end}; {'tube' if part.tube_end == 'down' else 'rod'} on the axle")
    made.add(stands, "rod points", "up" if part.tube_end == "down" else "down")
    # By the whole lean, not the side view alone: oil and gas in a twin-tube do not care which way it leans.
    worst = max(fit.places.values(), key=lambda place: place.lean)
    made.add(stands, "greatest lean of all", f"{degrees(worst.lean):.1f} deg from upright")
    made.add(stands, "side the hose leaves")


def _gas(made: Rows, part: DamperSet) -> None:
    gas, law = "7 Gas and oil", part.valving
    made.add(gas, "medium", "none" if part.push[0] == 0.0 else BLANK)
    pressure = law.inside.gas_pressure if law.inside is not None else nan
    made.add_value(gas, f"gauge at ride length, {_first(show(293.15, 'temperature'))}", pressure, "pressure")
    made.add_value(gas, "push of one at ride length", part.push[0], "force")
    # At 1 m/s, the fastest speed of the test; None of a law that knows nothing of the inside.
    asked = law.least_gas_pressure([1.0, -1.0])
    if asked is not None:
        least = [show(float(p), "pressure") for p in asked]
        fast = _first(show_short(1.0, "speed", (0, 0)))
        made.add(gas, f"least, compression {fast}", least[0])
        made.add(gas, f"least, rebound {fast}", least[1])
    made.add(gas, "oil: grade")
    made.add(gas, "oil: volume")
    if law.inside is not None and isfinite(law.inside.oil_viscosity_40):
        # At 40 degC, as viscosity grades are named (ISO 3448); 1 mm²/s is the 1 cSt of a can's label, in either system.
        made.add(
            gas, f"oil (assumed), {_first(show(313.15, 'temperature'))}", f"{law.inside.oil_viscosity_40 * 1e6:.0f} cSt"
        )


def _first(shown: str) -> str:
    """Return a value in one unit: labels in half a page's width have no room for two."""
    return shown.partition(" (")[0]


def _forces(made: Rows, part: DamperSet) -> None:
    # Gas and seal are left out as a test machine's reader takes them off too: only so can both be compared.
    forces = "3 Force of one, without gas and seal"
    for speed in TEST_SPEEDS:
        for way, sense in (("compression", 1.0), ("rebound", -1.0)):
            spread = f"{SPREAD}{100 * TOLERANCE:.0f} %"
            at = show(speed, "speed")
            # Without a sign: sheets give compression and rebound as two positive columns.
            metric, inch = made.both(abs(float(part.valving.force(sense * speed))), "force")
            made.add(forces, f"{way} at {at}", metric + spread, inch + spread, table=(way, at))
    # By the forces above, whatever the law is called: the builder goes by this word.
    made.add(forces, "shape, by force over speed", curve_words(part.valving))
    made.add(forces, "knees, or what it is written as", part.valving.shape)
    made.add_value(forces, "seal friction assumed, either way", part.friction, "force")


def forces_back(law: Law) -> list[tuple[str, float, float]]:
    """Return direction, speed [m/s] and force [N] so close together that a vehicle file can read the damper back."""
    # A law read from points is its points: more of them would only pretend to know more.
    if law.points is not None:
        speeds = dict(zip((1.0, -1.0), law.points, strict=True))
        return [(_way(s), float(v), abs(float(law.force(s * v)))) for s, each in speeds.items() for v in each]
    forces = []
    for sense in (1.0, -1.0):
        starts = [knot.start for knot in law.lower() if knot.sense == sense]
        near = [start * (1.0 + part) for start in starts for part in (-0.02, 0.0, 0.02)]  # so that a kink stays one
        # Geometric, as curves bend most at low speed; rounded first, so that no two rows of the file are alike.
        for speed in np.unique(np.round([v for v in (*TEST_SPEEDS, *np.geomspace(0.01, FASTEST_BACK, 50), *near)], 4)):
            # Of a valving's knots some lie past any speed that a truck reaches.
            if 0.0 < speed <= FASTEST_BACK:
                forces.append((_way(sense), float(speed), abs(float(law.force(sense * speed)))))
    return forces


def _way(sense: float) -> str:
    return "compression" if sense > 0.0 else "rebound"


def write_forces(law: Law, path: Path) -> None:
    """Write a law's forces as a file that the law `measured` reads."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(["direction", headed("speed", "speed"), headed("force", "force")])
        table.writerows(
            [way, f"{figure_of(speed, 'speed'):.4f}", f"{figure_of(force, 'force'):.2f}"]
            for way, speed, force in forces_back(law)
        )


def write_csv(made: Sequence[Row], warnings: Sequence[str], path: Path, cautions: Sequence[str] = CAUTIONS) -> None:
    """Write the sheet as CSV: section, what, metric, inch."""
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        # Metric and inch beside each other, or the one that is shown.
        systems = ("metric", "inch") if system() == "both" else (system(),)
        table.writerow(["section", "what", *systems])
        table.writerows([row.section, row.label, *(row.metric, row.inch)[: len(systems)]] for row in made)
        table.writerows(["note", text, "", ""] for text in (*warnings, *cautions))


__all__ = ["BLANK", "CAUTIONS", "SPREAD", "TEST_SPEEDS", "Row", "forces_back", "rows", "write_csv", "write_forces"]
