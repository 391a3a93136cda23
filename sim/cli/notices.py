"""What is said beside results, on standard error."""

import sys
from typing import Any


def notices(given: Any) -> None:
    """Say what was found in surveyed profiles and done about it."""
    for text in getattr(given, "notices", ()):
        note(f"NOTICE: {text}")


def note(text: str) -> None:
    """Say one line at once."""
    print(text, file=sys.stderr, flush=True)
