"""The page that a truck is described on and tried on, served to this machine alone."""
