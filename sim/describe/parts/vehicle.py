"""The truck: body, loads, two axles, and where the rider and the cargo sit."""

from collections.abc import Mapping
from pathlib import Path as FilePath
from typing import Annotated, Any, ClassVar, Literal, Protocol, Self

from annotated_types import Gt, Le
from pydantic import Field, PrivateAttr, model_validator

from sim.describe.description import Description
from sim.describe.parts.axle import Axle
from sim.describe.parts.body import Body, Load
from sim.describe.parts.driveline import Driveline
from sim.describe.parts.outline import Outline
from sim.describe.parts.places import BodyPoint
from sim.describe.shown import System
from sim.describe.units import Length
from sim.errors import InputError


class Vehicle(Description):
    """A truck as measured: standing on level ground, with the loads that the file names aboard.

    Springs whose free length is not given are found so that it stands as measured. A set-up changes a copy
    (`changed`), which keeps those springs and so finds its own ride height.
    """

    LOOKS_AT_NO_PART: ClassVar[frozenset[str]] = frozenset(("_points_named_freely",))

    kind: Literal["vehicle"]
    name: str
    note: str = ""
    # A unit too small by far, 104 mm for 104 in, is no truck's.
    wheelbase: Annotated[Length, Gt(0.5), Le(20)]
    body: Body
    loads: dict[str, Load] = Field(default={}, description="Aboard when the heights were measured; set-ups add more.")
    points: dict[str, BodyPoint] = Field(
        default={}, description="Where acceleration is wanted, e.g. `driver`, `cargo`."
    )
    outline: Outline | None = Field(
        default=None, description="Lowest points and wings, for approach angles and the room around the tyres."
    )
    front: Axle
    rear: Axle
    driveline: Driveline | None = Field(default=None, description="For launches.")

    _written: Any = PrivateAttr(default=None)  # a Written
    # A set-up keeps the springs of the truck it comes from, and so must know that truck.
    _reference: "Vehicle | None" = PrivateAttr(default=None)

    @model_validator(mode="after")
    def _points_named_freely(self) -> Self:
        if "centre of gravity" in self.points:
            raise ValueError("'centre of gravity' is always reported; give the point another name")
        return self

    @property
    def reference(self) -> "Vehicle":
        """The truck as measured, of which this one is a set-up; itself if it is that truck."""
        return self._reference if self._reference is not None else self

    @property
    def axles(self) -> tuple[tuple[str, Axle], tuple[str, Axle]]:
        """Both axles with their names."""
        return ("front", self.front), ("rear", self.rear)

    @property
    def measured_files(self) -> tuple[FilePath, ...]:
        """Files that its dampers' laws were read from."""
        sets = [damper for _, axle in self.axles for damper in axle.dampers.values()]
        return tuple(path for damper in sets for path in damper.valving.files)

    @property
    def notices(self) -> tuple[str, ...]:
        """What its file has that is possible, but hardly meant; nothing of one that no file wrote."""
        return () if self._written is None else self._source().notices(self)

    @property
    def unusual(self) -> tuple[Any, ...]:
        """What its file has that is possible, but hardly meant, a `Notice` each with its place."""
        return () if self._written is None else self._source().unusual(self)

    @property
    def typed_system(self) -> System:
        """In which units most of its file is written; both where it has none."""
        return "both" if self._written is None else self._source().typed_system

    @property
    def was_aboard(self) -> tuple[str, ...]:
        """Words of what was aboard on the scale; none where its file does not say."""
        return () if self._written is None else self._source().was_aboard

    def tyre_size(self, axle: str) -> str:
        """Return what stands on the wall of an axle's tyres, as far as its file has it; else an empty text."""
        return "" if self._written is None else self._source().tyre_size(axle)

    def taped(self, *place: str) -> Mapping[str, float]:
        """Return what lengths [m] a shop taped at a place, as far as its file has them: `axle_height` of "rear", `height` of "rear", "stop"."""
        return {} if self._written is None else self._source().taped(*place)

    @property
    def estimates(self) -> tuple[Any, ...]:
        """What of it nobody gave, an `Estimate` each; nothing of one that no file wrote."""
        return () if self._written is None else self._source().estimates

    def axle_behind_front_m(self, axle: str) -> float:
        """Return how far an axle is behind the front one [m]."""
        return 0.0 if axle == "front" else self.wheelbase

    def changed(self, changes: Mapping[str, object]) -> "Vehicle":
        """Return a set-up of this truck: `{"front.dampers.main.count": 4}`; "none" takes a part out.

        Parts that no change reaches are the same objects.

        Raises
        ------
        InputError
            If a path or a value is not understood.
        """
        vehicle = self._source().changed(changes, self)
        # Not this one: a set-up of a set-up still has the springs that were found on the truck as measured.
        vehicle._reference = self.reference
        return vehicle

    def setup(self, changes: Mapping[str, object], marks: Mapping[str, Any], name: str, folder: FilePath) -> "Vehicle":
        """Return a set-up as a scenario in a folder writes it, each change at its mark; without changes, this truck.

        Raises
        ------
        InputError
            If a path or a value is not understood, at the line where the change is written.
        """
        # Itself, not a copy: what is known of a truck as measured is kept by object (sim/lower/lowering.py).
        if not changes:
            return self
        vehicle = self._source().setup(changes, marks, name, folder)
        vehicle._reference = self
        return vehicle

    def _source(self) -> "Written":
        # A vehicle built by a program has no text in which a path could be looked up.
        if self._written is None:
            raise InputError("Only a vehicle that was read from a file or a mapping can be changed by path.")
        written: Written = self._written
        return written


# sim/describe/files/vehicles.py, which has it, imports this file: named here, nothing is imported back.
class Written(Protocol):
    """What a vehicle was read from: it knows how to write changes into it and read it again."""

    @property
    def typed_system(self) -> System:
        """In which units most of it is written."""
        ...

    @property
    def was_aboard(self) -> tuple[str, ...]:
        """Words of what was aboard on the scale."""
        ...

    def tyre_size(self, axle: str) -> str:
        """Return what stands on the wall of an axle's tyres; empty if nobody wrote it."""
        ...

    def taped(self, *place: str) -> Mapping[str, float]:
        """Return what lengths [m] a shop taped at a place."""
        ...

    def unusual(self, vehicle: Vehicle) -> tuple[Any, ...]:
        """Return what was typed and is possible, but hardly meant."""
        ...

    @property
    def estimates(self) -> tuple[Any, ...]:
        """What of the vehicle nobody gave."""
        ...

    def changed(self, changes: Mapping[str, object], known: Vehicle) -> Vehicle:
        """Return the vehicle with changes; parts that none reaches are those of the known one."""
        ...

    def notices(self, vehicle: Vehicle) -> tuple[str, ...]:
        """Return what was typed and is possible, but hardly meant."""
        ...

    def setup(self, changes: Mapping[str, object], marks: Mapping[str, Any], name: str, folder: FilePath) -> Vehicle:
        """Return a set-up that a scenario in a folder writes."""
        ...
