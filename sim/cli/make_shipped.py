"""Writes sim/machine/shipped/, the machine code that comes with the package: `python -m sim.cli.make_shipped`, after every change of the kernel.

Commands are run in a process that compiles for the processor of `sim.machine.shipped` and keeps what it compiles; so what they need is
there, whatever that is. Linux on x86-64 only. It takes about two minutes.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from typing import Any

SCENARIOS = Path(__file__).parents[2] / "scenarios"

COMMANDS = (
    ("compare", "two_or_four.yaml", "--no-plots"),
    ("compare", "push_on_the_bumper.yaml", "--no-plots"),
    ("compare", "lean_against_wind_up.yaml", "--no-plots"),
    ("compare", "brake_from_speed.yaml", "--no-plots"),
    # One worker is this process: another would keep what it compiles under names of its own.
    ("sweep", "push_on_the_bumper.yaml", "--vary", "front.dampers.main.count", "2", "4", "2", "--workers", "1"),
    ("sweep", "push_on_the_bumper.yaml", "--vary", "front.dampers.main.count", "2", "4", "2", "--workers", "1", "--precision", "double"),
    ("sweep", "push_on_the_bumper.yaml", "--vary", "front.dampers.main.count", "2", "4", "2", "--workers", "1", "--measure", "front_tyre_load_variation"),
    ("sweep", "push_on_the_bumper.yaml", "--vary", "front.dampers.main.count", "2", "4", "2", "--workers", "1", "--measure", "front_body_cycles"),
    ("endure", "two_or_four_heat.yaml", "--workers", "1", "--setup", "two front"),
    ("road", "courses/upper_track.yaml"),
)  # fmt: skip
"""Runs of every kind, which between them ask for every compiled function but that of a few set-ups side by side."""


def main() -> None:
    """Write the folder anew.

    Raises
    ------
    SystemExit
        Where the machine is none for which machine code is shipped, or a command fails.
    """
    from sim.machine import shipped

    argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "").parse_args()
    if not shipped.suits():
        raise SystemExit(f"Machine code is shipped for Linux on {shipped.PROCESSOR}, and can be made there alone.")
    with tempfile.TemporaryDirectory() as kept:
        # The compiler reads its processor when it is first used, so these have to stand before it is.
        environment = {
            **os.environ, "NUMBA_CPU_NAME": shipped.PROCESSOR, "NUMBA_CPU_FEATURES": "", "NUMBA_CACHE_DIR": kept,
            "PYTHONHASHSEED": "0", "JOUNCE_PLAIN": "0",
        }  # fmt: skip
        child = "import sys; from sim.cli.make_shipped import compile_all; compile_all(sys.argv[1])"
        # What the commands say of their trucks is of no interest here.
        subprocess.run([sys.executable, "-c", child, kept], env=environment, check=True, stdout=subprocess.DEVNULL)
        objects = {path.name: path.read_bytes() for path in sorted(Path(kept).glob("*.native"))}
        shipped.FOLDER.mkdir(exist_ok=True)
        # Names change with what a function is given: files of calls that are no more would be shipped on.
        for path in shipped.FOLDER.glob("*.native"):
            path.unlink()
        for name, content in objects.items():
            (shipped.FOLDER / name).write_bytes(content)
        made = _made_from(json.loads((Path(kept) / "modules.json").read_text(encoding="utf-8")), objects)
        (shipped.FOLDER / shipped.MANIFEST).write_text(json.dumps(made, indent=1) + "\n", encoding="utf-8")
    for name, content in objects.items():
        print(f"{len(content):7d} bytes  {name}")


def compile_all(folder: str) -> None:
    """Run the commands in this process, and keep what is compiled in a folder under the names of what is shipped."""
    from sim.cli import main as jounce
    from sim.integrate.ahead import compiled_ahead
    from sim.machine import native, shipped

    modules: dict[str, str] = {}

    def path(_: Path, function: Callable[..., Any], given: str) -> Path:
        modules[function.__module__] = function.__code__.co_filename
        return Path(folder) / shipped.name_of(function, given)

    native.place = path
    # A page is served until somebody stops it, and runs them so only where it is compiled already.
    compiled_ahead(lambda: None, one=False, few=True)
    with tempfile.TemporaryDirectory() as outputs:
        for command, scenario, *options in COMMANDS:
            code = jounce([command, str(SCENARIOS / scenario), *options, "--outputs", outputs, "--quiet"])
            # A flagged run has compiled all that a sound one does.
            if code not in (0, 3):
                raise SystemExit(f"{command} {scenario} ended with exit code {code}")
    (Path(folder) / "modules.json").write_text(json.dumps(modules), encoding="utf-8")


def _made_from(modules: dict[str, str], objects: dict[str, bytes]) -> dict[str, Any]:
    from importlib.metadata import version

    from sim.machine import jit, native, shipped

    # The kernel's own files are in `sources` as a whole.
    outside = {name: file for name, file in modules.items() if not name.startswith("sim.kernel.")}
    return {
        "sources": jit.text_hash(),
        "files": {name: native.hash_of(file) for name, file in sorted(outside.items())},
        "processor": shipped.PROCESSOR,
        "numba": version("numba"),
        "llvmlite": version("llvmlite"),
        "objects": {name: sha256(content).hexdigest() for name, content in objects.items()},
    }


if __name__ == "__main__":
    main()
