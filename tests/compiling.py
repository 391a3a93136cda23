"""Compiles the kernel for all workers of the tests together: each part once, by whoever comes to it first.

Each worker would else compile what its own tests need, the same as the others, half a minute of a core each.
"""

from collections.abc import Callable
from pathlib import Path

from sim.machine.locks import HeldError, locked

SCENARIO = Path(__file__).parents[1] / "scenarios" / "rear_lean_on_rock.yaml"


def _single_run():
    from sim.integrate import ahead

    ahead._single_run()
    ahead._roads_and_filters()


def _few_runs():
    from sim.integrate import ahead

    ahead._few_runs(True)


def _driven_run():
    import sim
    from sim.integrate.simulation import simulate

    scenario = sim.load(SCENARIO)
    simulate(next(iter(scenario.setups.values())), scenario.run.model_copy(update={"watch": 0.05}))


def _block(precision):
    from sim.integrate import ahead

    ahead._block(precision)


def parts() -> dict[str, Callable[[], None]]:
    """Return what is compiled, by the names that the cache knows, so that either half takes as long as the other."""
    from sim.machine.jit import DRIVEN, FOUR, NARROW, ONE, WIDE

    return {
        NARROW: lambda: _block("single"),
        ONE: _single_run,
        FOUR: _few_runs,
        DRIVEN: _driven_run,
        WIDE: lambda: _block("double"),
    }


def compiled_once(number: int) -> None:
    """Compile into the cache what is not there, beside other workers; back when all of it is there.

    Parameters
    ----------
    number : int
        Of this worker: every other one begins at the other end.
    """
    from sim.machine.jit import CACHE_FOLDER, COMPILES, is_cached

    if not COMPILES or CACHE_FOLDER is None:
        return
    todo = [(name, work) for name, work in parts().items() if not is_cached(name)]
    if number % 2:
        todo.reverse()
    left = []
    for name, work in todo:
        try:
            with locked(CACHE_FOLDER / f"tests-{name}.lock"):
                if not is_cached(name):
                    work()
        except HeldError:
            left.append(name)
    for name in left:  # another's: waited for, or two would compile what the first test needs
        with locked(CACHE_FOLDER / f"tests-{name}.lock", lambda: None):
            pass
