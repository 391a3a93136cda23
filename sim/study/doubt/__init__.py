"""What is not known of a truck, and what that does to the difference between its set-ups."""
