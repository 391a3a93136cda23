"""The simulator in a page: what its kernel is given, packed, and what sliders change in it."""
