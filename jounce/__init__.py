"""jounce by its own name: `import jounce` gives what `import sim` gives.

>>> import jounce
>>> scenario = jounce.load("scenarios/two_or_four.yaml")         # doctest: +SKIP
"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim import *  # noqa: F403 - the same names


def _sim() -> Any:
    """Return the package sim, loaded at the first use: `python -m jounce` first sees to which one that is."""
    import sim

    # A file `sim.py` in somebody's folder goes before the package of that name.
    if Path(sim.__file__ or "").resolve().parent != Path(__file__).resolve().parents[1] / "sim":
        raise ImportError(
            f"{sim.__file__} goes before jounce's own package sim: rename that file or folder, or work in another folder."
        )
    return sim


def __getattr__(name: str) -> Any:
    # Python asks a module for much that no module has, before anybody uses it.
    if name.startswith("__") and name not in ("__all__", "__version__"):
        raise AttributeError(f"module 'jounce' has no attribute '{name}'")
    return getattr(_sim(), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *_sim().__all__, "__version__"})
