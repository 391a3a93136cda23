"""What is told of places at which a damper does not fit, of a study of leans or a map of tramp: how many, by how much, and what to measure first."""

from collections.abc import Iterable, Mapping, Sequence

from sim.describe.shown import show_short
from sim.describe.to_measure import listed
from sim.show.plots.finding import named
from sim.study.lean import Leans, Moved, Tried
from sim.study.mounts import MOVES, Misfit

MARK = " (would not fit, by an estimate)"
"""Behind a place that is named, where an estimate alone says that no damper fits."""


def at(move: str, tried: Tried) -> str:
    """Return a place in words, and that by an estimate no damper would fit there."""
    return MOVES[move].words(tried.at) + (MARK if tried.misfit and tried.misfit.estimated else "")


def stands(misfits: Mapping[str, Misfit | None], called: Mapping[str, str]) -> str:
    """Return the sentence that says that a damper does not fit as the set-ups stand; empty where all do.

    Parameters
    ----------
    misfits : mapping of str to Misfit or None
        By set-up.
    called : mapping of str to str
        Names of the set-ups in a sentence.
    """
    found = {setup: misfit for setup, misfit in misfits.items() if misfit}
    if not found:
        return ""
    where = (
        "as they stand"
        if len(found) == len(misfits)
        else f"with {listed([called[setup] for setup in found])} as they stand"
    )
    firm = [misfit for misfit in found.values() if not misfit.estimated]
    if firm:
        return f"{where} a damper does not fit{_by(firm)}"
    return f"{where} a damper does not fit, as far as it is estimated{_by(list(found.values()))}: measure {_measure(found.values())} first"


def as_they_stand(leans: Leans) -> str:
    """Return the same of a study of leans."""
    # What fits hangs on no road and on no grip.
    rows = next(iter(leans.roads[leans.relaxation].values()))
    return stands(
        {setup: row.stands.misfit for setup, row in rows.items()}, {setup: named(leans, setup) for setup in rows}
    )


def untried(moved: Moved) -> str:
    """Return of how many places of a way of moving the mounts nothing is known, by how much they do not fit, and what to measure."""
    gone = moved.untried
    if not gone:
        return ""
    return f"{_count(len(gone), len(moved.tried))} not fit{_by([one.misfit for one in gone if one.misfit])}"


def told(leans: Leans) -> list[str]:
    """Return a sentence for each way of moving the mounts that has places at which a damper does not fit, or would not by an estimate."""
    rows = next(iter(leans.roads[leans.relaxation].values()))
    said = []
    for move in MOVES:
        # Set-ups of which the same is to be said have one sentence.
        by_text: dict[str, list[str]] = {}
        for setup, row in rows.items():
            moved = row.moves[move]
            misfits = [(one.at, one.misfit) for one in moved.tried if one.misfit]
            text = of_places(move, misfits, len(moved.tried))
            if text:
                by_text.setdefault(text, []).append(named(leans, setup))
        for text, setups in by_text.items():
            who = "" if len(rows) == 1 else ", every set-up" if len(setups) == len(rows) else f", {listed(setups)}"
            said.append(f"{_capital(MOVES[move].label)}{who}: {text}")
    return said


def of_places(move: str, misfits: Sequence[tuple[float, Misfit]], places: int) -> str:
    """Return at how many of the places of a move a damper does not fit, by measured numbers and by estimates; empty for none.

    Parameters
    ----------
    move : str
        Of `mounts.MOVES`.
    misfits : sequence of (float, Misfit)
        Place [rad] or [m], and what is wrong there.
    places : int
        How many there are.
    """
    firm = [one for one in misfits if not one[1].estimated]
    open_ = [one for one in misfits if one[1].estimated]
    said = []
    if firm:
        # The one that is furthest off has the largest cure, which serves for all.
        worst = max((misfit for _, misfit in firm), key=lambda misfit: misfit.short if misfit.short > 0.0 else 0.0)
        where = listed([MOVES[move].words(place) for place, _ in firm]) if len(firm) <= MOST_NAMED else ""
        said.append(
            f"not tried: {_count(len(firm), places)} not fit{f' ({where})' if where else ''}. "
            f"{'There' if len(firm) == 1 else 'At worst'} {worst.reason.removesuffix('.')}."
        )
    if open_:
        whole = [misfit for _, misfit in open_]
        said.append(
            f"{_count(len(open_), places)} not fit, as far as it is estimated{_by(whole)}: measure {_measure(whole)} first. "
            f"{'It was' if len(open_) == 1 else 'They were'} tried all the same."
        )
    text = " ".join(said)
    return text if firm or not text else _capital(text)


MOST_NAMED = 3
"""Places of which each is named."""


def _count(some: int, every: int) -> str:
    return f"{some} of {every} places {'does' if some == 1 else 'do'}"


def _by(misfits: Sequence[Misfit]) -> str:
    """Return ", by 2.6 to 13.8 mm", what lengths fall short by; empty where no length does."""
    known = sorted(misfit.short for misfit in misfits if misfit.short > 0.0)
    if not known:
        return ""
    most = show_short(known[-1], "length", (1, 2))
    return f", by up to {most}" if len(known) > 1 else f", by {most}"


def _measure(misfits: Iterable[Misfit]) -> str:
    return listed(list(dict.fromkeys(words for misfit in misfits for words in misfit.measure)))


def _capital(text: str) -> str:
    return text[0].upper() + text[1:]
