"""One or two inputs through their range, every set-up at every point."""
