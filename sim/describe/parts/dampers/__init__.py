"""Dampers: their laws and the sets in which they are fitted."""
