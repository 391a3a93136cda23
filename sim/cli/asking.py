"""Questions in a terminal or from a pipe, those that matter most first: one can be skipped, gone back to, or asked what it means."""

import sys
from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from typing import Any

from sim.cli.notices import note
from sim.cli.planned import plans_in, unusual, wrong_plan
from sim.cli.question_answers import NotTakenError, answers_in, in_words, with_answers, wrong_with
from sim.cli.question_list import (
    BY_DIMENSIONS,
    GATE,
    INSTEAD,
    MORE,
    NOTHING,
    PLANNED,
    TOGETHER,
    Item,
    front_of,
    is_asked,
    items,
    rear_of,
    taken_along,
)  # fmt: skip
from sim.cli.question_words import help_lines, question_text
from sim.describe.estimates.fields import Field, fields, text_at
from sim.describe.estimates.truck import AXLES, read_si, typed_system
from sim.describe.shown import shown_in, system
from sim.errors import InputError, Problem

ENOUGH, BACK, HELP, LEFT_OUT, SAME = ".", "back", "?", "skip", "same"
"""Answers that are none: end the questions, ask the one before again, say how this is measured, forget what was answered, take what was
answered of the front axle."""

YES, NO = ("y", "yes"), ("n", "no")

HOW = (
    f"Enter goes on, '{BACK}' goes back to the question before, '{HELP}' says how this one is measured, '{LEFT_OUT}' forgets an answer, "
    f"'{SAME}' at the rear axle takes what you said of the front one, and '{ENOUGH}' ends.\nWhat is skipped is estimated. Write numbers with their unit:"
)

LIKE = {"metric": "2337 mm, 1111 kg", "inch": "92 in, 2450 lb", "both": "92 in or 2337 mm, 2450 lb or 1111 kg"}
"""How a number with its unit looks, by the units that are asked for."""


def asked(
    mapping: Mapping[str, Any], answer: Callable[[str], str] | None = None, piped: bool = False
) -> dict[str, str]:
    """Return what somebody answers, by path; what is planned begins with `planned.`.

    Parameters
    ----------
    mapping : mapping
        What is known already; what is in it is offered as it is.
    answer : callable, optional
        From a question to the line that is typed; by default it is read from the terminal. EOFError ends the questions.
    piped : bool
        Nobody is there to be asked again: the first answer that is not understood ends it.

    Raises
    ------
    InputError
        If an answer from a pipe is not understood: by its line and its question.
    """
    answer = answer or _typed
    print(f"{HOW} {LIKE[system()]}.", file=sys.stderr)
    questions = _Questions(mapping)
    heads: set[str] = set()
    line = 0
    while (item := questions.now()) is not None:
        if item.head not in heads:
            heads.add(item.head)
            print(f"\n{item.head}", file=sys.stderr)
        with questions.units():
            # Anew for each question: who has typed inches so far reads the next one in inches.
            question = questions.worded(item)
        try:
            text = " ".join(answer(question).split())
        # The end of a pipe, or Ctrl-D: what was answered until here counts, as after '.'.
        except EOFError:
            break
        # Counted whatever it says: a refused answer of a pipe is named by its line.
        line += 1
        if text == ENOUGH:
            break
        try:
            with questions.units():
                said = questions.heard(item, text)
        except NotTakenError as error:
            if piped:
                raise InputError(
                    Problem(
                        str(error), "standard input", line, 1, where=item.field.label, given=text,
                        suggestion="mend that line; an answer that is left out is an empty line",
                    )
                ) from None  # fmt: skip
            said = [str(error)]
        if said:
            print("\n".join(f"    {one}" for one in said), file=sys.stderr)
    questions.end()
    # In the order of the form, whatever was asked first: the file is the same as from the page.
    order = {field.path: number for number, field in enumerate(questions.fields)}
    # What is planned has no field in the form: it comes last.
    return dict(sorted(questions.answers.items(), key=lambda one: order.get(one[0], len(order))))


class _Questions:
    """The questions with their answers so far, and at which of them somebody is."""

    def __init__(self, mapping: Mapping[str, Any]) -> None:
        self.before, self.data = mapping, dict(mapping)
        self.items = items()
        self.fields = fields()
        self.known = {field.path: field for field in self.fields}
        self.behind = {item.field.path: item.behind for item in self.items}
        self.answers: dict[str, str] = {}
        self.agreed: set[str] = set()
        """Headings that somebody wants to go through."""
        self.place = 0
        self.trail: list[int] = []
        self.along: dict[str, str] = {}
        """What was answered along with another question, and is not asked again: by its path, the path of that question."""

    def now(self) -> Item | None:
        """Return the question that comes now; None after the last one."""
        while self.place < len(self.items) and not self._wanted(self.items[self.place]):
            self.place += 1
        return self.items[self.place] if self.place < len(self.items) else None

    def _wanted(self, item: Item) -> bool:
        if not all(head in self.agreed for head in item.behind) or item.field.path in self.along:
            return False
        if item.field.kind == GATE:
            return item.field.path in (PLANNED, MORE) or self._count(item.field.path) > 0
        # Read afresh each time: what was answered before may have changed what is asked now.
        return item.field.path not in self.known or is_asked(item.field, self.data, self.known)

    def _count(self, head: str) -> int:
        """Return how many questions a heading has, as it looks now."""
        own = [one for one in self.items if one.field.kind != GATE and head in one.behind]
        return sum(one.field.path not in self.along and is_asked(one.field, self.data, self.known) for one in own)

    def worded(self, item: Item) -> str:
        """Return a question as it is asked."""
        field = item.field
        if field.kind != GATE:
            return question_text(field, self.data, ", ".join(self._own(field).values()))
        # Enter keeps what was agreed to: somebody who came back past it and goes on again loses nothing behind it.
        choice = "(Y/n)" if field.path in self.agreed else "(y/N)"
        if field.path == PLANNED:
            return f"  Is a lift, another engine, a winch, cargo or other tyres planned? {choice}: "
        count = self._count(field.path)
        if field.path == MORE:
            return f"  More: {count} questions, by heading, for numbers that are estimated otherwise? {choice}: "
        return f"  {field.path}: {count} question{'s' * (count > 1)}? {choice}: "

    def units(self) -> AbstractContextManager[None]:
        """Return what shows numbers as was chosen; where nobody chose, in the units that somebody types."""
        return shown_in(typed_system(self.data) if system() == "both" else system())

    def heard(self, item: Item, text: str) -> list[str]:
        """Take an answer; return what there is to say to it, in lines.

        Raises
        ------
        NotTakenError
            If it is not understood; the same question is asked again.
        """
        field, word = item.field, text.lower()
        if text == HELP:
            return help_lines(field, self.data)
        if word == BACK:
            return self._back()
        if field.kind == GATE:
            return self._agreed(field, word)
        if word == SAME and front_of(field.path) != field.path:
            return self._as_in_front(field)
        said: list[str] = []
        if word == LEFT_OUT:
            self._forget(field)
        elif text:
            said = self._taken(field, text)
        return self._on(said)

    def _back(self) -> list[str]:
        if not self.trail:
            return ["This is the first question."]
        # Nothing is forgotten on the way: whoever looks at an answer and goes on with Enter keeps all of it.
        self.place = self.trail.pop()
        return []

    def _agreed(self, field: Field, word: str) -> list[str]:
        if word and word not in YES + NO:
            raise NotTakenError(f"answer y or n; Enter is {'yes' if field.path in self.agreed else 'no'}")
        if word:
            (self.agreed.add if word in YES else self.agreed.discard)(field.path)
        return self._on([])

    def _taken(self, field: Field, text: str) -> list[str]:
        """Keep an answer; return what is to be said of what it was taken for."""
        own = answers_in(field, text)
        # Looked at before anything is forgotten: a refused answer leaves the one before it.
        if field.path in self.known:
            self._see(field, own)
        elif read_si(text, field.kind) == 0.0:
            self._forget(field)
            return [f"Taken as: {NOTHING}."]
        else:
            self._see_plan(field, text)
        self._forget(field)
        self._keep(field, own)
        words = ", ".join(
            f"{self.known[path].label.partition(', ')[2]} {own[path]}" for path in own if path != field.path
        )
        if field.path.endswith(".springs") and len(own) > 1:
            rate = next((text for path, text in own.items() if path.endswith(".rate")), None)
            what = (
                f"of {rate} each"
                if rate is not None
                else f"by their {'wire' if '.coil.' in ''.join(own) else 'leaves'}: {words}"
            )
            return [f"Taken as {own[field.path]} {what}; '{BACK}' to choose the other springs."]
        if field.path in own:
            return []
        if len(own) > 1:
            return [f"Taken as its {'wire' if '.coil.' in ''.join(own) else 'leaves'}: {words}."]
        return ["Taken as its outside diameter."]

    def _see(self, field: Field, own: Mapping[str, str]) -> None:
        """See that an answer can be.

        Raises
        ------
        NotTakenError
            If it cannot.
        """
        # Without what it was answered before: a rate beside the leaves that it takes the place of would be one too many.
        gone = self._own(field)
        others = {path: text for path, text in self._kept().items() if path not in gone}
        if wrong := wrong_with(self.before, others, own, self.fields, field):
            raise NotTakenError(wrong)

    def _see_plan(self, field: Field, text: str) -> None:
        """See here, not after the last question, that the truck can be so with what else is planned: that would cost every answer.

        Raises
        ------
        NotTakenError
            If it cannot.
        """
        if wrong := wrong_plan(self.data, plans_in({**self._kept(), field.path: text})):
            raise NotTakenError(wrong)
        try:
            found = unusual(plans_in({field.path: text}))
        except InputError as error:
            raise NotTakenError(in_words(error.problems)) from None
        for lines in found.values():
            note(f"    NOTICE: {'; '.join(line for line in lines if not line.startswith('given: '))}")

    def _as_in_front(self, field: Field) -> list[str]:
        """Take at a rear axle's question what was answered to the front one's."""
        front = front_of(field.path)
        also = taken_along(front)
        own = {
            path: text
            for path, text in self.answers.items()
            if path in (front, *also) or (path in self.along and path.startswith(f"{front}."))
        }
        if not own:
            if field.path not in self.known:  # of a plan nothing is an answer
                self._forget(field)
                return self._on([f"Taken as in front: {NOTHING}."])
            raise NotTakenError("nothing was said of the front axle there")
        rear = {rear_of(path): text for path, text in own.items()}
        if field.path in self.known:
            self._see(field, rear)
        else:
            self._see_plan(field, rear[field.path])
        self._forget(field)
        self._keep(field, rear)
        return self._on([f"Taken as in front: {', '.join(rear.values())}."])

    def _keep(self, field: Field, own: Mapping[str, str]) -> None:
        """Keep what an answer says; what came along with it is not asked again, nor is a rate whose wire or leaves came along."""
        self.answers |= own
        along = own.keys() - {field.path}
        for question in BY_DIMENSIONS:
            for axle in AXLES:
                path = question.format(axle=axle)
                along |= {path} if path != field.path and along & set(taken_along(path)) else set()
        self.along |= dict.fromkeys(along, field.path)

    def _on(self, said: list[str]) -> list[str]:
        """Go on to the next question."""
        self.data = with_answers(self.before, self._kept(), self.fields)
        self.trail.append(self.place)
        self.place += 1
        return said

    def _kept(self) -> dict[str, str]:
        """Return the answers that count now: the others are kept for a later yes, or for the springs that they were said of."""
        return {path: text for path, text in self.answers.items() if self._counts(path)}

    def _counts(self, path: str) -> bool:
        # What came along with a question counts as that question does, whatever heading its own would be behind.
        if not all(head in self.agreed for head in self.behind.get(self.along.get(path, path), ())):
            return False
        field = self.known.get(path)
        if field is None or not field.when:
            return True
        # A coil's rate says nothing of an axle that has leaf packs by now; put into the file it would be a second spring.
        place, word = field.when
        return (self.answers.get(place) or text_at(self.before, self.known[place]) or word) == word

    def _own(self, field: Field) -> dict[str, str]:
        """Return what was answered to a question: at its own path, and what it took along."""
        also = taken_along(field.path)
        paths = [path for path, of in self.along.items() if of == field.path]
        # In the order of the question, then what came otherwise.
        order = dict.fromkeys((field.path, *(path for path in also if path in paths), *sorted(paths)))
        return {path: self.answers[path] for path in order if path in self.answers}

    def _forget(self, field: Field) -> None:
        """Forget all that was answered to a question, before it is answered otherwise: a tyre's size goes when its diameter comes."""
        for path in self._own(field):
            del self.answers[path]
        self.along = {path: of for path, of in self.along.items() if of != field.path}

    def end(self) -> None:
        """Leave out what was said no to in the end, half of what belongs together, and what stands in place of what was given."""
        self.answers = self._kept()
        for general, other in INSTEAD.items():
            for axle in ("front", "rear"):
                if other.format(axle=axle) in self.answers:
                    self.answers.pop(general.format(axle=axle), None)
        for head in TOGETHER:
            paths = [path for path in self.known if path.startswith(f"{head}.")]
            own = [path for path in paths if path in self.answers]
            if own and not all(text_at(self.data, self.known[path]) for path in paths):
                words = ", ".join(self.known[path].label.lower() for path in paths if path not in own)
                print(
                    f"    {self.known[own[0]].label}: left out, as it says nothing without: {words}.", file=sys.stderr
                )
                for path in own:
                    del self.answers[path]


def _typed(question: str) -> str:
    # The question on standard error: standard output is for results.
    print(question, end="", file=sys.stderr, flush=True)
    line = _line()
    if not line:
        raise EOFError
    return line


def _line() -> str:
    """Return the next line of standard input; empty at its end.

    Raises
    ------
    InputError
        If it is no text.
    """
    try:
        return sys.stdin.readline()
    except UnicodeDecodeError:
        raise InputError(
            Problem("this is no text", "standard input", suggestion="one answer a line, in UTF-8")
        ) from None


def from_pipe() -> Callable[[str], str] | None:
    """Return what answers questions with the lines of a pipe; None if there is none in it."""
    # One line ahead: scripts often have an empty standard input, and that must not count as all questions skipped.
    first = [_line()]
    if not first[0]:
        return None

    def answer(question: str) -> str:
        print(question, end="", file=sys.stderr)
        line = first.pop() if first else _line()
        # No terminal has written the answer behind its question.
        print(line.rstrip("\r\n"), file=sys.stderr)
        if not line:
            raise EOFError
        return line

    return answer
