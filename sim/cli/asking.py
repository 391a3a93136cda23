"""Questions in a terminal, in the order in which a shop measures: one can be skipped, gone back to, or asked what it means."""

import sys
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from typing import Any

from sim.describe.estimates.fields import CHOICE, COIL, LEAF, PAIR, SPRINGS, Field, fields, taken, text_at, with_text
from sim.describe.estimates.truck import estimate_text, read_si, typed_system
from sim.describe.estimates.tyre_size import tyre_size
from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import in_shown_units, shown_in, system
from sim.errors import InputError

ENOUGH, BACK, HELP, LEFT_OUT, SAME = ".", "back", "?", "skip", "same"
"""Answers that are none: end the questions, ask the one before again, say how this is measured, forget what was answered, take what was
answered of the front axle."""

HOW = (
    f"Enter goes on, '{BACK}' goes back to the question before, '{HELP}' says how this one is measured, '{LEFT_OUT}' forgets an answer, "
    f"'{SAME}' at the rear axle takes what you said of the front one, and '{ENOUGH}' ends.\nWhat is skipped is estimated. Write numbers with their unit: 92 in, 2450 lb."
)


def asked(mapping: Mapping[str, Any], answer: Callable[[str], str] | None = None) -> dict[str, str]:
    """Return what somebody answers, by path.

    Parameters
    ----------
    mapping : mapping
        What is known already; what is in it is offered as it is.
    answer : callable, optional
        From a question to the line that is typed; by default it is read from the terminal. EOFError ends the questions.
    """
    answer = answer or _typed
    print(HOW, file=sys.stderr)
    questions = _Questions(mapping)
    step = ""
    while (field := questions.now()) is not None:
        if field.step != step:
            step = field.step
            print(f"\n{step}", file=sys.stderr)
        with questions.units():
            question = _question(field, questions.data)
        try:
            text = " ".join(answer(question).split())
        except EOFError:
            break
        if text == ENOUGH:
            break
        with questions.units():
            said = questions.heard(field, text)
        if said:
            print("\n".join(f"    {line}" for line in said), file=sys.stderr)
    return questions.answers


class _Questions:
    """The questions with their answers so far, and at which of them somebody is."""

    def __init__(self, mapping: Mapping[str, Any]) -> None:
        self.before, self.data = mapping, dict(mapping)
        self.fields = fields()
        self.answers: dict[str, str] = {}
        self.place = 0
        self.trail: list[int] = []
        self.along: set[str] = set()
        """What was answered along with another question, and is not asked again."""

    def now(self) -> Field | None:
        """Return the question that comes now; None after the last one."""
        while self.place < len(self.fields) and not self._wanted(self.fields[self.place]):
            self.place += 1
        return self.fields[self.place] if self.place < len(self.fields) else None

    def _wanted(self, field: Field) -> bool:
        if field.path in self.along:
            return False
        # Read afresh each time: what was answered before may have changed what is asked now.
        return not field.when or self._chosen(field.when[0]) == field.when[1]

    def _chosen(self, path: str) -> str:
        return text_at(self.data, next(one for one in self.fields if one.path == path))

    def units(self) -> AbstractContextManager[None]:
        """Return what shows numbers as was chosen; where nobody chose, in the units that somebody types."""
        return shown_in(typed_system(self.data) if system() == "both" else system())

    def heard(self, field: Field, text: str) -> list[str]:
        """Take an answer; return what there is to say to it, in lines."""
        if text == HELP:
            return help_lines(field, self.data)
        if text.lower() == BACK:
            if not self.trail:
                return ["This is the first question."]
            self.place = self.trail.pop()
            self._forget_along(self.fields[self.place])
            return []
        said: list[str] = []
        if text.lower() == SAME and field.path.startswith("rear."):
            return self._as_in_front(field)
        if text.lower() == LEFT_OUT:
            self._forget_along(field)
            self.answers.pop(field.path, None)
        elif text:
            own = _answers(field, text)
            wrong = _wrong(self.before, {**self.answers, **own}, self.fields, field, own)
            if wrong:
                return [wrong]
            self._forget_along(field)
            self.answers |= own
            self.along |= own.keys() - {field.path}
            if len(own) > 1:
                rate = own[next(path for path in own if path != field.path)]
                said = [f"Taken as {own[field.path]} of {rate} each; '{BACK}' to choose the other springs."]
            elif field.path not in own:
                said = ["Taken as its outside diameter."]
        return self._on(said)

    def _as_in_front(self, field: Field) -> list[str]:
        """Take at a rear axle's question what was answered to the front one's."""
        front = "front." + field.path.removeprefix("rear.")
        own = {
            path: text
            for path, text in self.answers.items()
            if path in (front, front.replace(".tyre.size", ".tyre.outside_diameter"))
            or (path in self.along and path.startswith(f"{front}."))
        }
        if not own:
            return ["Nothing was said of the front axle there."]
        self._forget_along(field)
        rear = {"rear." + path.removeprefix("front."): text for path, text in own.items()}
        self.answers |= rear
        self.along |= rear.keys() - {field.path}
        return self._on([f"{text}" for text in rear.values()])

    def _on(self, said: list[str]) -> list[str]:
        """Go on to the next question."""
        self.data = _with(self.before, self.answers, self.fields)
        self.trail.append(self.place)
        self.place += 1
        return said

    def _forget_along(self, field: Field) -> None:
        beside = field.path.replace(".tyre.size", ".tyre.outside_diameter")
        for path in [path for path in self.along if path == beside or path.startswith(f"{field.path}.")]:
            self.along.discard(path)
            self.answers.pop(path, None)


def _with(before: Mapping[str, Any], answers: Mapping[str, str], known: tuple[Field, ...]) -> dict[str, Any]:
    data = dict(before)
    # In the order of the form: which springs before what is said of them.
    for field in known:
        if field.path in answers:
            data = with_text(data, field, answers[field.path])
    return data


def _answers(field: Field, text: str) -> dict[str, str]:
    """Return what an answer says, by path: a choice by the beginning of its word, springs also by their rate."""
    if field.path.endswith(".tyre.size") and tyre_size(text) is None and read_si(text, "length") is not None:
        return {field.path.replace(".size", ".outside_diameter"): text}
    if field.kind != CHOICE:
        return {field.path: text}
    if field.path.endswith(".springs"):
        words = text.lower()
        leaf = "leaf" in words or "leaves" in words
        rate = words
        for word in ("coils", "coil", "leaf packs", "leaf pack", "leaf springs", "leaf", "leaves", "of", "springs"):
            rate = rate.replace(word, " ")
        if read_si(rate.strip(), "stiffness") is not None:
            word = LEAF if leaf else COIL
            name, _ = SPRINGS[word]
            return {field.path: word, f"{field.path}.{name}.rate": rate.strip()}
        if leaf:
            return {field.path: LEAF}
    begun = [
        word
        for word in field.choices
        if word.startswith(text.lower().replace(" ", "_")) or word.startswith(text.lower())
    ]
    return {field.path: begun[0] if len(begun) == 1 else text}


def _typed(question: str) -> str:
    # The question on standard error: standard output is for results.
    print(question, end="", file=sys.stderr, flush=True)
    line = sys.stdin.readline()
    if not line:
        raise EOFError
    return line


def _question(field: Field, data: Mapping[str, Any]) -> str:
    given = text_at(data, field)
    hint = f"now {given}" if given else f"skipped: {taken(data).get(field.path, in_shown_units(field.estimate))}"
    example = f"one of {', '.join(field.choices)}" if field.kind == CHOICE else f"e.g. {_example(field)}"
    if field.path.endswith(".springs"):
        example += ", or the rate of one coil, 190 lb/in"
    return f"  {field.label} ({example}{_usual(field)}; {hint}): "


def _usual(field: Field) -> str:
    from sim.show.pages.local.ranges import range_text

    return f"; usual {range_text(field.low, field.high, field.kind)}" if field.low and field.high else ""


def _example(field: Field) -> str:
    """Return an example in the units that are shown."""
    kinds = ("mass", "length") if field.kind == PAIR else (field.kind,) if field.units else ()
    if system() != "metric" or not kinds:
        return field.example
    texts = []
    for one in field.example.split(","):
        value, kind = next((value, kind) for kind in kinds if (value := read_si(one.strip(), kind)) is not None)
        texts.append(estimate_text(value, 0.0, kind, inches=False))
    return ", ".join(texts)


def help_lines(field: Field, data: Mapping[str, Any]) -> list[str]:
    """Return how a number is measured, how it is written, what is usual, and what is taken where it is skipped."""
    from sim.show.pages.local.fields import how_of

    lines = [how_of(field.path) or f"{field.label}.", f"Half a page on it: docs/measure/{field.page}"]
    if field.kind == CHOICE:
        lines.append(f"One of: {', '.join(field.choices)}.")
    else:
        units = f", in any unit ({' or '.join(field.units)})" if all(field.units) and field.units else ""
        lines.append(f"Written like {_example(field)}{units}.")
    if field.low and field.high:
        lines.append(f"Usual: {_usual(field).removeprefix('; usual ')} for {field.range_of} ({field.range_source}).")
    own = taken(data).get(field.path)
    reach = f"; valid for {field.reach}" if field.reach else ""
    lines.append(f"Skipped: {own + ', from ' if own else ''}{field.estimate}{reach} ({field.source}).")
    return [in_shown_units(line) for line in lines]


def _wrong(
    before: Mapping[str, Any], answers: Mapping[str, str], known: tuple[Field, ...], field: Field, own: Mapping[str, str]
) -> str:  # fmt: skip
    """Return what is wrong with an answer; empty if nothing is."""
    if field.kind == PAIR and len([one for one in own[field.path].split(",") if one.strip()]) != 2:
        return f"two values are wanted here, with a comma between: {field.example}"
    if field.kind == CHOICE and own[field.path] not in field.choices:
        return f"'{own[field.path]}' is not one of {', '.join(field.choices)}"
    try:
        vehicle = vehicle_from(_with(before, answers, known))
    except InputError as error:
        problems = [
            one for one in error.problems if any(one.where == path or one.where.startswith(f"{path}.") for path in own)
        ]
        return "; ".join(f"{one.message}{f': {one.suggestion}' if one.suggestion else ''}" for one in problems)
    from sim.cli.notices import note

    for notice in vehicle.unusual:
        if ".".join(map(str, notice.place)) in own:
            note(f"    NOTICE: {notice.beside}")
    return ""
