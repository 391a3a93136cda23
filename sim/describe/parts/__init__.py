"""Physical parts: each file holds what a person writes, its exact law, and what it lowers to."""
