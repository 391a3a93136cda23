"""What a scenario asks beside its run: a sweep, a tuning; plain descriptions, made ready by `sim.study`."""
