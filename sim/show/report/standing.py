"""How set-ups stand, as tables: what a workshop needs first, or every number."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from math import isfinite, nan
from typing import Any, NamedTuple

from sim.describe.shown import place_or_distance, show_numbers, show_parts, system, unit_names
from sim.describe.to_measure import estimated
from sim.integrate.status import in_words
from sim.linear.anti import ahead_or_behind, anti_words
from sim.linear.droop import ENDS, STRAP
from sim.linear.modes import IN_WORDS, OF_BODY, Mode, end_that_moves
from sim.linear.placing import placings
from sim.linear.standing import AT_STOP, AxleStanding, Standing
from sim.show.report.naming import quoted
from sim.show.report.placed import placed_rows

AXLES = ("front", "rear")

Bands = Mapping[tuple[str, ...], Any]
"""Of one set-up: what the numbers in doubt leave open, by where a number stands."""

Rows = list[tuple[str, list[str]]]
"""A label with its units, and a text a column."""

FIRST = (
    ("load on the ground", "load", "load"),
    ("axle's centre above the ground", "centre_height", "length"),
    ("frame up from the measured height over the axle (down: minus)", "frame_up", "length"),
    ("ride frequency", "ride_frequency", "frequency"),
    ("damping ratio (0: swings on, 1: not at all)", "damping_ratio", "number"),
    ("bump travel left", "travel_left_up", "length"),
    ("droop travel left", "droop_left", "length"),
)
"""What a workshop asks first of an axle: label, name in `AxleStanding`, quantity."""

FIRST_OF_DAMPER = (
    ("length, eye to eye", "length", "length"),
    ("stroke left inwards", "stroke_left_in", "length"),
    ("stroke left outwards", "stroke_left_out", "length"),
    ("room left at full droop, 5 deg of wind-up", "room_in_droop", "length"),
)

WHOLE = (
    ("sprung mass: the body and its load", "sprung_mass", "mass"),
    ("  its centre, behind the front axle", "cg_behind_front_axle", "length"),
    ("  its centre, above the ground", "cg_above_ground", "length"),
    ("nose up from the measured stance", "nose_up", "angle"),
)
"""Of the truck as a whole."""

AXLE_ROWS = (
    ("load on the ground", "load", "load"),
    ("the same as a force", "load", "force"),
    ("sprung mass: what its springs carry", "sprung_mass", "mass"),
    ("unsprung mass: axle and wheels", "unsprung_mass", "mass"),
    ("axle's centre above the ground", "centre_height", "length"),
    ("frame up from the measured height over the axle (down: minus)", "frame_up", "length"),
    ("springs' rate at the axle", "wheel_rate", "stiffness"),
    ("tyres' rate", "tyre_rate", "stiffness"),
    ("ride rate: springs and tyres together", "ride_rate", "stiffness"),
    ("ride frequency", "ride_frequency", "frequency"),
    ("damping ratio", "damping_ratio", "number"),
    ("of it the friction of the dampers' seals", "friction_ratio", "number"),
    ("wind-up rate: torque that turns the axle by a degree", "wind_up_rate", "angular_stiffness"),
    ("bump travel left", "travel_left_up", "length"),
    ("droop travel left", "droop_left", "length"),
    ("instant centre (the point it turns about), ahead of the axle", "instant_centre_ahead", "place"),
    ("instant centre above the ground", "instant_centre_above", "place"),
)
DAMPER_ROWS = (
    ("motion ratio (its travel for each of the axle's)", "motion_ratio", "number"),
    *FIRST_OF_DAMPER,
    ("damping at the axle", "damping_at_wheel", "damping"),
    ("distance of its line from the axle's centre, against wind-up", "wind_up_arm", "length"),
    ("oil in one", "oil_mass", "oil_mass"),
    ("heat that warms one by a degree", "heat_capacity", "heat_capacity"),
)


class Column(NamedTuple):
    """What stands below one head of a table: a set-up, or one axle of it."""

    standing: Standing
    bands: Bands


def first_rows(only: Column) -> Rows:
    """Return what a workshop asks first of one set-up, a column an axle."""
    return _first_of_axles([(only, axle) for axle in AXLES], _in_inches([only]))


def first_rows_of_each(columns: Sequence[Column]) -> Rows:
    """Return the same of several set-ups, a column each and the axles one after the other."""
    inches = _in_inches(columns)
    rows: Rows = []
    for axle in AXLES:
        rows.append((f"{axle} axle", [""] * len(columns)))
        own = _first_of_axles([(column, axle) for column in columns], inches)
        rows += [(f"  {label}", texts) for label, texts in own]
    return rows


def _first_of_axles(ends: Sequence[tuple[Column, str]], inches: bool) -> Rows:
    """Return the rows of axles side by side: of one set-up, or one of each."""
    rows: Rows = []
    axles = [column.standing.axles[axle] for column, axle in ends]
    for label, key, quantity in FIRST:
        values = [getattr(one, key) for one in axles]
        # A truck that stands as it was measured needs no row of noughts.
        if key == "frame_up" and all(abs(value) < LEAST_MOVED_M for value in values):
            continue
        rows += _rows(label, values, quantity, [column.bands.get((axle, key)) for column, axle in ends], inches)
        # At the stop, unless a damper is solid before it.
        if key == "travel_left_up" and any(one.bump_ends for one in axles):
            rows.append(("  bump ends", [one.bump_ends or AT_STOP for one in axles]))
        if key == "droop_left":
            rows.append(("  droop ends", [droop_ends(column.standing, axle) for column, axle in ends]))
    for name in dict.fromkeys(damper.name for one in axles for damper in one.dampers):
        for label, field, quantity in FIRST_OF_DAMPER:
            values = [_of_damper(one, name, field) for one in axles]
            bands = [column.bands.get((axle, name, field)) for column, axle in ends]
            rows += _rows(f"damper '{name}': {label}", values, quantity, bands, inches)
    hops = [_mode(column.standing, f"{axle} hop") for column, axle in ends]
    for label, key, quantity in (
        ("hop, up and down on the tyres", "frequency_hz", "frequency"),
        ("damping ratio of the hop", "damping_ratio", "number"),
    ):
        values = [nan if hop is None else getattr(hop, key) for hop in hops]
        place = key.removesuffix("_hz")
        bands = [column.bands.get(("mode", f"{axle} hop", place)) for column, axle in ends]
        rows += _rows(label, values, quantity, bands, inches)
    return rows


LEAST_MOVED_M = 5e-5
"""Movement that reads as nought in every unit shown."""


def of_body_rows(columns: Sequence[Column]) -> Rows:
    """Return how the body swings by itself, a column a set-up."""
    return _mode_rows(columns, lambda mode: mode.name in OF_BODY)


def clearance_rows(columns: Sequence[Column]) -> Rows:
    """Return approach, departure and breakover angles and the room around the tyres, a column a set-up; none where no outline was taped."""
    inches = _in_inches(columns)
    taped = [{one.label: one for one in column.standing.clearances} for column in columns]
    lines: Rows = []
    for label in dict.fromkeys(label for own in taped for label in own):
        quantity = next(own[label].quantity for own in taped if label in own)
        lines += _rows(
            label, [own[label].value if label in own else nan for own in taped], quantity, [None] * len(taped), inches
        )
        lines.append(("  what limits it", [own[label].point if label in own else "-" for own in taped]))
    return lines


def rows(columns: Sequence[Column]) -> Rows:
    """Return every number, a column a set-up."""
    inches = _in_inches(columns)
    standings = [column.standing for column in columns]

    def row(label: str, values: list[float], quantity: str, *place: str) -> Rows:
        return _rows(label, values, quantity, [column.bands.get(place) for column in columns], inches)

    lines: Rows = []
    for label, key, quantity in WHOLE:
        lines += row(label, [getattr(one, key) for one in standings], quantity, "", key)
    for name in AXLES:
        lines.append((f"{name} axle", [""] * len(columns)))
        axles = [one.axles[name] for one in standings]
        for label, key, quantity in AXLE_ROWS:
            # Of inch units, lb and lbf are the same figure.
            if quantity == "force" and system() == "inch":
                continue
            values = [getattr(axle, key) for axle in axles]
            bands = [column.bands.get((name, key)) for column in columns]
            if key == "instant_centre_ahead":
                where, shown = ahead_or_behind(values)
                label = f"instant centre (the point it turns about), {where}"
                # Where it is behind the axle and shown without a minus, so is what the doubt leaves open.
                if shown != values:
                    bands = [band and replace(band, low=-band.high, high=-band.low) for band in bands]
                values = shown
            lines += _rows(f"  {label}", values, quantity, bands, inches)
            if key == "travel_left_up" and any(axle.bump_ends for axle in axles):
                lines.append(("    bump ends", [axle.bump_ends or AT_STOP for axle in axles]))
            if key == "droop_left":
                lines.append(("    droop ends", [droop_ends(column.standing, name) for column in columns]))
        anti = anti_words(name, [one.vehicle for one in standings])
        lines += row(f"  {anti}", [axle.anti_share for axle in axles], "percent", name, "anti_share")
        # Sets by name over all set-ups: one with two sets must line up with one that has only the first.
        for key in dict.fromkeys(d.name for axle in axles for d in axle.dampers):
            for label, field, quantity in DAMPER_ROWS:
                values = [_of_damper(axle, key, field) for axle in axles]
                lines += row(f"  damper '{key}': {label}", values, quantity, name, key, field)
    if any(one.flags for one in standings):
        lines.append(("flagged", [in_words(one.flags) or "-" for one in standings]))
    lines.append(("natural modes: how it swings by itself, and how well that is damped", [""] * len(columns)))
    lines += [(f"  {label}", texts) for label, texts in _mode_rows(columns, lambda mode: True)]
    if clear := clearance_rows(columns):
        lines.append(("clearances, wheels straight ahead, both of an axle alike", [""] * len(columns)))
        lines += [(f"  {label}", texts) for label, texts in clear]
    lines.append(("against what is usual in the trade (no source)", [""] * len(columns)))
    lines += [
        (f"  {label}".replace("\n", "\n  "), texts)
        for label, texts in placed_rows([placings(one) for one in standings])
    ]
    return lines


def unusual_lines(columns: Mapping[str, Standing]) -> list[str]:
    """Return what is out of the usual range of the trade, a line each, with the set-ups of which it is so."""
    of: dict[str, list[str]] = {}
    for name, standing in columns.items():
        for one in placings(standing):
            if not one.is_usual:
                of.setdefault(one.sentence, []).append(name)
    return [
        f"{'' if len(columns) == 1 else ('all' if len(names) == len(columns) else ', '.join(map(quoted, names))) + ': '}{sentence}"
        for sentence, names in of.items()
    ]


def _in_inches(columns: Sequence[Column]) -> bool:
    return all(column.standing.vehicle.typed_system == "inch" for column in columns)


def _of_damper(axle: AxleStanding, name: str, field: str) -> float:
    """Return a number of a damper set; nan, which shows as a dash, of an axle without that set."""
    return next((float(getattr(one, field)) for one in axle.dampers if one.name == name), nan)


def droop_ends(standing: Standing, axle: str) -> str:
    """Return where an axle's droop ends, and whether anybody has seen the strap that ends it."""
    # A damper that is fully out before ends it as well, and was measured.
    ends = standing.axles[axle].droop_ends
    guessed = ends == ENDS[STRAP] and f"{axle}.strap.length" in estimated(standing.vehicle)
    return f"{ends}, which is estimated" if guessed else ends


def _mode(standing: Standing, name: str) -> Mode | None:
    return next((mode for mode in standing.modes if mode.name == name), None)


def _mode_rows(columns: Sequence[Column], wanted: "Callable[[Mode], bool]") -> Rows:
    """Return a row for each mode by what moves: set-ups differ in which comes first, and in how many they have."""
    inches = _in_inches(columns)
    lines: Rows = []
    names = [mode.name for column in columns for mode in column.standing.modes if wanted(mode)]
    for name in dict.fromkeys(names):
        modes = [_mode(column.standing, name) for column in columns]
        lines.append((IN_WORDS[name], ["-" if mode is None else _mode_text(mode) for mode in modes]))
        pairs = [
            [column.bands.get(("mode", name, key)) for key in ("frequency", "damping_ratio")] for column in columns
        ]
        if any(any(pair) for pair in pairs):
            said = ["; ".join(_between(band, "number", inches) for band in pair if band) or "-" for pair in pairs]
            lines.append(("  between", said))
        centres = [nan if mode is None else mode.centre_behind_front_axle_m for mode in modes]
        # A body that goes straight up and down swings about a point far away: a kilometre says nothing.
        near = [centre if abs(centre) < FARTHEST_CENTRE_M else nan for centre in centres]
        if any(isfinite(centre) for centre in near):
            lines.append(_row("  it swings about a point behind the front axle", near, "place"))
            ends = [
                "" if mode is None else end_that_moves(mode, column.standing.vehicle.wheelbase)
                for mode, column in zip(modes, columns, strict=True)
            ]
            if any(ends):
                lines.append(("  that is an axle: what moves is", [f"the {end} end" if end else "-" for end in ends]))
    return lines


FARTHEST_CENTRE_M = 50.0
"""Farthest point about which a body is said to swing."""


def _mode_text(mode: Mode) -> str:
    return f"{mode.frequency_hz:.2f} Hz, damping ratio {mode.damping_ratio:.2f}"


def _rows(label: str, values: Sequence[float], quantity: str, bands: Sequence[Any], inches: bool) -> Rows:
    """Return a row, and below it what the numbers in doubt leave open, if they do."""
    quantity = _as_far(values, quantity)
    lines = [_row(label, values, quantity)]
    said = [_between(band, quantity, inches) for band in bands]
    if any(text != "-" for text in said):
        lines.append((" " * (len(label) - len(label.lstrip()) + 2) + "between", said))
    return lines


def _between(band: Any, quantity: str, inches: bool) -> str:

    if band is None:
        return "-"
    # One unit alone, that of whoever measured the truck: two ends in two systems have no room in a column.
    (low, unit), (high, _) = (show_parts(end, quantity)[-1 if inches else 0] for end in (band.low, band.high))
    wide = max(abs(low), abs(high))
    decimals = 0 if wide >= 1000.0 else 1 if wide >= 10.0 else 2
    if f"{low:.{decimals}f}" == f"{high:.{decimals}f}":
        return "-"  # the doubt does not reach the last digit
    return f"{low:.{decimals}f} to {high:.{decimals}f}{f' {unit}' if unit else ''}"


def _as_far(values: Sequence[float], quantity: str) -> str:
    """Return in what values are shown: places past a tape's reach as distances."""
    return place_or_distance(values) if quantity == "place" else quantity


def _row(label: str, values: Sequence[float], quantity: str) -> tuple[str, list[str]]:
    quantity = _as_far(values, quantity)
    return f"{label} {unit_names(quantity)}".rstrip(), [
        show_numbers(value, quantity) if isfinite(value) else "-" for value in values
    ]
