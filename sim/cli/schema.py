"""`jounce schema`: JSON schemas of the file kinds, for editors."""

import argparse
import json
import sys
from pathlib import Path

from sim.cli import answer
from sim.cli.progress import closing
from sim.errors import OutputError


def arguments(parser: argparse.ArgumentParser) -> None:
    """Add this command's arguments."""
    parser.add_argument(
        "kind",
        nargs="?",
        choices=("vehicle", "course", "scenario", "answer"),
        help="print the schema of this kind of file, or of what --json prints",
    )
    parser.add_argument("--folder", type=Path, help="write all three into this folder")


def run(options: argparse.Namespace) -> int:
    """Print one schema, or all, or write them into a folder."""
    from sim.describe.files.schema import schemas

    # Nobody types such a file: among those that --folder writes for editors it is only by its name.
    if options.kind == "answer":
        from sim.cli.answer_form import Answer

        by_kind = {"answer": Answer.model_json_schema()}
    else:
        by_kind = schemas()
    if options.folder is None:
        answer.add(more={"schemas": {options.kind: by_kind[options.kind]} if options.kind else by_kind})
        print(json.dumps(by_kind[options.kind] if options.kind else by_kind, indent=2))
        return 0
    # Only when it writes: printing a schema loads as little as it can.
    from sim.show.report.write import replaced

    files = {options.folder / f"{kind}.schema.json": schema for kind, schema in by_kind.items()}
    for path, schema in files.items():
        # All three are looked at before the first is written: never half of them.
        if not _is_ours(path, schema["title"]):
            raise OutputError(
                f"{path}: there is a file of this name that jounce did not write. Choose another --folder."
            )
    try:
        options.folder.mkdir(parents=True, exist_ok=True)
        for path, schema in files.items():
            replaced(path, json.dumps(schema, indent=2) + "\n")
    except OSError as error:
        raise OutputError(f"{options.folder}: schemas cannot be written: {error.strerror or error}") from None
    answer.wrote(*files)
    print(f"Wrote schemas to {options.folder}: {', '.join(by_kind)}", file=sys.stderr)
    closing(
        "Next: name them in your editor's settings for YAML files; it then completes and checks keys while you type.",
    )
    return 0


def _is_ours(path: Path, title: str) -> bool:
    """Tell whether a file may be replaced: it is a schema of this kind by jounce, or it is not there."""
    try:
        content = json.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        # A link to nothing is somebody's all the same.
        return not path.is_symlink()
    # What cannot be read or is no JSON is certainly not a schema of ours.
    except (OSError, ValueError, RecursionError):
        return False
    return isinstance(content, dict) and content.get("title") == title
