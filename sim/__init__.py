"""jounce: a test track for solid-axle trucks."""
