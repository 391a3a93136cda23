"""Compiled physics: imports numpy, math, numba and itself, nothing else."""
