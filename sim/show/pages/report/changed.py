"""What a set-up changes on the truck, in the words of the form, with the file's keys small beneath."""

from collections.abc import Iterator, Mapping
from typing import Any

from sim.describe.shown import written_now
from sim.show.pages.called import words_of
from sim.show.pages.report.parts import Both
from sim.show.pages.rows import Place


def changed(changes: Mapping[str, object]) -> Both:
    """Return the changes of a set-up, a line a part, and their keys in small letters; empty if there are none.

    Parameters
    ----------
    changes : mapping of str to object
        By dotted path, as the scenario's file has them.
    """
    lines: dict[str, list[str]] = {}
    for path, value in changes.items():
        for place, own in _leaves(tuple(path.split(".")), value):
            part, label = words_of(place)
            lines.setdefault(part, []).append(f"{label} {_value(own)}".strip())
    texts = [_sentence(part, said) for part, said in lines.items()]
    return Both("\n".join(texts), soft=", ".join(changes))


def _sentence(part: str, said: list[str]) -> str:
    whole = "; ".join(said)
    return f"{part}: {whole}" if part else f"{whole[:1].upper()}{whole[1:]}"


def _leaves(place: Place, value: object) -> Iterator[tuple[Place, object]]:
    if isinstance(value, Mapping) and value:
        for key, own in value.items():
            # Of a valving by slopes and knee the slopes say it; of another its kind is what it is called.
            if key == "kind":
                yield from () if own == "knee" else [(place, own)]
            else:
                yield from _leaves((*place, str(key)), own)
    else:
        yield place, value


def _value(value: Any) -> str:
    if isinstance(value, Mapping):
        return "none"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(map(_listed, value)) + "]"
    if value is None or isinstance(value, bool):
        return {None: "none", True: "yes", False: "no"}[value]
    text = str(value)
    # A word of the file: twin_tube, from_leaves.
    return text.replace("_", " ") if text.isidentifier() else written_now(text, beside=True)


def _listed(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key.replace('_', ' ')} {_value(own)}" for key, own in value.items())
    return _value(value)
