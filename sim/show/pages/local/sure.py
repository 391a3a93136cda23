"""How sure differences are, as the page's tables have it: what stays open of each, and of each number in doubt how much it decides."""

from collections.abc import Sequence
from math import floor, log10
from typing import Any

from sim.describe.doubtful import Assumed
from sim.describe.shown import written_now
from sim.describe.written_unit import in_the_unit_of
from sim.measure.measure import Measure
from sim.show.pages.called import called
from sim.show.report.doubt import UNMOVED, band_in_words, next_and_rest, tried
from sim.study.doubt.study import Doubted
from sim.study.doubt.unknowns import Unknown

GIVEN, ESTIMATED = "given", "estimated"

LEAST_SHARE = 0.005
"""A number that decides less is said to decide nothing that counts, and moves nothing by name."""


def tables(doubted: Doubted, measures: Sequence[Measure]) -> dict[str, Any]:
    """Return what the page shows of a slow estimate.

    Parameters
    ----------
    doubted : Doubted
    measures : sequence of Measure
        Those that have a band.

    Returns
    -------
    dict
        differences: rows of setup, against and rows (a measure's label, its band in words); numbers: rows of label, is_ (given or estimated),
        value, within, decides and moves, what decides most first; ranked: whether it is known which decides most; notes: sentences on how to
        measure what decides most, and what the bands rest on.
    """
    names = [measure.name for measure in measures]
    first, rest = next_and_rest(doubted, names, called)
    ranked = bool(doubted.ranked(names))
    drawn = f"Bands hold 95 times in 100: {doubted.draws} tries, each with the {len(doubted.unknowns)} numbers in doubt anew, the same for every set-up."
    return {
        "differences": [
            {
                "setup": setup, "against": doubted.from_which(setup),
                "rows": _rows(doubted, setup, [one for one in measures if one.name in bands]),
            }
            for setup, bands in doubted.differences.items()
        ],
        "numbers": numbers(doubted, measures),
        "ranked": ranked,
        "notes": [
            *tried(doubted), *(f"Measure next. {text}" for text in first), *rest, *([] if ranked else [_unranked(doubted)]), drawn,
            *_nothing(doubted.assumed),
        ],
    }  # fmt: skip


def _rows(doubted: Doubted, setup: str, measures: Sequence[Measure]) -> list[list[str]]:
    """Return what is left open by each measure; those that are the same whatever the numbers are in one row, and none where all are."""
    said = [(one.label, band_in_words(doubted, setup, one)) for one in measures]
    alike = [label for label, words in said if words == UNMOVED]
    if len(alike) == len(said):
        return []
    return [[label, words] for label, words in said if words != UNMOVED] + (
        [["; ".join(alike), UNMOVED]] if alike else []
    )


def _as_far_as_known(text: str, width: float) -> str:
    """Return a number with its unit to a twentieth of what it lies within: more digits would say that they are known."""
    number, _, unit = text.partition(" ")
    digits = max(0, 1 - floor(log10(width))) if width > 0.0 else 6
    return f"{round(float(number), digits):.{digits}f} {unit}".replace("^2", "²").rstrip()


def numbers(doubted: Doubted, measures: Sequence[Measure]) -> list[dict[str, str]]:
    """Return a row for each number in doubt, what decides most first."""
    estimated = {(one.path, one.written) for one in doubted.estimates}
    shares = dict(doubted.ranked([one.name for one in measures]))
    # Nothing is known of shares where no fit foretells them: then they stand as they are written.
    ranked = sorted(doubted.unknowns, key=lambda one: -shares.get(one, 0.0))
    rows = []
    for one in ranked:
        known = one.what.doubt
        ends = [in_the_unit_of(known.written, end) for end in (known.low, known.high)]
        width = abs(float(ends[1].partition(" ")[0]) - float(ends[0].partition(" ")[0]))
        value, low, high = (
            _as_far_as_known(text, width) for text in (in_the_unit_of(known.written, one.what.value), *ends)
        )
        share = shares.get(one)
        rows.append({
            "label": called(one.path), "is_": ESTIMATED if (one.path, known.written) in estimated else GIVEN,
            "value": written_now(value, beside=True),
            "within": written_now(f"{low.partition(' ')[0]} to {high}", beside=True),
            "decides": "not known" if share is None else f"{100 * share:.0f} %" if share >= LEAST_SHARE else "under 1 %",
            "moves": moves(doubted, one, measures) if (share or 0.0) >= LEAST_SHARE else "",
        })  # fmt: skip
    return rows


def moves(doubted: Doubted, unknown: Unknown, measures: Sequence[Measure]) -> str:
    """Return of which measure a number decides most, of whichever set-up."""
    shares = {
        one.label: max((by[one.name].first.get(unknown, 0.0) for by in doubted.influence.values() if one.name in by), default=0.0)
        for one in measures
    }  # fmt: skip
    label = max(shares, key=lambda name: shares[name], default="")
    return f"{label} ({100 * shares[label]:.0f} % of its doubt)" if label and shares[label] > 0.0 else ""


def _unranked(doubted: Doubted) -> str:
    """Return why no number is said to decide most."""
    return (
        f"Which number decides most cannot be told: from {doubted.draws} tries no rule was found by which the differences follow the "
        f"{len(doubted.unknowns)} numbers in doubt. Each that is measured leaves fewer."
    )


def _nothing(assumed: Sequence[Assumed]) -> list[str]:
    """Return what nobody gave and is taken as nothing, by the words of the form."""
    by_words: dict[str, list[str]] = {}
    for one in assumed:
        by_words.setdefault(one.words, []).append(called(one.path))
    listed = "; ".join(f"{words} ({', '.join(labels)})" for words, labels in by_words.items())
    return [f"Assumed to be nothing, as nobody gave it: {listed}."] if listed else []
