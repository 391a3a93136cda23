"""A vehicle's document as a shop writes it: its gaps filled, and what is wrong with what the shop wrote."""

from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from sim.describe.estimates.as_measured import as_measured, shop_keys
from sim.describe.estimates.completing import filled
from sim.describe.files.messages import problems_of
from sim.describe.files.reader import Document, Place
from sim.errors import Problem


def completed_document(document: Document) -> tuple[Document, list[Problem]]:
    """Return a vehicle's document with its gaps filled, and what is wrong with a shop's own keys; others are for the vehicle's model."""
    if not as_measured(document.data):
        return document, []
    problems: list[Problem] = []
    for place, model, keys in shop_keys(document.data):
        try:
            model.model_validate(keys)
        except ValidationError as error:
            problems += problems_of(error, document, model, place)
    data, estimates = filled(document.data)
    return replace(
        document, data=data, estimates={**document.estimates, **{one.place: one for one in estimates}}
    ), problems


def measured_parts(document: Document) -> dict[Place, Any]:
    """Return what a shop wrote, validated, by its place."""
    if not as_measured(document.data):
        return {}
    return {place: model.model_validate(keys) for place, model, keys in shop_keys(document.data)}


def estimated(problems: list[Problem], document: Document) -> list[Problem]:
    """Return problems with those about an estimate saying so: nobody wrote the number that is refused.

    Where something that was written is at fault, estimates are left out: they follow from it, and change with it.
    """
    by_path = {one.path: one for one in document.estimates.values()}
    written = [problem for problem in problems if problem.where not in by_path]
    if written:
        return written
    told = []
    for problem in problems:
        one = by_path.get(problem.where)
        if one is not None:
            problem = replace(
                problem, message=f"{problem.message}; nobody gave it, and it is estimated from {one.of}",
                suggestion="look at what it is estimated from, or write the number itself",
            )  # fmt: skip
        told.append(problem)
    return told
