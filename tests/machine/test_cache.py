"""Compiled code is kept where nobody else can put theirs; what is damaged is thrown away, and a full disk done without."""

import os
import pickle
import subprocess
import sys
import warnings
from pathlib import Path

import pytest

from sim import machine
from sim.machine import cache, jit, native

ROOT = Path(__file__).parents[2]

SUFFIXES = (".nbi", ".nbc", *([native.SUFFIX] if native.WHERE_TRIED else ()))
"""Endings of what is kept: the compiler's own two files, and the machine code alone."""

posix = pytest.mark.skipif(not hasattr(os, "geteuid"), reason="each user's folders are closed to others here")

PROBE = """
import sys
import warnings
from pathlib import Path
{before}
from sim.machine import jit

@jit.compiled
def twice(x):
    return 2.0 * x

print(twice(3.0), jit.CACHE_FOLDER)
"""


@pytest.fixture
def answer(tmp_path):
    """Runs a compiled function in a process of its own, with its cache in a folder of this test."""

    def run(before="", **environment):
        script = tmp_path / "probe.py"
        if not script.exists() or script.read_text() != PROBE.format(before=before):
            script.write_text(PROBE.format(before=before))
            os.utime(script, (1e9, 1e9))  # the compiler looks at the time of its source
        named = {"NUMBA_CACHE_DIR": str(tmp_path / "cache"), "PYTHONPATH": str(ROOT), "JOUNCE_PLAIN": ""} | environment
        done = subprocess.run(
            [sys.executable, str(script)], env={**os.environ, **named}, capture_output=True, text=True, check=True
        )
        found, _, folder = done.stdout.strip().partition(" ")
        assert float(found) == 6.0
        return done.stderr, folder

    return run


@pytest.fixture
def here(monkeypatch, tmp_path):
    """The same in this process: a function that knows nothing of the one before it, but by what was kept on the disk."""
    monkeypatch.setattr(cache, "_roots", lambda: iter([tmp_path / "cache"]))
    monkeypatch.setattr(jit, "CACHE_FOLDER", cache.folder("name"))
    monkeypatch.setattr(machine, "PLAIN", False)  # what is asked here is how code is kept, not whether
    script = tmp_path / "probe.py"
    script.write_text("def twice(x):\n    return 2.0 * x\n")
    os.utime(script, (1e9, 1e9))  # the compiler looks at the time of its source

    def run():
        names = {"__name__": "probe"}
        exec(compile(script.read_text(), str(script), "exec"), names)
        cache.said.cache_clear()  # in a process of its own it would not have been said before
        with warnings.catch_warnings(record=True) as told:
            warnings.simplefilter("always")
            assert jit.compiled(names["twice"])(3.0) == 6.0
        return " ".join(str(one.message) for one in told)

    yield run
    cache.said.cache_clear()


class Planted:
    """A pickle that does something when it is opened."""

    def __init__(self, path):
        self.path = path

    def __reduce__(self):
        return Path.touch, (self.path,)


def files_of(tmp_path):
    return [path for path in (tmp_path / "cache").rglob("*") if path.suffix in SUFFIXES]


def the_file(tmp_path, suffix):
    """Return the file of this ending; of the compiler's own two only after what is read before them is gone."""
    files = {path.suffix: path for path in files_of(tmp_path)}
    if suffix != ".native" and ".native" in files:
        files[".native"].unlink()
    return files[suffix]


def test_what_was_kept_is_used_again(answer, tmp_path):
    assert answer()[0] == ""
    before = {path: path.stat().st_mtime_ns for path in files_of(tmp_path)}
    assert {path.suffix for path in before} == set(SUFFIXES)
    assert answer()[0] == ""
    assert {path: path.stat().st_mtime_ns for path in files_of(tmp_path)} == before


def damages(raw):
    yield b""
    yield raw[: len(raw) // 2]
    yield raw[:-1]
    yield raw[: len(raw) // 2] + bytes([raw[len(raw) // 2] ^ 1]) + raw[len(raw) // 2 + 1 :]
    yield b"garbage"


@pytest.mark.parametrize("number", range(5))
@pytest.mark.parametrize("suffix", SUFFIXES)
def test_a_damaged_file_is_thrown_away_and_made_anew(here, tmp_path, suffix, number):
    assert here() == ""
    path = the_file(tmp_path, suffix)
    path.write_bytes(list(damages(path.read_bytes()))[number])
    assert "is damaged" in here()
    assert here() == ""  # it was made anew


def test_a_command_too_makes_what_is_damaged_anew(answer, tmp_path):
    answer()
    for path in files_of(tmp_path):
        path.write_bytes(b"garbage")
    assert "is damaged" in answer()[0]
    assert answer()[0] == ""


@pytest.mark.parametrize("suffix", SUFFIXES)
def test_what_somebody_planted_is_never_opened(here, tmp_path, suffix):
    assert here() == ""
    path = the_file(tmp_path, suffix)
    path.write_bytes(pickle.dumps(Planted(tmp_path / "it ran")))
    pickle.loads(path.read_bytes())
    (tmp_path / "it ran").unlink()  # so it does, if it is opened
    assert "is damaged" in here()
    assert not (tmp_path / "it ran").exists()


@posix
def test_a_folder_that_others_can_write_is_made_anew(answer, tmp_path):
    """Also with a right checksum: who can write the folder can write that too."""
    folder = Path(answer()[1])
    kept = {path.name for path in folder.rglob("*.nb?")}
    (folder / "planted").touch()
    folder.chmod(0o777)
    assert answer()[0] == ""
    assert not (folder / "planted").exists()
    assert folder.stat().st_mode & 0o777 == 0o700
    assert {path.name for path in folder.rglob("*.nb?")} == kept


@posix
def test_a_full_disk_is_done_without(answer, tmp_path):
    """No file may grow past nothing (setrlimit(2)), as on a disk that is full."""
    before = "import resource; resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0)); sys.dont_write_bytecode = True"
    assert "cannot be kept" in answer(before)[0]
    assert not files_of(tmp_path)


def test_a_disk_that_takes_no_folder_is_done_without(answer, tmp_path):
    before = (
        "import errno, os, tempfile\n"
        "def full(*_, **__): raise OSError(errno.ENOSPC, 'No space left on device')\n"
        "tempfile.TemporaryFile = full"
    )
    assert "cannot be kept" in answer(before)[0]


def test_without_a_safe_place_nothing_is_kept(answer, tmp_path):
    said, folder = answer("import sim.machine.cache as c; c._roots = lambda: iter(())")
    assert "cannot be kept" in said
    assert folder == "None"
    assert not files_of(tmp_path)


@pytest.fixture
def only(monkeypatch, tmp_path):
    """One place, as the system's folder of temporary files would be."""
    monkeypatch.setattr(cache, "_roots", lambda: iter([tmp_path / "shared" / "jounce-cache"]))
    (tmp_path / "shared").mkdir()
    return tmp_path / "shared" / "jounce-cache"


@posix
def test_the_folder_is_this_users_alone(only):
    assert cache.folder("name") == only / "name"
    assert {path.stat().st_mode & 0o777 for path in (only, only / "name")} == {0o700}
    assert cache.folder("name") == only / "name"


@posix
def test_another_users_folder_is_not_used(only, monkeypatch):
    """Planted under the name that will be asked for, which anybody can tell."""
    (only / "name").mkdir(parents=True)
    monkeypatch.setattr(cache, "_keeps", lambda *_: True)
    me = os.geteuid()
    monkeypatch.setattr(cache, "_me", lambda: me + 1)
    assert cache.folder("name") is None


@posix
@pytest.mark.parametrize("linked", ["root", "name"])
def test_a_link_is_not_followed(only, tmp_path, linked):
    (tmp_path / "theirs").mkdir(mode=0o700)
    if linked == "root":
        only.symlink_to(tmp_path / "theirs")
    else:
        only.mkdir(mode=0o700)
        (only / "name").symlink_to(tmp_path / "theirs")
    assert cache.folder("name") is None
    assert not list((tmp_path / "theirs").iterdir())


@posix
@pytest.mark.parametrize(("mode", "used"), [(0o755, True), (0o1777, True), (0o777, False), (0o757, False)])
def test_a_place_where_others_could_put_another_folder(only, mode, used):
    only.parent.chmod(mode)
    assert (cache.folder("name") is not None) == used


@posix
def test_a_file_in_its_place_is_passed_by(only, monkeypatch, tmp_path):
    only.write_text("mine")
    monkeypatch.setattr(cache, "_roots", lambda: iter([only, tmp_path / "next"]))
    assert cache.folder("name") == tmp_path / "next" / "name"
    assert only.read_text() == "mine"
