"""The demo that travels with the package: invented trucks, tracks and questions."""

from importlib.resources import files
from pathlib import Path


def demo_folder() -> Path:
    """Return the folder of the demo: inside the installed package, or beside it where jounce runs from its own text."""
    inside = Path(str(files("sim"))) / "demo"
    return inside if inside.is_dir() else Path(str(files("sim"))).parent / "scenarios"
