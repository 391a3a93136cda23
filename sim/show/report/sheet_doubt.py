"""What numbers in doubt leave open of a damper's order: its lengths, its forces, and the ends of its stroke that it may meet."""

from collections.abc import Sequence

from sim.describe.parts.vehicle import Vehicle
from sim.describe.shown import show_parts, show_short
from sim.study.concluded import EndInDoubt, doubt_words
from sim.study.doubt.standing import deciding, doubted_quantities, ordered
from sim.study.fit import Fit

LEAST_SEEN = 1e-3
"""Doubt of a length [m] that a tape does not show; of a force [N] it is nothing."""


def in_doubt(
    name: str, vehicle: Vehicle, fitted: Sequence[Fit]
) -> tuple[dict[str, list[str]], dict[tuple[str, str], tuple[EndInDoubt, ...]]]:
    """Return what the numbers in doubt leave open of each damper's lengths and forces, by set and axle, and the ends that it may meet."""
    # A strap that is ordered with a damper is set to it, and what is said already as a fault need not be said again.
    settled = {(fit.axle, fit.name, "extended") for fit in fitted if fit.strap}
    settled |= {(fit.axle, fit.name, end) for fit in fitted for end in fit.in_doubt}
    _, bands = doubted_quantities({name: vehicle}, ordered)
    said: dict[tuple[str, str], list[str]] = {}
    ends: dict[tuple[str, str], tuple[EndInDoubt, ...]] = {}
    decides: dict[tuple[str, str, str], tuple[str, ...]] = {}
    for (axle, damper, kind, what), band in bands.get(name, {}).items():
        # The sheet has room for what is ordered by; lengths at stop and strap go with the one at ride.
        if (kind == "length" and what != "ride") or band.high - band.low < LEAST_SEEN:
            continue
        ends_of = (
            show_parts(end, "length" if kind in ("length", "room") else "force") for end in (band.low, band.high)
        )
        each = [
            # Whole millimetres, tenths of an inch: the ends of a band are not known better.
            f"{low:.{int(unit == 'in')}f} to {high:.{int(unit == 'in')}f} {unit}"
            for (low, unit), (high, _) in zip(*ends_of, strict=True)
        ]
        text = each[0] if len(each) == 1 else f"{each[0]} ({each[1]})"
        words = {"length": f"length at {what}", "room": f"room {what}"}.get(kind)
        words = words or f"{kind} at {show_short(float(what.split()[0]), 'speed', (2, 1))}"
        said.setdefault((axle, damper), []).append(f"{words} {text}")
        # The band reaches past the end, so it may fit and may not: more than a band, and said first.
        if kind == "room" and band.low < 0.0 < band.high:
            end = what.removeprefix("to ")
            if (axle, damper, end) in settled:
                continue
            # Of all ends at once, and only if one is open: each number in doubt is moved for it.
            decides = decides or deciding(name, vehicle)
            by = decides.get((axle, damper, end), ())
            ends[axle, damper] = (*ends.get((axle, damper), ()), EndInDoubt(end, band.low, band.high, by))
    texts = {}
    for key, words_ in said.items():
        met = [doubt_words(ends[key])] if key in ends else []
        texts[key[1] + key[0]] = [*met, f"in doubt, 95 times in 100: {'; '.join(words_)}"]
    return texts, ends
