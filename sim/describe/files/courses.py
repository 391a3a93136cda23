"""Course files."""

from pathlib import Path

from pydantic import ValidationError

from sim.describe.files.kinds import of_kind
from sim.describe.files.messages import doubts_in_range, problems_of
from sim.describe.files.reader import Document, read
from sim.describe.roads.course import Course
from sim.errors import InputError


def load_course(path: str | Path, named: bool = False) -> Course:
    """Read a course file; `named` by another file, which is at fault if it is none."""
    return validated_course(of_kind(read(path), "course", named))


def validated_course(document: Document) -> Course:
    """Validate a course's document.

    Raises
    ------
    InputError
        With every problem found.
    """
    try:
        # A survey that the course names lies beside the course file, wherever the command is run.
        course = Course.model_validate(document.data, context={"folder": document.path.parent})
    except ValidationError as error:
        raise InputError(problems_of(error, document, Course)) from None
    doubts_in_range(course, document)
    return course
