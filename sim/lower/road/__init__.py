"""The road as a rolling tyre feels it, sampled for the integrator."""
