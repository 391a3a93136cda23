"""What both axles may have alike in the form, and what it calls the parts that it names itself."""

from fnmatch import fnmatchcase

OWN_NAMES = {"coil": "Coils", "pack": "Leaf packs", "main": "Main dampers"}
"""What the form calls the parts of a new truck, by their names in the file."""

SAME = (
    "tyre.size", "tyre.outside_diameter", "tyre.pressure", "springs", "springs.*.rate", "springs.*.wire_diameter", "springs.*.coil_diameter",
    "springs.*.active_coils", "springs.*.leaves", "springs.*.full_length_leaves", "springs.*.leaf_width", "springs.*.leaf_thickness", "springs.*.clamped",
    "springs.*.friction", "dampers.*.count", "dampers.*.length_extended", "dampers.*.length_collapsed", "dampers.*.valving",
    "dampers.*.construction", "dampers.*.gas_force", "tyre.spin_inertia", "tyre.slip.stiffness",
)  # fmt: skip
"""Boxes of a rear axle that repeat the front one's where the shop has the same: what is of the part, and not where it is mounted."""


def followed(path: tuple[str, ...]) -> str:
    """Return the path of the front box that a rear one repeats where both axles have the same; empty if it repeats none."""
    key = ".".join(path[1:])
    return f"front.{key}" if path[0] == "rear" and any(fnmatchcase(key, one) for one in SAME) else ""
