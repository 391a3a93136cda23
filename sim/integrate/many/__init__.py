"""Many set-ups: run side by side in blocks, over all cores, or over machines."""
