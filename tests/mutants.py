"""Puts a wrong sign or factor into each force law and Jacobian term in turn: every one must make a test fail.

python tests/mutants.py [WORD ...]   those whose file or text has one of the words; without any, all (not part of the tests)
python tests/mutants.py --stale      only tell which of them are no longer text of the house; seconds

Each is tried in a copy of the tree, one copy a process, with the tests that must see it. What came of it is kept until the house or
its tests change, so a run that was stopped goes on. Tests that killed one before are asked first when it is tried again.
"""

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[1]
# Run as a script it has the folder of tests on its path, and not the house.
sys.path.insert(0, str(ROOT))

from tests.mutant_list import DRIVEN_MUTANTS, MUTANTS, Mutant  # noqa: E402

TESTS = (
    "tests/kernel/test_lagrange.py", "tests/derivation/test_against_kernel.py", "tests/kernel/test_invariants.py",
    "tests/published/test_energy_per_cycle.py", "tests/describe/parts/test_bushes.py", "tests/kernel/test_integrator.py",
    "tests/published/test_quarter_car.py", "tests/describe/parts/test_contacts.py", "tests/kernel/test_stepping.py",
)  # fmt: skip
# Of a few hundred states: the kernel's text is interpreted sooner than it is compiled, and most mutants of it end here.
INTERPRETED_TESTS = (
    "tests/derivation/test_against_kernel.py", "tests/kernel/test_lagrange.py", "tests/derivation/test_driven_against_kernel.py",
    "tests/derivation/test_course_against_kernel.py",
)  # fmt: skip
INTERPRETED = {"NUMBA_DISABLE_JIT": "1"}
DRIVEN_TESTS = (
    "tests/derivation/test_driven_against_kernel.py", "tests/derivation/test_course_against_kernel.py", "tests/kernel/test_driven_invariants.py",
    "tests/integrate/test_road_pushes_back.py",
)  # fmt: skip

# Of the damper laws: nothing of the kernel changes, so its compiled functions are used again.
DAMPER_TESTS = (
    "tests/describe/parts/test_valves.py", "tests/published/test_dampers.py", "tests/describe/parts/test_measured.py", "tests/study/test_convert.py",
)  # fmt: skip

# Of roads, which the kernel is given.
ROAD_TESTS = (
    "tests/lower/road/test_rolling_disc.py", "tests/lower/road/test_road_contact.py", "tests/lower/road/test_road_sampling.py",
    "tests/lower/road/test_lap.py", "tests/describe/roads/test_hermite.py",
)  # fmt: skip

LONGEST_S = 3600.0
"""Tests that take longer, of some minutes, do not end: a wrong sign may keep a search going."""

KEPT = ("sim", "tests", "scenarios", "docs", "pyproject.toml", "README.md", "DEVELOPERS.md")
"""What a copy of the tree has."""


def tests_of(mutant: Mutant) -> tuple[str, ...]:
    """Return the files of tests that must see a mutant."""
    if mutant in DRIVEN_MUTANTS:
        return DRIVEN_TESTS
    if mutant[0].startswith("sim/lower/road"):
        return ROAD_TESTS
    return TESTS + DRIVEN_TESTS if mutant[0].startswith("sim/kernel") else DAMPER_TESTS


def is_stale(mutant: Mutant) -> str:
    """Return why a mutant is no longer one of this house, or nothing."""
    file, good, _ = mutant
    if not (ROOT / file).exists():
        return "there is no such file"
    times = (ROOT / file).read_text(encoding="utf-8").count(good)
    return "" if times == 1 else f"its text stands there {times} times"


def asked(here: Path, tests: tuple[str, ...], more: dict[str, str], cache: Path) -> str:
    """Return what these tests say of the tree there: the test that fails, or that none does."""
    environment = (
        os.environ | {"NUMBA_CACHE_DIR": str(cache), "PYTHONPATH": str(here), "PYTHONDONTWRITEBYTECODE": "1"} | more
    )
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-n",
        "0",
        "-x",
        "-q",
        "--no-header",
        "-m",
        "",
        "-p",
        "no:cacheprovider",
        *tests,
    ]
    try:
        done = subprocess.run(
            command, cwd=here, env=environment, capture_output=True, text=True, check=False, timeout=LONGEST_S
        )
    except subprocess.TimeoutExpired:
        return "killed: its tests do not end"
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode == 1 and failed:
        return f"killed by {failed[0].split()[1]}"
    return "SURVIVED" if done.returncode == 0 else f"broken: {done.stdout[-300:]}{done.stderr[-300:]}"


def outcome(mutant: Mutant, here: Path, killer: str | None) -> str:
    """Try one mutant in a copy of the tree, which is then as it was."""
    file, good, bad = mutant
    tests = tests_of(mutant)
    path, before = here / file, (here / file).stat()
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(good, bad), encoding="utf-8")
    cache = here / "cache"
    if file.startswith("sim/kernel"):  # what is compiled of it is of no use to any other
        cache = Path(tempfile.mkdtemp(dir=here))
    rounds: list[tuple[tuple[str, ...], dict[str, str]]] = [((killer,), {})] if killer else []
    if cache.name != "cache":
        rounds.insert(0, (INTERPRETED_TESTS, INTERPRETED))
    try:
        for some, environment in [*rounds, (tests, {})]:
            said = asked(here, some, environment, cache)
            if said.startswith("killed"):
                break
        return said
    finally:
        path.write_text(text, encoding="utf-8")
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))  # the compiler's cache goes by it
        if cache.name != "cache":
            shutil.rmtree(cache)


def copied(here: Path) -> Path:
    """Make a copy of the tree anew; what has been compiled in it before is kept."""
    here.mkdir(parents=True, exist_ok=True)
    for name in KEPT:
        old, new = here / name, ROOT / name
        if old.is_dir():
            shutil.rmtree(old)
        if new.is_dir():
            shutil.copytree(new, old, ignore=shutil.ignore_patterns("__pycache__"))  # with its times
        else:
            shutil.copy2(new, old)
    return here


def tree_hash() -> str:
    """Return a hash of the house and its tests: what came of a mutant holds for them alone."""
    digest = hashlib.sha256()
    for path in sorted([*(ROOT / "sim").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]):
        if path not in (Path(__file__), Path(__file__).with_name("mutant_list.py")):
            digest.update(str(path.relative_to(ROOT)).encode() + path.read_bytes())
    return digest.hexdigest()[:16]


class Notes:
    """What came of mutants, kept in a file: of this very tree, and which test killed each in any."""

    def __init__(self, file: Path) -> None:
        self.file, self.tree = file, tree_hash()
        self.now: dict[Mutant, str] = {}
        self.killers: dict[Mutant, str] = {}
        for line in file.read_text(encoding="utf-8").splitlines() if file.exists() else ():
            tree, mutant, said = json.loads(line)
            if said.startswith("killed by "):
                self.killers[tuple(mutant)] = said.removeprefix("killed by ")
            if tree == self.tree:
                self.now[tuple(mutant)] = said

    def add(self, mutant: Mutant, said: str) -> None:
        self.now[mutant] = said
        with self.file.open("a", encoding="utf-8") as file:
            file.write(json.dumps([self.tree, mutant, said]) + "\n")


def main() -> int:
    """Try those asked for; the exit code is 1 if one is stale, or none of its tests has noticed it."""
    parser = argparse.ArgumentParser(description="Wrong signs and factors, each of which must make a test fail.")
    parser.add_argument("words", nargs="*", help="try only those with one of these words in file or text")
    parser.add_argument("--stale", action="store_true", help="only tell which are no longer text of the house")
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument(
        "--folder", type=Path, default=Path(tempfile.gettempdir()) / "jounce-mutants", help="of copies and notes"
    )
    options = parser.parse_args()
    wanted = [
        mutant for mutant in MUTANTS + DRIVEN_MUTANTS
        if not options.words or any(word in mutant[0] or word in mutant[1] for word in options.words)
    ]  # fmt: skip
    stale = {mutant: why for mutant in wanted if (why := is_stale(mutant))}
    for (file, good, _), why in stale.items():
        print(f"STALE: {file}: {good!r}: {why}", flush=True)
    if options.stale:
        print(f"{len(wanted)} mutants, {len(stale)} stale")
        return bool(stale)
    options.folder.mkdir(parents=True, exist_ok=True)
    notes = Notes(options.folder / "notes.jsonl")
    free: SimpleQueue[Path] = SimpleQueue()
    for number in range(options.processes):
        free.put(copied(options.folder / str(number)))

    def tried(mutant: Mutant) -> str:
        if mutant in notes.now:
            return notes.now[mutant]
        here = free.get()
        try:
            said = outcome(mutant, here, notes.killers.get(mutant))
        finally:
            free.put(here)
        notes.add(mutant, said)
        return said

    def whole(tests: tuple[str, ...]) -> str:
        here = free.get()
        try:
            return asked(here, tests, {}, here / "cache")
        finally:
            free.put(here)

    left = [mutant for mutant in wanted if mutant not in stale]
    groups = list(dict.fromkeys(map(tests_of, left)))
    lived = 0
    with ThreadPoolExecutor(options.processes) as pool:
        if any(mutant not in notes.now for mutant in left):
            for tests, said in zip(groups, pool.map(whole, groups), strict=True):
                if said != "SURVIVED":
                    print(f"{' '.join(tests)}: the tree as it is does not pass: {said}")
                    return 1
        for mutant, said in zip(left, pool.map(tried, left), strict=True):
            print(f"{mutant[0]}: {mutant[1]!r} -> {mutant[2]!r}: {said}", flush=True)
            lived += not said.startswith("killed")
    print(f"{len(wanted)} mutants, {len(stale)} stale, {lived} not killed")
    return bool(lived or stale)


if __name__ == "__main__":
    sys.exit(main())
