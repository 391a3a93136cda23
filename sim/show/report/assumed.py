"""What nobody gave and is taken as nothing, in words."""

from collections.abc import Sequence

from sim.describe.doubtful import Assumed


def assumed_sentence(assumed: Sequence[Assumed]) -> str:
    """Return what nobody gave and is taken as nothing, in words; empty if there is nothing."""
    if not assumed:
        return ""
    by_words: dict[str, list[str]] = {}
    for one in assumed:
        by_words.setdefault(one.words, []).append(one.path)
    listed = "; ".join(f"{words} ({', '.join(paths)})" for words, paths in by_words.items())
    return f"Assumed to be nothing, as nobody gave it: {listed}."
