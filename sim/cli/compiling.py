"""Says that the physics is compiled, when it is, and has it done."""

import sys
from collections.abc import Callable

ONCE = "compiling the physics, five to twenty seconds, once."


def ready_for_a_run(meanwhile: Callable[[], object]) -> None:
    """Say that a first run compiles, and compile what every run of one set-up needs; meanwhile do something else."""
    from sim.kernel.jit import ONE, is_cached

    if not is_cached(ONE):
        print(f"First such run on this machine: {ONCE}", file=sys.stderr, flush=True)
        from sim.ahead import compiled_ahead

        compiled_ahead(meanwhile)


def say_if_it_compiles(single: bool = False) -> None:
    """Tell on standard error that a first run compiles, or the first one in blocks of single precision."""
    from sim.kernel.jit import NARROW, is_cached

    if single and not is_cached(NARROW):
        words = "compiling the physics for many set-ups at once, half a minute, once."
        print(f"First such run on this machine: {words}", file=sys.stderr, flush=True)
    elif not is_cached():
        print(f"First run on this machine: {ONCE}", file=sys.stderr, flush=True)
