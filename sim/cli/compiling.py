"""Says that the physics is compiled, when it is, and has it done."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from sim.cli.progress import closing

if TYPE_CHECKING:
    from sim.lower.packed import PrecisionName


def ready_for_a_run(
    meanwhile: Callable[[], object] = lambda: None, blocks: "PrecisionName | None" = None, driven: bool = False,
    few: bool = False,
) -> None:  # fmt: skip
    """Say that a first run compiles, and compile what every run of one set-up needs, before other processes are begun.

    Parameters
    ----------
    meanwhile : callable
        Something else that is done while a copy of the process compiles.
    blocks : "single" or "double", optional
        Many set-ups will be run at once, in this precision, for which more is compiled.
    driven : bool
        Launches or stops will be run, which compile when they are.
    few : bool
        A few set-ups will be run side by side with their time histories, for which more is compiled.
    """
    from sim.machine.jit import DRIVEN, FOUR, NARROW, ONE, WIDE, is_cached

    many = {"single": NARROW, "double": WIDE}[blocks] if blocks else ""
    # Each kind of kernel has its own cache: a machine that has run comparisons may never have swept.
    one, many_lack, few_lack = not is_cached(ONE), bool(many) and not is_cached(many), few and not is_cached(FOUR)
    # Nearly always: said only when a person would otherwise wait without knowing for what.
    if not (one or many_lack or few_lack or (driven and not is_cached(DRIVEN))):
        return
    words = "for many set-ups at once, half a minute" if many_lack or few_lack else "five to twenty seconds"
    closing(f"First such run on this machine: compiling the physics, {words}, once.")
    # The driven kernel alone is left to the first run, where a single set-up compiles it anyway.
    if one or many_lack or few_lack:
        from sim.integrate.ahead import compiled_ahead

        compiled_ahead(meanwhile, one, blocks if many_lack else None, few_lack)


def is_driven(run: Any) -> bool:
    """Tell whether a truck drives or brakes by its own wheels in a run, which has a kernel of its own."""
    return bool(run.way == "driven")
