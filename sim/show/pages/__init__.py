"""Pages that a browser shows, and what runs in them."""
