"""What is said beside results, on standard error."""

import sys
from collections.abc import Callable, Iterator, Mapping
from typing import TYPE_CHECKING, Any

from sim.cli.answer import add
from sim.describe.shown import in_shown_units, typed_in, wished

if TYPE_CHECKING:
    from sim.describe.parts.vehicle import Vehicle


def notices(given: Any) -> int:
    """Show numbers as a file wishes; say what was found in surveyed profiles and done about it, and what is possible but hardly meant.

    Returns
    -------
    int
        How many were said.
    """
    # Before anything is shown of it: its notices have numbers too.
    wished(getattr(given, "units", None))
    typed_in(getattr(getattr(given, "vehicle", given), "typed_system", "both"))
    texts = getattr(given, "notices", ())
    for text in texts:
        # They were written while the file was read, before it was known what it wishes.
        note(f"NOTICE: {in_shown_units(text)}")
    return len(texts)


def of_standing(setups: Mapping[str, "Vehicle"]) -> int:
    """Say what is seen once set-ups stand: dampers with room at rest and none as an order counts it, gaps that a lift has changed, springs that lift.

    Returns how many notices that were.

    Parameters
    ----------
    setups : mapping of str to Vehicle
        By name; empty where a vehicle has no set-ups.
    """
    from sim.study.lengths_kept import lengths_kept
    from sim.study.stop_after_lift import gaps_after_lift
    from sim.study.wound_up import short_when_wound_up

    return _said(setups, short_when_wound_up, gaps_after_lift, lengths_kept)


def of_springs(setups: Mapping[str, "Vehicle"]) -> int:
    """Say which set-ups stand higher or lower as their springs of another rate are as long as those before: what is compared rides otherwise by that too.

    Returns how many notices that were.
    """
    from sim.study.lengths_kept import lengths_kept

    return _said(setups, lengths_kept)


def _said(setups: Mapping[str, "Vehicle"], *sentences: "Callable[[Vehicle], Iterator[str]]") -> int:
    from sim.study.wound_up import said_of

    said: dict[str, list[str]] = {}
    for one in sentences:
        said |= said_of(setups, one)
    for text, names in said.items():
        of = f"set-up {', '.join(map(repr, names))}: " if any(names) else ""
        note(f"NOTICE: {of}{text}")
    return len(said)


def note(text: str) -> None:
    """Say one line at once."""
    add(notices=[text.removeprefix("NOTICE: ")])
    # At once: it may be what a person waits for, and standard error into a file is kept back otherwise.
    print(text, file=sys.stderr, flush=True)


def caution(text: str) -> None:
    """Say in one line what can hurt somebody who does on the truck what was computed; nothing if there is nothing to say."""
    if text:
        add(cautions=[text])
        print(f"CAUTION: {text}", file=sys.stderr, flush=True)


def cluster_ready(address: str | None) -> None:
    """Say that a cluster's worker is waited for, if it is; before anything else is shown or noted.

    Raises
    ------
    InputError
        If there is no such cluster, or none of its workers comes.
    """
    if address is not None:
        from sim.machine.spread import connected

        with connected(address, note):
            return
