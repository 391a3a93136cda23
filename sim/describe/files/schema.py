"""JSON schemas of the file kinds, so that editors complete and check while one writes."""

from typing import Any

from pydantic import TypeAdapter

from sim.describe.files.scenario import ScenarioFile
from sim.describe.old_words import OLD_KEYS
from sim.describe.parts.vehicle import Vehicle
from sim.describe.roads.course import Course
from sim.describe.runs import AnyRun


def schemas() -> dict[str, dict[str, Any]]:
    """Return the JSON schema of each kind of file, by kind."""
    runs: TypeAdapter[Any] = TypeAdapter(AnyRun)
    scenario = ScenarioFile.model_json_schema()
    run = runs.json_schema(ref_template="#/$defs/{model}")
    definitions = run.pop("$defs", {})
    # A course may be named by its file instead of being written out, whatever run drives over it.
    for definition in definitions.values():
        properties = definition.get("properties", {})
        if "course" in properties:
            named = {"type": "string", "description": "Course file, relative to this one."}
            properties["course"] = {"anyOf": [named, properties["course"]]}
    scenario.setdefault("$defs", {}).update(definitions)
    # In the model `run` is Any, as course files are read later: an editor should still know what may stand there.
    scenario["properties"]["run"] = run
    by_kind = {"vehicle": Vehicle.model_json_schema(), "course": Course.model_json_schema(), "scenario": scenario}
    _old_keys(by_kind["vehicle"]["$defs"])
    for kind, schema in by_kind.items():
        schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
        schema["title"] = f"jounce {kind} file"
    return by_kind


def _old_keys(definitions: dict[str, Any]) -> None:
    """Let an editor take the old words of keys too, and say the new ones."""
    for definition in definitions.values():
        properties = definition.get("properties", {})
        for key in OLD_KEYS:
            if key.new in properties:
                properties[key.old] = {
                    **properties[key.new], "deprecated": True, "description": f"Old word for `{key.new}`."
                }  # fmt: skip
                if key.new in definition.get("required", ()):
                    definition["required"].remove(key.new)
                    # either of them, each pair for itself
                    definition.setdefault("allOf", []).append(
                        {"anyOf": [{"required": [key.new]}, {"required": [key.old]}]}
                    )
