"""The kernel's own text in single precision: the same functions with their constants rounded to it.

The compiler takes a literal as a double and widens all that meets it, so literals and named constants are what has to be
changed; types of arrays then carry through.
"""

from collections.abc import Callable
from types import FunctionType
from typing import Any

import numba
import numpy as np

from sim.kernel.jit import FLAGS

INLINING = ("inline", "forceinline", "no_cpython_wrapper", "no_cfunc_wrapper")


def narrowed(function: Callable[..., Any], known: dict[Any, Any] | None = None) -> Any:
    """Return a kernel function, not compiled, whose constants and whose callees' constants are of single precision."""
    known = {} if known is None else known

    def rounded(value: Any) -> Any:
        return np.float32(value) if type(value) is float else value

    own = dict(function.__globals__)
    code = function.__code__
    for name in code.co_names:
        called = own.get(name)
        if hasattr(called, "py_func"):
            if called not in known:
                options = {key: called.targetoptions[key] for key in INLINING if key in called.targetoptions}
                known[called] = numba.njit(**options, **FLAGS)(narrowed(called.py_func, known))
            own[name] = known[called]
        elif name in own:
            own[name] = rounded(called)
    code = code.replace(co_consts=tuple(map(rounded, code.co_consts)))
    made = FunctionType(code, own, function.__name__, function.__defaults__, function.__closure__)
    made.__qualname__, made.__module__ = function.__qualname__, function.__module__
    return made
