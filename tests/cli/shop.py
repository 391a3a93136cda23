"""A truck of a shop for tests of `jounce new`: its flags, its answers, and what comes of them."""

import io
import sys
from pathlib import Path

from sim.cli import main
from sim.cli.asking import asked

ROOT = Path(__file__).parents[2]


SCENARIOS = ROOT / "scenarios"


FLAGS = [
    "--front", "2450 lb", "--rear", "1780 lb", "--wheelbase", "92 in", "--tyre", '33"', "--coil", "190 lb/in", "--extended", "23.5 in",
    "--collapsed", "14.25 in",
]  # fmt: skip


def new(tmp_path, *more, flags=FLAGS):
    return main(["new", str(tmp_path / "my_truck.yaml"), *flags, *more])


def said_to(answers, known=()):
    """Return what comes of answers, given by the beginning of their question, and all that was asked; other questions are skipped."""
    heard, left = [], {begin: list(texts) for begin, texts in answers.items()}

    def answer(question):
        heard.append(question.strip())
        own = next((texts for begin, texts in left.items() if question.strip().startswith(begin) and texts), None)
        return own.pop(0) if own else "y" if "(y/N)" in question else ""

    return asked(dict(known), answer), heard


def typed(*lines):
    """Return what comes of lines, one after the other."""
    left = list(lines)
    return asked({}, lambda question: left.pop(0) if left else ".")


PIPED = '2450 lb\n1780 lb\n\n92 in\n33"\nsame\n\n\n190 lb/in\nleaf packs\n\n23.5 in, 14.25 in\nsame\n'


def piped(monkeypatch, text):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text if isinstance(text, bytes) else text.encode())))
