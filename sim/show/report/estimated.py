"""What nobody gave of a truck and was estimated: a table of it, and a sentence."""

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Any

from sim.describe.doubt import GUESS
from sim.describe.doubtful import doubtful, estimates_of
from sim.describe.estimates.estimate import Estimate
from sim.describe.shown import in_shown_units

if TYPE_CHECKING:
    from rich.table import Table

METHODS = "docs/measure"
"""Folder of the pages that say how to measure what was estimated."""


def estimated_sentence(estimates: Sequence[Estimate]) -> str:
    """Return in a sentence what was estimated; empty if nothing was."""
    if not estimates:
        return ""
    doubtful = sum(one.half > 0.0 for one in estimates)
    return (
        f"Estimated, as nobody measured them: {len(estimates)} numbers, {doubtful} of them in doubt by their estimate's spread. `jounce stand --all` lists "
        "each with what it comes from; write the key into the vehicle's file, and it is yours."
    )


def switched_off(setups: Iterable[Any], run: Any = None) -> str:
    """Return what is said where nobody asked for bands though numbers are estimated; empty if none is.

    Parameters
    ----------
    setups : iterable of Vehicle
    run : optional
        What the set-ups are run over, which may have estimated numbers too.
    """
    number = _number(setups, run)
    return number and (
        f"Doubt was switched off; {number} estimated: each was taken at its central value, so nothing is said of how sure the differences "
        "are. Without --no-doubt they get bands, and it is said what to measure next."
    )


def at_central_values(setups: Iterable[Any], run: Any = None) -> str:
    """Return the same of what never has bands."""
    number = _number(setups, run)
    return number and (
        f"Nobody measured all of it: {number} estimated, each taken at its central value. Hours of track have no bands: how sure the differences are is not said. "
        "`jounce stand --all` lists what is estimated."
    )


def _number(setups: Iterable[Any], run: Any) -> str:
    """Return how many numbers are estimated, with the verb; empty if none is."""
    setups = tuple(setups)
    vehicles = {id(one): one for vehicle in setups for one in (vehicle, vehicle.reference)}.values()
    found = {(one.path, one.doubt.written) for part in (*vehicles, run) for one in doubtful(part)}
    # Those without a spread of their own are estimated all the same.
    count = len(found) + sum(one.half == 0.0 for one in estimates_of(setups))
    if not count:
        return ""
    return "1 number is" if count == 1 else f"{count} numbers are"


def forces_are_estimates(estimates: Iterable[Estimate], axle: str, name: str) -> bool:
    """Tell whether nobody gave any force of a damper set: its valving is what a usual one has."""
    return any(one.path.startswith(f"{axle}.dampers.{name}.valving.") for one in estimates)


def recorded(estimates: Sequence[Estimate]) -> dict[str, Any]:
    """Return the estimates for a record, by path."""
    return {
        f"{one.path}: {one.written}": {"what": one.label, "estimated from": one.of, "valid for": one.reach, "source": one.source}
        for one in estimates
    }  # fmt: skip


def rows(estimates: Sequence[Estimate]) -> Iterator[tuple[str, str, str, str, str]]:
    """Yield the rows of the table: what, in front, at the rear, estimated from, page; what has no axle stands under "front" alone."""
    paired: dict[str, dict[str, Estimate]] = {}
    for one in estimates:
        axle, _, rest = one.path.partition(".")
        own = (rest, axle) if axle in ("front", "rear") else (one.path, "")
        paired.setdefault(own[0], {})[own[1]] = one
    for both in paired.values():
        first = next(iter(both.values()))
        label = first.label
        for axle in ("front", "rear"):
            label = label.removeprefix(f"{axle} ") if axle in both else label
        values = [both[axle].shown.removeprefix("about ") if axle in both else "" for axle in ("front", "rear")]
        if "" in both:
            values = [both[""].shown.removeprefix("about "), ""]
        words = in_shown_units("; ".join(dict.fromkeys(one.of for one in both.values())))
        guessed = any(one.is_guess for one in both.values())
        yield label, values[0], values[1], f"{GUESS}, measure it first; from {words}" if guessed else words, first.page


def table(estimates: Sequence[Estimate]) -> "Table":
    """Return the table of what was estimated."""
    from rich.table import Table
    from rich.text import Text

    made = Table(
        title="Estimated, as nobody measured it", title_justify="left", show_edge=False, pad_edge=False, box=None
    )
    for head in ("", "front, or the truck", "rear", f"from, and how to measure it ({METHODS})"):
        made.add_column(head, overflow="fold")
    for label, front, rear, words, page in rows(estimates):
        # Of a guess the page before all else: it is worth the least.
        how = f"{page}: {words}" if words.startswith(GUESS) else f"{words} ({page})"
        made.add_row(Text(label), Text(front), Text(rear), Text(how))
    return made


def of_damper(estimates: Sequence[Estimate], axle: str, name: str) -> str:
    """Return in a sentence what of a damper was estimated; empty if nothing was."""
    own = [one for one in estimates if one.path.startswith(f"{axle}.dampers.{name}.")]
    if not own:
        return ""
    labels = list(dict.fromkeys(one.label.removeprefix(f"{axle} ") for one in own))
    guessed = {one.label.removeprefix(f"{axle} "): one.page for one in own if one.is_guess}
    first = (
        f". Of these {GUESS}: {'; '.join(guessed)}: measure them first ({', '.join(f'{METHODS}/{page}' for page in dict.fromkeys(guessed.values()))})"
        if guessed
        else ""
    )
    return f"estimated, as nobody measured it: {'; '.join(labels)}{first}. Measure what the order rests on before it is sent"
