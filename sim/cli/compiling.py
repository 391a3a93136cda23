"""Says that the physics is compiled, when it is."""

import sys


def say_if_it_compiles(single: bool = False) -> None:
    """Tell on standard error that a first run compiles, or the first one in blocks of single precision."""
    from sim.kernel.jit import NARROW, is_cached

    if single and not is_cached(NARROW):
        words = "compiling the physics for many set-ups at once, half a minute, once."
        print(f"First such run on this machine: {words}", file=sys.stderr, flush=True)
    elif not is_cached():
        print(
            "First run on this machine: compiling the physics, ten to thirty seconds, once.",
            file=sys.stderr,
            flush=True,
        )
