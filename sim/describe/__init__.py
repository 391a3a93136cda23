"""What people write: units, parts, roads, runs and files, and the records in SI that they become."""
