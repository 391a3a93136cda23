"""Writes docs/files.md from the models, so that it cannot drift from what is read."""

import types
from pathlib import Path
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel

from sim.describe.description import limits_of, meanings
from sim.describe.files.examples import examples
from sim.describe.files.scenario import ScenarioFile
from sim.describe.parts.vehicle import Vehicle
from sim.describe.quantity import Quantity
from sim.describe.roads import Shape
from sim.describe.roads.course import Course
from sim.describe.runs import AnyRun


def page() -> str:
    """Return the page."""
    seen: list[type[BaseModel]] = []
    parts = [
        "# The files\n",
        "Made from the models by `docs/make_files_page.py`. Numbers with a unit are written with it (`180 lb/in`). A key",
        "without a default must be given. Named mappings (`dampers`, `springs`, `loads`, `points`) take names of your choice.",
        "Every physical number may say what is known of it (`180 lb/in +- 5 %`, `170 to 190 lb/in`, `about 180 lb/in`): [doubt.md](doubt.md).",
        'How a number may be written (`1,640 kg`, `2 1/2 in`, `9 ft 8 in`, `33"`, `3.6 kg/mm`): [your-truck.md](your-truck.md).\n',
    ]
    for title, root in (("Vehicle file", Vehicle), ("Course file", Course), ("Scenario file", ScenarioFile)):
        parts.append(f"## {title}\n")
        parts += sections(root, seen)
        if root is Course:
            parts.append("### Road shapes\n")
            for shape in models(Shape):
                parts += sections(shape, seen)
        if root is ScenarioFile:
            parts.append("### Runs\n")
            for run in models(AnyRun):
                parts += sections(run, seen)
    return "\n".join(parts).rstrip() + "\n"


def sections(model: type[BaseModel], seen: list[type[BaseModel]]) -> list[str]:
    """Return a section for a model and for every model inside it, each once."""
    if model in seen:
        return []
    seen.append(model)
    kind = model.model_fields.get("kind")
    word = get_args(kind.annotation)[0] if kind else ""
    doc = " ".join((model.__doc__ or "").split("\n\n")[0].split())
    lines = [f"### {model.__name__}" + (f" (`kind: {word}`)" if word else "") + "\n", f"{doc}\n"]
    lines += ["| key | what is written | default | meaning |", "|---|---|---|---|"]
    inner: list[type[BaseModel]] = []
    for name, field in model.model_fields.items():
        annotation = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
        default = "" if field.is_required() else _default(field.get_default(call_default_factory=True), annotation)
        meaning = " ".join(meanings(model).get(name, "").split()).replace("|", "/")
        limits = limits_of(field)
        meaning = f"{meaning.rstrip('.')}. Allowed: {limits}.".lstrip(". ") if limits else meaning
        how, unit = written(annotation), quantity(annotation)
        if unit:
            # An example that fits the key, as messages have it.
            how = how.replace(
                unit.usual, " or ".join(f"'{text}'" for text in examples(f"{model.__name__}.{name}", unit))
            )
        lines.append(f"| `{name}` | {how} | {default} | {meaning} |")
        inner += models(annotation)
    lines.append("")
    for one in inner:
        if one not in models(Shape):
            lines += sections(one, seen)
    return lines


def _default(value: Any, annotation: Any) -> str:
    if value is None:
        return "none"
    if value in ({}, "", ()):
        return "empty"
    if isinstance(value, BaseModel):
        return "see there"
    unit = quantity(annotation)
    return f"{value:g} {unit.si}" if unit and isinstance(value, float) else str(value)


def quantity(annotation: Any) -> Quantity | None:
    """Return the physical quantity of an annotation, if it is one."""
    for part in get_args(annotation):
        if isinstance(part, Quantity):
            return part
        found = quantity(part)
        if found:
            return found
    return None


def written(annotation: Any) -> str:
    """Say what a person writes for an annotation."""
    unit = quantity(annotation)
    origin, arguments = get_origin(annotation), get_args(annotation)
    if origin is Annotated:
        return (
            unit.usual if unit and get_origin(arguments[0]) not in (Union, types.UnionType) else written(arguments[0])
        )
    if origin in (Union, types.UnionType):
        return " or ".join(dict.fromkeys(written(a) for a in arguments if a is not type(None)))
    if origin is Literal:
        return " or ".join(f"`{a}`" for a in arguments)
    if origin is dict:
        return f"by name: {written(arguments[1])}"
    if origin is tuple:
        return f"list of {written(arguments[0])}"
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation.__name__
    return {int: "whole number", float: "number", str: "text", bool: "true or false"}.get(annotation, "see below")


def models(annotation: Any) -> list[type[BaseModel]]:
    """Return the models inside an annotation, in order."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [m for part in get_args(annotation) for m in models(part)]


if __name__ == "__main__":
    Path(__file__).with_name("files.md").write_text(page(), encoding="utf-8")
