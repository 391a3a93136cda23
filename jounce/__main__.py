"""`python -m jounce` is the command `jounce`, whatever files lie in the folder where it is called."""

import sys
from pathlib import Path

OWN = Path(__file__).resolve().parents[1]


def _own_package_first() -> None:
    """Leave the folder of the call out of where packages are looked for: a file `sim.py` there is none of ours."""
    if sys.path and Path(sys.path[0] or ".").resolve() != OWN:
        del sys.path[0]


if __name__ == "__main__":
    # `python -P` and PYTHONSAFEPATH have left it out already.
    if not sys.flags.safe_path:
        _own_package_first()
    from sim.cli import main

    sys.exit(main())
