"""What the compiler finds for an operator and the types on both sides of it, remembered while it compiles.

For each + and * of a text it tries every meaning that they have anywhere, in two ways, and then takes the same one as
before: a quarter of the time that the kernel takes to compile.
"""

import operator
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

OPERATORS = {getattr(operator, name) for name in operator.__all__}


@contextmanager
def remembered() -> Iterator[None]:
    """Remember it in the body of the `with`, of a compiler that has the names for that."""
    try:
        from numba.core.types.functions import BaseFunction

        find = BaseFunction.get_call_type
    except (ImportError, AttributeError):
        yield
        return
    meanings: dict[Any, Any] = {}

    def get_call_type(self: Any, context: Any, args: Any, kws: Any) -> Any:
        # Operators alone: they are what is asked for again and again, and mean the same all the while.
        if kws or getattr(self, "typing_key", None) not in OPERATORS:
            return find(self, context, args, kws)
        key = context, self, tuple(args)
        if key not in meanings:
            meanings[key] = find(self, context, args, kws)
        return meanings[key]

    BaseFunction.get_call_type = get_call_type  # type: ignore[method-assign]
    try:
        yield
    finally:
        # The compiler belongs to the whole process: others get it back as it was.
        BaseFunction.get_call_type = find  # type: ignore[method-assign]
