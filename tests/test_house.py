"""The house: imports go down only, no circle of files, few imports hidden inside functions."""

import ast
import graphlib
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
FLOORS = ("errors", "machine", "kernel", "describe", "lower", "integrate", "linear measure", "study", "show", "cli")
LEVEL = {room: level for level, rooms in enumerate(FLOORS) for room in rooms.split()}
MOST_ROOMS = 13
MEDIAN_LINES = 120


def modules(root):
    """Return the files of a package by module name."""
    named = {}
    for path in root.rglob("*.py"):
        parts = path.relative_to(root.parent).with_suffix("").parts
        named[".".join(parts[:-1] if parts[-1] == "__init__" else parts)] = path
    return named


def imports(name, path, known):
    """Return every module of the package that a file imports, wherever in it the import stands, with what encloses it."""
    package = name if path.name == "__init__.py" else name.rpartition(".")[0]
    seen = []

    def look(node, inside):
        for child in ast.iter_child_nodes(node):
            if isinstance(child, ast.Import):
                seen.extend((alias.name, inside) for alias in child.names)
            elif isinstance(child, ast.ImportFrom):
                base = child.module or ""
                if child.level:
                    base = ".".join(
                        [*package.split(".")[: len(package.split(".")) - child.level + 1], *filter(None, [base])]
                    )
                seen.extend((f"{base}.{a.name}" if f"{base}.{a.name}" in known else base, inside) for a in child.names)
            look(child, inside or isinstance(child, ast.FunctionDef | ast.Lambda))

    look(ast.parse(path.read_text(encoding="utf-8")), False)
    return [(target, inside) for target, inside in seen if target in known]


def arrows(root):
    """Return (from, to, inside a function) for each import in a package."""
    known = modules(root)
    return [(name, target, inside) for name, path in known.items() for target, inside in imports(name, path, known)]


def room(name):
    """Return the room at the top of the package that a module is in."""
    return name.split(".")[1] if "." in name else ""


def upward(found):
    """Return the imports that go to a floor above, or sideways to another room."""
    return [
        (one, other) for one, other, _ in found
        if room(one) in LEVEL and room(other) in LEVEL and room(one) != room(other) and LEVEL[room(other)] >= LEVEL[room(one)]
    ]  # fmt: skip


def circle(found):
    """Return a circle of files that import one another; empty if there is none."""
    graph = {}
    for one, other, _ in found:
        graph.setdefault(one, set()).add(other)
    try:
        graphlib.TopologicalSorter(graph).prepare()
    except graphlib.CycleError as error:
        return error.args[1]
    return []


def test_imports_go_down_only():
    assert upward(arrows(ROOT / "sim")) == []


def test_no_circle_of_files():
    assert circle(arrows(ROOT / "sim")) == []


def test_only_commands_and_the_package_import_late():
    late = {(one, other) for one, other, inside in arrows(ROOT / "sim") if inside}
    assert {one for one, _ in late if room(one) not in ("cli", "")} == set()


def test_every_room_has_its_floor_and_they_are_few():
    rooms = {path.stem for path in (ROOT / "sim").iterdir() if path.suffix == ".py" or (path / "__init__.py").exists()}
    assert rooms - {"__init__", "__main__"} == set(LEVEL)
    assert len(rooms) <= MOST_ROOMS


def test_files_are_short():
    lengths = [len(path.read_text(encoding="utf-8").splitlines()) for path in (ROOT / "sim").rglob("*.py")]
    assert median(lengths) < MEDIAN_LINES


def test_the_reader_of_imports_sees_what_is_hidden(tmp_path):
    """Imports inside functions, relative ones and those for types alone count; a circle of three files is seen."""
    package = tmp_path / "sim"
    for place, text in {
        "__init__": "", "kernel/__init__": "", "show/__init__": "",
        "kernel/one": "def run():\n    from sim.show import two\n    return two\n",
        "show/two": "from . import three\n",
        "show/three": "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    from sim.kernel.one import run\n",
    }.items():  # fmt: skip
        path = package / f"{place}.py"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text)
    found = arrows(package)
    assert ("sim.kernel.one", "sim.show.two", True) in found
    assert upward(found) == [("sim.kernel.one", "sim.show.two")]
    assert set(circle(found)) == {"sim.kernel.one", "sim.show.two", "sim.show.three"}
