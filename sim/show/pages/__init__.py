"""Pages for a browser: what is drawn in them, described in plain numbers, and the files that draw it."""
