"""A question of `jounce new` in words: what is asked, how it is written, what is usual, what is taken where it is skipped."""

from collections.abc import Mapping
from typing import Any

from sim.cli.question_list import BY_DIMENSIONS, GATE, PLANNED, beside, general, taken_along
from sim.describe.estimates.fields import CHOICE, PAIR, Field, fields, taken, text_at
from sim.describe.estimates.truck import estimate_text, read_si
from sim.describe.shown import in_shown_units, shown_in, system

METRIC_TYRE = "235/85R16, or 805 mm"
"""A tyre's size and its diameter as whoever measures in millimetres would write them."""

METRIC_LEAVES = "40 N/mm, or 7, 2, 65 mm, 7 mm, 560 mm, 610 mm"
METRIC_COIL = "33 N/mm, or 16 mm, 140 mm, 8.5"
"""A spring's rate and its dimensions likewise."""


def question_text(field: Field, data: Mapping[str, Any], answered: str = "") -> str:
    """Return a question with an example, what is usual, and what is taken where it is skipped, or what was `answered` before."""
    given = answered or _given(field, data)
    if given:
        hint = f"now {given}"
    else:
        found = _taken(data)
        instead = [found[path] for path in dict.fromkeys((field.path, beside(field.path))) if path in found]
        hint = f"skipped: {', '.join(instead) or _not_fitted(field, found) or in_shown_units(field.estimate)}"
    example = f"one of {', '.join(field.choices)}" if field.kind == CHOICE else f"e.g. {_example(field)}"
    # One answer may name the springs and their rate, so its example has both.
    if field.path.endswith(".springs"):
        coil, leaf = (read_si(text, "stiffness") or 0.0 for text in ("190 lb/in", "230 lb/in"))
        rates = [estimate_text(rate, 0.0, "stiffness", system() != "metric") for rate in (coil, leaf)]
        example = f"coils or leaf packs, or the rate of one: {rates[0]}, leaf {rates[1]}"
    return f"  {field.label} ({example}{_usual(field)}; {hint}): "


def _taken(data: Mapping[str, Any]) -> dict[str, str]:
    """Return what is taken where a question is skipped, by path; in both systems as long as neither was chosen nor typed."""
    if system() != "both":
        return taken(data)
    with shown_in("metric"):
        metric = taken(data)
    with shown_in("inch"):
        inch = taken(data)
    return {
        path: text if inch[path] == text else f"{text} ({inch[path].removeprefix('about ')})"
        for path, text in metric.items()
    }


def _not_fitted(field: Field, found: Mapping[str, str]) -> str:
    """Return what is taken where an axle gets no strap: its estimates have none then."""
    axle, _, rest = field.path.partition(".")
    return NO_STRAP if rest == "strap.length" and f"{axle}.strap.rate" not in found else ""


NO_STRAP = "no strap, as the leaf packs hold the hanging axle before a damper is fully out"
"""Said of an axle on leaf packs."""


def _given(field: Field, data: Mapping[str, Any]) -> str:
    """Return what a truck has at a question, with what the same question takes along."""
    paths = {one.path: one for one in fields()}
    if field.path not in paths:
        return ""
    own = [field, *(paths[also] for also in taken_along(field.path))]
    return ", ".join(filter(None, (text_at(data, one) for one in own)))


def _usual(field: Field) -> str:
    # The page's own text: a question and the box of the page must not name different ranges.
    from sim.show.pages.local.ranges import range_text

    return f"; usual {range_text(field.low, field.high, field.kind)}" if field.low and field.high else ""


def _example(field: Field) -> str:
    """Return an example in the units that are shown."""
    # Metric sizes and inch sizes are two series of tyres: no change of units turns one into the other.
    if system() == "metric" and field.path.endswith((".tyre.size", ".tyres.front", ".tyres.rear")):
        return METRIC_TYRE
    if system() == "metric" and general(field.path) in BY_DIMENSIONS:
        return METRIC_COIL if ".coil." in field.path else METRIC_LEAVES
    kinds = ("mass", "length") if field.kind == PAIR else (field.kind,) if field.units else ()
    if system() != "metric" or not kinds:
        return field.example
    texts = []
    for one in field.example.split(","):
        value, kind = next((value, kind) for kind in kinds if (value := read_si(one.strip(), kind)) is not None)
        texts.append(estimate_text(value, 0.0, kind, inches=False))
    return ", ".join(texts)


def help_lines(field: Field, data: Mapping[str, Any]) -> list[str]:
    """Return how a number is measured, how it is written, what is usual, and what is taken where it is skipped."""
    from sim.show.pages.rows import how_of

    if field.kind == GATE:
        return [
            "y goes through these questions, n goes past them, Enter does what has the capital letter; '.' ends and writes the file."
        ]
    if field.step == PLANNED:
        return [
            f"{field.label}.", "It becomes a set-up of a scenario beside the truck's file, to compare with the truck as it is (docs/springs.md).",
            f"Written like {_example(field)}, in any unit ({' or '.join(field.units)}).",
        ]  # fmt: skip
    lines = [how_of(field.path) or f"{field.label}.", f"Half a page on it: docs/measure/{field.page}"]
    if field.kind == CHOICE:
        lines.append(f"One of: {', '.join(field.choices)}.")
    else:
        units = f", in any unit ({' or '.join(field.units)})" if all(field.units) and field.units else ""
        lines.append(f"Written like {_example(field)}{units}.")
    if field.low and field.high:
        lines.append(f"Usual: {_usual(field).removeprefix('; usual ')} for {field.range_of} ({field.range_source}).")
    own = _taken(data).get(field.path)
    reach = f"; valid for {field.reach}" if field.reach else ""
    if not_fitted := _not_fitted(field, _taken(data)):
        lines.append(f"Skipped: {not_fitted}.")
    else:
        lines.append(f"Skipped: {own + ', from ' if own else ''}{field.estimate}{reach} ({field.source}).")
    return [in_shown_units(line) for line in lines]
