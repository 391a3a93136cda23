"""Says that the physics is compiled, when it is."""

import sys


def say_if_it_compiles() -> None:
    """Tell on standard error that a first run compiles."""
    from sim.kernel.jit import is_cached

    if not is_cached():
        print("First run on this machine: compiling the physics, some ten seconds, once.", file=sys.stderr, flush=True)
