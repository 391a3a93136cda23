"""When an axle's wind-up feeds itself while its wheels slip."""
