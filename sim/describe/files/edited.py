"""A file that somebody wrote, with a value taken out of it so that it can be put back: its line goes behind `#`."""

from collections.abc import Mapping
from typing import Any

from sim.describe.files.round_trip import Place, loaded
from sim.describe.files.round_trip import edited as rewritten


def edited(text: str, values: Mapping[Place, Any]) -> str:
    """Return the text of a YAML file with values written at places; None puts a key behind #, where its line can be found again.

    Parameters
    ----------
    text : str
        Of a file whose top is a mapping.
    values : mapping of place to value
        By place, from the top.

    Raises
    ------
    InputError
        If the text is not such a file.
    """
    if not values:
        return text
    data, lines = loaded(text), text.splitlines(keepends=True)
    hidden = set()
    for place in (place for place, value in values.items() if value is None):
        number = _line_of(data, place, lines)
        if number is not None:
            lines[number] = f"# {lines[number]}"
            hidden.add(place)
    # Behind # by its text: taken out of the data, remarks that follow it would go too.
    rest = {place: value for place, value in values.items() if place not in hidden}
    return rewritten("".join(lines), rest) if rest else "".join(lines)


def _line_of(data: Any, place: Place, lines: list[str]) -> int | None:
    """Return the number of the line that a key with a single value has to itself, from 0; None if it has none."""
    for step in place[:-1]:
        data = data.get(step) if isinstance(data, dict) else None
    key = place[-1]
    known: Any = data if isinstance(data, dict) else {}
    if key not in known or isinstance(known[key], dict) or known.fa.flow_style():
        return None
    number: int = known.lc.key(key)[0]
    whole = lines[number].lstrip().startswith(f"{key}:") and (
        not isinstance(known[key], list) or known[key].fa.flow_style()
    )
    return number if whole else None
