"""Compiled physics: imports numpy, math, itself and the door to the compiler (`sim.machine.jit`), nothing else."""
