"""The new files; `tests/promise/startup/sitecustomize.py` lays them into the package of a process of its own."""
