"""In which units a person wants to see numbers: as typed, as a scenario's file says, as the user's settings say."""

import os
from collections.abc import Callable
from contextlib import AbstractContextManager
from functools import wraps
from typing import TYPE_CHECKING, Any, Concatenate, ParamSpec, TypeVar

from sim.errors import InputError

if TYPE_CHECKING:
    from sim.describe.shown import System

VARIABLE = "JOUNCE_UNITS"
SETTINGS = "settings.yaml"
"""A small file in the user's configuration folder: `units: inch`."""


def in_units(options: Any) -> AbstractContextManager[None]:
    """Return what shows numbers as a command's options say, or else as the user's settings say.

    Raises
    ------
    InputError
        If a setting is not one of the systems of units.
    """
    from sim.describe.shown import shown_in

    typed = getattr(options, "units", None)
    if typed is not None:
        return shown_in(typed)
    # A scenario's own wish goes before what a user wants elsewhere.
    return shown_in(_of_user() or "both", firm=False)


Given = ParamSpec("Given")


Result = TypeVar("Result")


def told_in_both(report: "Callable[Concatenate[System, Given], Result]") -> Callable[Given, Result]:
    """Have a page written with both units of everything: whoever reads it chooses on the page.

    report : gets what is shown everywhere else before all else; the page begins with it.
    """

    @wraps(report)
    def in_both(*given: Given.args, **more: Given.kwargs) -> Result:
        from sim.describe.shown import shown_in, system

        chosen = system()
        with shown_in("both"):
            return report(chosen, *given, **more)

    return in_both


def _of_user() -> "System | None":
    text = os.environ.get(VARIABLE, "").strip()
    # A variable that is set to nothing counts as not set, as in shells.
    if text:
        return _system(text, VARIABLE)
    # Loaded for one path: where there is a home folder, there may be a file.
    from platformdirs import user_config_path

    path = user_config_path("jounce", appauthor=False) / SETTINGS
    if not path.is_file():
        return None
    from sim.describe.files.reader import read

    document = read(path)
    unknown = [key for key in document.data if key != "units"]
    # Refused, not passed over: a misspelt setting would do nothing, and nobody would see why.
    if unknown:
        mark = document.key_marks[(unknown[0],)]
        raise InputError(f"{mark.file}:{mark.line}: the setting '{unknown[0]}' is not known; there is: units")
    return _system(document.data.get("units"), f"{path}: units")


def _system(text: object, where: str) -> "System":
    from sim.describe.shown import SYSTEMS

    if text not in SYSTEMS:
        raise InputError(f"{where}: '{text}' is no system of units\n    allowed: {', '.join(SYSTEMS)}")
    return text
