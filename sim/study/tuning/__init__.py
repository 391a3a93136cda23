"""Tuning: which values may move, for what, within what; the search, and what its answer is worth."""
