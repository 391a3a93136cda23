"""Units as workshops and old manuals spell them, brought to what the unit library reads: `Nm`, `ft-lb`, `mkg`, `1/min`."""

import re

_POUND_FOOT = r"(?:(?:lbf?|lbs|pounds?)[\s.*·-]*(?:ft|foot|feet)|(?:ft|foot)[\s.*·-]*(?:lbf|lbs?|pounds?))\b"
# What is wound up or turned, alone or over an angle: joined without a blank `Nm` would be a unit of its own, and a hyphen none.
_TORQUE = (
    (re.compile(r"\b(k?)Nm\b"), r"\1N m"),
    (re.compile(rf"\b{_POUND_FOOT}", re.IGNORECASE), "lbf ft"),
    (re.compile(r"\b(?:m[\s·-]?kgf?|kgf?[\s·-]?m|m[\s·-]?kp|kp[\s·-]?m)\b"), "kgf m"),
)

SPELLED: dict[str, tuple[tuple["re.Pattern[str]", str], ...]] = {
    "N*m": _TORQUE,
    "N*m/rad": _TORQUE,
    "N*m*s/rad": _TORQUE,
    "rad/s": ((re.compile(r"(?:(?:1|U|r|rev)\s*)?/\s*min\.?|min(?:\^?-1|⁻¹)|r\.?p\.?m\.?", re.IGNORECASE), "rpm"),),
    "kg*m^2": ((re.compile(r"\bkgm(?:\^?2|²)"), "kg m^2"),),
    "kg": ((re.compile(r"(?:kgs|kilos?|kilograms?)\.?", re.IGNORECASE), "kg"),),
}
"""By SI unit: what is found, and what it is read as."""


def spelled(unit: str, si: str) -> str:
    """Return a unit as the unit library reads it.

    Parameters
    ----------
    unit : str
        As somebody typed it.
    si : str
        SI unit of the quantity that is meant: what is a torque there may be something else elsewhere.
    """
    for pattern, word in SPELLED.get(si, ()):
        unit = pattern.sub(word, unit)
    return unit
