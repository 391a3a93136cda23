"""What `jounce sheet --json` says."""

from collections.abc import Mapping, Sequence
from typing import Any

from sim.cli import answer
from sim.study.concluded import Conclusions, concluded_of
from sim.study.fit import Fit
from sim.study.spring_order import SpringOrder

NO_SHEET: dict[str, Any] = {"sheet": None, "measure_first": None}


def parts(
    every: Mapping[str, Sequence[Fit]],
    springs: Sequence[SpringOrder],
    looked_at: Mapping[str, Sequence[Fit]],
    known: Mapping[str, Conclusions],
) -> dict[str, Any]:
    """Return lengths and what is left of each damper in every set-up, and the springs, in SI, as parts of an answer."""
    number = answer.number
    dampers = [
        {"setup": setup, "damper": f"{fit.axle}.{fit.name}", "count": fit.count, "fits": one.verdict, "notes": fit.notes}
        # What its sheet is called, and what is to be measured before it is an order: the exit code says only what is known to be wrong. Of other set-ups there is no sheet.
        | ({"sheet": one.title, "measure_first": one.measure_first} if (fit.axle, fit.name) in known.get(setup, {}) else NO_SHEET)
        | {"at_ride": number(fit.places["ride"].length, "length")}
        # Without a stop or strap a margin is inf, which the answer gives as null: not known, not endless.
        | {key: number(getattr(fit, key), "length") for key in ("collapsed", "extended", "left_in", "left_out", "margin_in", "margin_out")}
        for setup, fits in every.items()
        for one in concluded_of(fits, known.get(setup, {}))
        for fit in (one.fit,)
    ]  # fmt: skip
    ordered = [
        {
            "spring": f"{one.axle}.{one.name}",
            "count": one.count,
            "kind": "coil" if one.coil else "leaf pack",
            "notes": one.notes,
            "measure_first": [] if one.kept else list(one.unmeasured),
            "kept": one.kept,
        }
        | {"rate": number(one.rate, "stiffness")}
        | {key: number(getattr(one, key), "length") for key in ("wanted", "free", "order", "gives")}
        for one in springs
    ]
    # The list that exit code 3 goes by; notes are not in it, as less room than usual is no fault.
    wrong = [
        (setup, f"{fit.axle} damper '{fit.name}'", text)
        for setup, fits in looked_at.items()
        for one in concluded_of(fits, known.get(setup, {}))
        for fit in (one.fit,)
        for text in fit.wrong
    ]
    wrong += [("springs", f"{one.axle} spring '{one.name}'", text) for one in springs for text in one.problems]
    flags = [
        {"of": of, "kind": "does_not_fit", "part": part, "time_s": None, "sentence": text} for of, part, text in wrong
    ]
    return {"rows": {"dampers": dampers, "springs": ordered}, "flags": flags}
