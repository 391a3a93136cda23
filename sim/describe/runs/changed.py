"""One value of a run replaced by another, as words write it, and checked."""

from collections.abc import Sequence
from typing import Annotated, Any

from pydantic import BaseModel, TypeAdapter, ValidationError

from sim.describe.roads.laid import Laid
from sim.describe.wrong import first_in_words
from sim.errors import InputError

RUN = "run."
"""How the path of a run's value begins, beside those of the vehicle."""


def changed_run(run: Any, path: str, value: object) -> Any:
    """Return a run with one of its values changed.

    Raises
    ------
    InputError
        If there is no such place, or the value is not allowed there.
    """
    return _put(run, path.split("."), value, path)


def _put(part: Any, places: Sequence[str], value: object, path: str) -> Any:
    place, rest = places[0], places[1:]
    # Stages of a track and shapes of a course are rows, named by their number: `stages.0.speed`.
    if isinstance(part, list | tuple):
        if not place.isdigit() or int(place) >= len(part):
            raise InputError(f"{RUN}{path}: '{place}' must be a number from 0 to {len(part) - 1}")
        kept = list(part)
        kept[int(place)] = _put(kept[int(place)], rest, value, path) if rest else value
        return type(part)(kept)
    if not isinstance(part, BaseModel) or place not in type(part).model_fields:
        known = ", ".join(type(part).model_fields) if isinstance(part, BaseModel) else "nothing"
        raise InputError(f"{RUN}{path}: there is no '{place}' here; there is: {known}")
    # A record names the survey's file; with its heights changed it would tell of a file that says something else.
    if isinstance(part, Laid) and part.from_file and place not in Laid.model_fields:
        raise InputError(f"{RUN}{path}: a surveyed profile is as its file has it; only its repeat and gap can be moved")
    own = {name: getattr(part, name) for name in type(part).model_fields}
    if rest:
        own[place] = _put(own[place], rest, value, path)
    else:
        field = type(part).model_fields[place]
        # pydantic keeps a field's range beside its type; only both together refuse what a file would be refused for.
        kind: Any = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
        try:
            own[place] = TypeAdapter(kind).validate_python(value)
        except ValidationError as error:
            raise InputError(f"{RUN}{path}: {first_in_words(error, value)}\n    given: {value}") from None
    # Made anew, not copied, so that nothing worked out of the old values is taken along; but for what a file gave.
    changed_part = type(part).model_construct(**own)
    object.__setattr__(changed_part, "__pydantic_private__", part.__pydantic_private__)
    return changed_part
