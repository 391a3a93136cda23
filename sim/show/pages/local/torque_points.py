"""A torque curve as somebody types it into one box: `245 N m at 900 rpm, 310 N m at 1600 rpm`; a file has a list of points."""

import re
from collections.abc import Mapping
from typing import Any

AT = re.compile(r"\s+(?:at|@)\s+", re.IGNORECASE)
BETWEEN = re.compile(r"\s*;\s*|,\s+")
"""Between two points; a comma within a number has no space behind it."""


def points_of(text: str) -> list[dict[str, str]] | None:
    """Return the points of a curve as a file has them; None of what is one number."""
    if not AT.search(text):
        return None
    points = []
    for one in BETWEEN.split(text.strip(" ;,")):
        torque, _, speed = AT.sub("\n", one, count=1).partition("\n")
        points.append({"speed": speed.strip(), "torque": torque.strip()})
    return points


def points_text(value: Any) -> str:
    """Return a file's points as they are typed; empty of what is no list of points."""
    if not isinstance(value, list | tuple) or not value:
        return ""
    if not all(isinstance(one, Mapping) and {"speed", "torque"} <= set(one) for one in value):
        return ""
    return ", ".join(f"{one['torque']} at {one['speed']}" for one in value)
