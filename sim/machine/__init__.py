"""The computer and its compiler: how the kernel is compiled, copies of the process, work over many. Knows nothing of trucks."""

import os

PLAIN = os.environ.get("JOUNCE_PLAIN", "0") not in ("", "0")
"""Whether all that is only there to save time is left out (environment variable JOUNCE_PLAIN=1).

The compiler then works as it comes, and no copies of the process are made: slower, with the same results. For whoever
suspects one of these, or has a compiler or a system that they do not suit.
"""

COMPILES = True
"""Whether the kernel's functions are compiled when they are imported.

A command that evaluates them a handful of times turns this off first: what does not come compiled with the package then runs as plain Python, and the
compiler, which takes longer to load than such a command takes to run, is left out.
"""

OWN_PROCESS = False
"""Whether this process is a jounce command and nothing else: the command line sets it. Only such a process is copied."""
