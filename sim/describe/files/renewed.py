"""Documents in new words: old keys, paths and names of measures replaced, with a notice of each at its line."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from sim.describe.files.reader import Document, Mark, Place
from sim.describe.old_words import Both, new_measure, new_path, new_plot, new_steps, said, with_new_keys
from sim.errors import InputError, Problem


def renewed_vehicle(document: Document) -> Document:
    """Return a vehicle's document in new words; itself if it has no old one.

    Raises
    ------
    InputError
        If a key is given in its old and its new word.
    """
    notices: list[str] = []
    try:
        data = value_in_new_words(document.data, (), document.key_marks, Mark(document.name, 1, 1), notices)
    except Both as both:
        mark = document.key_marks.get(both.place, document.mark(both.place))
        raise InputError(
            Problem(
                str(both), mark.file, mark.line, mark.column, ".".join(map(str, both.place)), suggestion=f"delete '{both.old}'"
            )
        ) from None  # fmt: skip
    if data is document.data:
        return document
    return replace(
        document, data=data, marks=_with_new_places(document.marks), key_marks=_with_new_places(document.key_marks),
        notices=[*document.notices, *notices],
    )  # fmt: skip


def value_in_new_words(
    data: Any, place: Place, key_marks: Mapping[Place, Mark], nearest: Mark, notices: list[str]
) -> Any:
    """Return what stands at a place of a vehicle in new words; a notice of each old one is added to `notices`.

    Parameters
    ----------
    key_marks : mapping
        Where keys stand, by their place as written.
    nearest : Mark
        Where to point if a key has no mark.

    Raises
    ------
    Both
        If a key is given in its old and its new word.
    """

    def seen(place: Place, old: str, new: str) -> None:
        notices.append(notice(key_marks.get(place, nearest), place, old, new))

    return with_new_keys(data, place, seen)


def notice(mark: Mark, place: Place, old: str, new: str) -> str:
    """Return the notice of an old word at its place."""
    return f"{mark.file}:{mark.line}:{mark.column}: {'.'.join(map(str, place))}: {said(old, new)}"


def _with_new_places(marks: Mapping[Place, Mark]) -> dict[Place, Mark]:
    return {new_steps(place): mark for place, mark in marks.items()}


def renewed_scenario(document: Document) -> Document:
    """Return a scenario's document with new words in `show`, `sweep` and `tune`; set-ups go through their own reader."""
    words = _Words(document)
    data = dict(document.data)
    data["show"] = words.names(data.get("show"), ("show",), new_plot)
    sweep, tune = data.get("sweep"), data.get("tune")
    if isinstance(sweep, dict):
        data["sweep"] = sweep = dict(sweep)
        sweep["vary"] = words.keys(sweep.get("vary"), ("sweep", "vary"), new_path)
        sweep["measures"] = words.names(sweep.get("measures"), ("sweep", "measures"), new_measure)
        data["sweep"] = _as_given(sweep, document.data["sweep"])
    if isinstance(tune, dict):
        tune = dict(tune)
        for key in ("goal", "limits"):
            tune[key] = words.keys(tune.get(key), ("tune", key), new_measure)
        tune["trade_off"] = words.names(tune.get("trade_off"), ("tune", "trade_off"), new_measure)
        if isinstance(tune.get("move"), dict):
            tune["move"] = {
                name: words.move(move, ("tune", "move", name, "path")) for name, move in tune["move"].items()
            }
        if isinstance(tune.get("over"), dict):
            tune["over"] = {name: words.case(case, ("tune", "over", name)) for name, case in tune["over"].items()}
        data["tune"] = _as_given(tune, document.data["tune"])
    if not words.notices:
        return document
    return replace(
        document, data=_as_given(data, document.data), marks=words.marks, key_marks=words.key_marks,
        notices=[*document.notices, *words.notices],
    )  # fmt: skip


def _as_given(new: dict[str, Any], given: Mapping[str, Any]) -> dict[str, Any]:
    """Return a mapping without keys that the given one has not."""
    return {key: value for key, value in new.items() if key in given}


class _Words:
    """Replaces words of one document and collects notices and marks."""

    def __init__(self, document: Document) -> None:
        self.document = document
        self.marks, self.key_marks = dict(document.marks), dict(document.key_marks)
        self.notices: list[str] = []

    def word(self, old: Any, place: Place, mark: Mark, new_of: Any) -> Any:
        if not isinstance(old, str) or (new := new_of(old)) == old:
            return old
        self.notices.append(notice(mark, place, old, new))
        return new

    def names(self, names: Any, place: Place, new_of: Any) -> Any:
        """Replace names in a list, or a single one."""
        if not isinstance(names, list):
            return self.word(names, place, self.document.mark(place), new_of)
        return [
            self.word(name, (*place, number), self.document.mark((*place, number)), new_of)
            for number, name in enumerate(names)
        ]

    def keys(self, mapping: Any, place: Place, new_of: Any) -> Any:
        """Replace the keys of a mapping; what is in it keeps its marks under the new key."""
        if not isinstance(mapping, dict):
            return mapping
        new = {}
        for key, value in mapping.items():
            mark = self.document.key_marks.get((*place, key), self.document.mark((*place, key)))
            word = self.word(key, place, mark, new_of)
            new[word] = value
            for marks in (self.marks, self.key_marks):
                for old in [p for p in marks if p[: len(place) + 1] == (*place, key)]:
                    marks[(*place, word, *old[len(place) + 1 :])] = marks[old]
        return new

    def move(self, move: Any, place: Place) -> Any:
        """Replace the path, or paths, of one move."""
        if not isinstance(move, dict) or "path" not in move:
            return move
        return {**move, "path": self.names(move["path"], place, new_path)}

    def case(self, case: Any, place: Place) -> Any:
        """Replace the paths of a case's changes; what they put there goes through the reader of set-ups."""
        if not isinstance(case, dict) or "changes" not in case:
            return case
        return {**case, "changes": self.keys(case["changes"], (*place, "changes"), new_path)}
