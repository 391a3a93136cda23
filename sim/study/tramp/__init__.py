"""When an axle's wind-up grows by itself while its wheels slip."""
