"""The computer and its compiler: how the kernel is compiled, copies of the process, work over many. Knows nothing of trucks."""

COMPILES = True
"""Whether the kernel's functions are compiled when they are imported.

A command that evaluates them a handful of times turns this off first: the same text then runs as plain Python, and the
compiler, which takes longer to load than such a command takes to run, is left out.
"""

OWN_PROCESS = False
"""Whether nothing but jounce uses the compiler in this process: the command line sets it.

The compiler asks for SciPy's linear algebra as it loads, a third of a second, for functions that multiply matrices. Ours
do not, and then it is told that there is none.
"""
