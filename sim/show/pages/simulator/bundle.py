"""Everything that a page needs to run set-ups by itself, as one text."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import isfinite
from typing import Any

import numpy as np

from sim.describe.parts.vehicle import Vehicle
from sim.kernel import layout as at
from sim.machine.jit import text_hash
from sim.show.pages.simulator.calls import RUNS, Call, names
from sim.show.pages.simulator.signals import signals
from sim.show.pages.simulator.sliders import Curve, curve_of
from sim.show.pages.simulator.store import Store


@dataclass(frozen=True)
class Choice:
    """One run that a page can make, under what a reader chooses it by.

    Attributes
    ----------
    chosen : dict
        What is chosen, by what kind of choice it is: a set-up, a speed, a load, counts of dampers.
    call : Call
    """

    chosen: dict[str, Any]
    call: Call


def bundle(choices: Iterable[Choice], **words: Any) -> str:
    """Return the runs of a page as text, for `Kernel.unpacked` of static/kernel.js.

    Parameters
    ----------
    choices : iterable of Choice
    words :
        What else the page is to know, by name: whatever can be written as JSON.
    """
    store = Store()
    runs = [_run(choice, store) for choice in choices]
    arguments = {run: list(names(run)) for run in RUNS}
    return store.written({"sources": text_hash(), "arguments": arguments, "runs": runs, **words})


def _run(choice: Choice, store: Store) -> dict[str, Any]:
    call = choice.call
    dampers, given = curves(call)
    return {
        "chosen": choice.chosen,
        "run": call.run,
        "signals": signals(call),
        "given": {name: _kept(name, value, store) for name, value in given.items()},
        "dampers": [_damper(line, curve, call, given, store) for line, curve in dampers.items()],
    }


def curves(call: Call) -> tuple[dict[int, Curve], dict[str, Any]]:
    """Return the curves of a call's dampers by line, and what is given with tables of ramps in which sliders find their places."""
    knots, first = call.given["knots"], call.given["first_group"]
    vehicle: Vehicle = call.setup.vehicle
    tables, found = [], {}
    for number, line in enumerate(call.setup.lines):
        if line.role == "damper":
            found[number] = curve = curve_of(getattr(vehicle, line.axle).dampers[line.name])
            tables.append(curve.table((1.0,) * len(curve.sliders)))
        else:
            tables.append(knots[first[number] : first[number + 1]])
    groups = np.cumsum([0, *map(len, tables)]).astype(np.int64)
    # A truck without any line still has an array, as in `pack`.
    laid = np.concatenate(tables) if groups[-1] else knots
    return found, {**call.given, "knots": laid, "first_group": groups}


def _kept(name: str, value: Any, store: Store) -> dict[str, Any]:
    """Return one argument as `Kernel.run` takes it, an array by its number in the store."""
    if name == "out":  # the page makes its room, for as many outputs as it asks for
        return {"out": value.shape[1]}
    if isinstance(value, np.ndarray):
        return {"array": store.add_road(value) if name == "road" else store.add(value)}
    return {"whole": value} if isinstance(value, int | np.integer) else {"number": float(value)}


def _damper(line: int, curve: Curve, call: Call, given: dict[str, Any], store: Store) -> dict[str, Any]:
    own = call.setup.lines[line]
    return {
        "axle": own.axle, "name": own.name, "line": line, "count": int(own.line.number),
        "begin": int(given["first_group"][line]) * at.GROUP_ROWS,
        "fixed": store.add(curve.fixed),
        "sliders": [
            {
                "way": slider.way, "begin": slider.begin, "end": slider.end if isfinite(slider.end) else None,
                "part": store.add(slider.part), "ramps": slider.ramps,
            }
            for slider in curve.sliders
        ],
    }  # fmt: skip
