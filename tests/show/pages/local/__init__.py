"""The local page."""
