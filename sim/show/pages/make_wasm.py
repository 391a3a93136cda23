"""Writes static/kernel.wasm, the kernel for browsers: `python -m sim.show.pages.make_wasm`, after every change of the kernel.

It is the kernel's own text as Numba compiles it, for another machine: the compiler's text (LLVM) of the single and of the driven
run, without the wrappers that Python calls, is turned into WebAssembly by llvmlite and linked by `wasm-ld`. That one is not a
Python package: Debian's is `lld`; `pip install ziglang` brings another (`python-zig wasm-ld`, by --linker).

static/kernel.json keeps the hash of the sources that it was made from; a test compares it with those of the house.
"""

import argparse
import hashlib
import json
import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

import llvmlite
import llvmlite.binding as llvm
import numba
import numpy as np

from sim.kernel.driven import run_driven
from sim.kernel.integrate import run_single
from sim.machine.jit import DRIVEN, ONE, text_hash

STATIC = Path(__file__).parent / "static"
TRIPLE = "wasm32-unknown-unknown"
FEATURES = "+bulk-memory,+bulk-memory-opt,+simd128,+sign-ext,+nontrapping-fptoint,+mutable-globals"
"""What every browser since 2021 has; vectors of two doubles are the newest of it."""

LINKED = ("--no-entry", "--import-memory", "--stack-first", "--strip-all", "--export=__heap_base")
FROM_THE_PAGE = ("exp", "atan", "sin")
"""What the tyres of a driven run ask of a library of mathematics; every browser has it in `Math`."""

GENERIC = {"NUMBA_CPU_NAME": "generic", "NUMBA_CPU_FEATURES": "", "PYTHONHASHSEED": "0"}
"""Compile for no particular processor: its vectors would be in the compiler's text, and the bytes would depend on who makes them."""


def build(folder: Path, linker: str) -> None:
    """Write kernel.wasm and kernel.json into a folder; compiles in a process of its own, with an empty cache.

    Raises
    ------
    SystemExit
        If there is no linker, or it fails.
    """
    with tempfile.TemporaryDirectory() as kept:
        environment = {**os.environ, **GENERIC, "NUMBA_CACHE_DIR": kept}
        # The compiler reads its processor when it is first used, so these have to stand before it is.
        child = [sys.executable, "-m", __spec__.name if __spec__ else "sim.show.pages.make_wasm", "--objects", kept]
        subprocess.run(child, env=environment, check=True)
        objects = sorted(str(path) for path in Path(kept).glob("*.o"))
        exports = [f"--export={Path(path).stem}" for path in objects]
        output, imports = Path(kept) / "kernel.wasm", Path(kept) / "imports"
        imports.write_text("\n".join(FROM_THE_PAGE), encoding="utf-8")
        given = [*exports, f"--allow-undefined-file={imports}", *objects, "-o", str(output)]
        try:
            subprocess.run([*shlex.split(linker), *LINKED, *given], check=True)
        except FileNotFoundError:
            raise SystemExit(
                f"There is no '{linker}' here. Install it (Debian: lld), or name one by --linker."
            ) from None
        code = output.read_bytes()
    (folder / "kernel.wasm").write_bytes(code)
    (folder / "kernel.json").write_text(json.dumps(made_from(code, linker), indent=1) + "\n", encoding="utf-8")


def made_from(code: bytes, linker: str) -> dict[str, str]:
    """Return what the kernel for browsers was made from and by: sources, compiler, linker; and a checksum of its own."""
    version = subprocess.run([*shlex.split(linker), "--version"], capture_output=True, text=True, check=True).stdout
    return {
        "sources": text_hash(),
        "sha256": hashlib.sha256(code).hexdigest(),
        "numba": numba.__version__,
        "llvmlite": llvmlite.__version__,
        "linker": version.strip(),
    }


def write_objects(folder: Path) -> None:
    """Write an object file of each run, named by it."""
    llvm.initialize_all_targets()
    llvm.initialize_all_asmprinters()
    machine = llvm.Target.from_triple(TRIPLE).create_target_machine(
        cpu="generic", features=FEATURES, opt=3, reloc="static", codemodel="default"
    )
    for name, text, symbol in compiled_runs():
        (folder / f"{name}.o").write_bytes(machine.emit_object(retargeted(text, symbol, name, machine)))


def compiled_runs() -> list[tuple[str, str, str]]:
    """Return name, compiler's text and name in that text of the runs that a page has."""
    row, table, cube, whole = np.zeros(1), np.zeros((1, 1)), np.zeros((1, 1, 1)), np.zeros(1, np.int64)
    # Of what they are given the compiler asks for types alone.
    begin = row, table, 0, whole, table, whole, cube
    single = *begin, 0, 0.0, row, 0.0, 0, 0, table, whole, table
    driven = *begin, row, 0.0, table, 0.0, 0, 0, table, table
    runs: list[tuple[str, Any, tuple[Any, ...]]] = [(ONE, run_single, single), (DRIVEN, run_driven, driven)]
    made = []
    for name, run, given in runs:
        signature = tuple(map(numba.typeof, given))
        run.compile(signature)
        made.append((name, run.inspect_llvm(signature), run.overloads[signature].fndesc.llvm_func_name))
    return made


def retargeted(text: str, symbol: str, name: str, machine: Any) -> Any:
    """Return the compiler's text of one run as a module for another machine: the function itself, under its plain name, alone."""
    text = re.sub(r'(?m)^target triple = ".*"$', f'target triple = "{TRIPLE}"', text)
    text = re.sub(r'(?m)^target datalayout = ".*"$', f'target datalayout = "{machine.target_data}"', text)
    module = llvm.parse_assembly(text)
    for part in (*module.functions, *module.global_variables):
        if not part.is_declaration and part.name != symbol:
            part.linkage = "internal"  # so that it goes if nobody here asks for it: the wrappers, and all of Python
    module.get_function(symbol).name = name
    passes = llvm.create_new_module_pass_manager()
    passes.add_global_dead_code_eliminate_pass()
    passes.run(module, llvm.create_pass_builder(machine, llvm.create_pipeline_tuning_options(speed_level=3)))
    module.verify()
    return module


def main() -> None:
    """Make it, or a part of it in a process of its own."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--linker", default="wasm-ld", help="Command of the linker.")
    parser.add_argument("--into", type=Path, default=STATIC, help="Folder that it is written to.")
    parser.add_argument("--objects", type=Path, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.objects:
        write_objects(options.objects)
    else:
        build(options.into, options.linker)


if __name__ == "__main__":
    main()
