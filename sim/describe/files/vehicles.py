"""Vehicle files, and vehicles of plain data."""

import copy
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from sim.describe.files.changes import changed
from sim.describe.files.kinds import of_kind
from sim.describe.files.messages import doubts_in_range, problems_of
from sim.describe.files.reader import Document, Mark, read
from sim.describe.parts.vehicle import Vehicle
from sim.errors import InputError


@dataclass(frozen=True)
class Written:
    """The document that a vehicle was read from: what a set-up changes."""

    document: Document

    def changed(self, changes: Mapping[str, object]) -> Vehicle:
        """Return the vehicle of the document with changes in it, validated afresh.

        Raises
        ------
        InputError
            If a path or a value is not understood.
        """
        return validated_vehicle(changed(self.document, changes))

    def setup(self, changes: Mapping[str, object], marks: Mapping[str, Mark], name: str, folder: Path) -> Vehicle:
        """Return a set-up that a scenario writes; a file that it names lies in the scenario's folder.

        Raises
        ------
        InputError
            If a path or a value is not understood, at the line where the change is written.
        """
        # First the scenario's folder, then the vehicle's own: a set-up may bring a damper's test beside the scenario.
        return validated_vehicle(changed(replace(self.document, folders=(folder,)), changes, marks, name))


def load_vehicle(path: str | Path) -> Vehicle:
    """Read a vehicle file."""
    return validated_vehicle(of_kind(read(path), "vehicle"))


def vehicle_from(data: Mapping[str, Any], name: str = "vehicle") -> Vehicle:
    """Make a vehicle of a mapping with the same keys as a vehicle file."""
    # copied, as the caller may change it later
    return validated_vehicle(Document(copy.deepcopy(dict(data)), Path(name)))


def validated_vehicle(document: Document) -> Vehicle:
    """Validate a vehicle's document; the vehicle keeps it, so that set-ups can change it.

    Raises
    ------
    InputError
        With every problem found.
    """
    try:
        # `files` goes along with the document: a measured curve is read once for a vehicle and all its set-ups.
        context = {"folders": (*document.folders, document.path.parent), "files": document.files}
        vehicle = Vehicle.model_validate(document.data, context=context)
    except ValidationError as error:
        raise InputError(problems_of(error, document, Vehicle)) from None
    doubts_in_range(vehicle, document)
    vehicle._written = Written(document)
    return vehicle
