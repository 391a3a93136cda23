"""`python -m sim` is `jounce`."""

import sys

from sim.cli import main

if __name__ == "__main__":
    sys.exit(main())
