"""What bash completes, judged by bash itself; and that the shipped scripts are made of the options as they are."""

import shutil
import subprocess
from pathlib import Path

import pytest

from sim.cli import COMMANDS, main
from sim.cli.completion import SHELLS
from sim.cli.completions.make import script

HERE = Path(__file__).parents[2] / "sim" / "cli" / "completions"


@pytest.mark.parametrize("shell", SHELLS)
def test_made_of_the_options_as_they_are(shell):
    pytest.importorskip("shtab", reason="the scripts are made by shtab, of the extra `test`")
    assert (HERE / f"jounce.{shell}").read_text(encoding="utf-8") == script(shell)


@pytest.mark.parametrize("shell", SHELLS)
def test_printed(shell, capsys):
    assert main(["completion", shell]) == 0
    assert capsys.readouterr().out == (HERE / f"jounce.{shell}").read_text(encoding="utf-8")


@pytest.fixture(scope="module")
def completed(tmp_path_factory):
    """Return what bash offers for words that were typed, of which the last is being completed."""
    if shutil.which("bash") is None:
        pytest.skip("no bash here")
    folder = tmp_path_factory.mktemp("folder")
    (folder / "my_truck.yaml").write_text("kind: vehicle\n", encoding="utf-8")

    def of(*words):
        typed = " ".join(f"'{word}'" for word in ("jounce", *words))
        lines = [
            f"source '{HERE / 'jounce.bash'}'", f"COMP_WORDS=({typed})", f"COMP_CWORD={len(words)}",
            "function=$(complete -p jounce | sed 's/.*-F \\([^ ]*\\).*/\\1/')",
            f'$function jounce "{words[-1]}" "{words[-2] if len(words) > 1 else "jounce"}"', 'printf "%s\\n" "${COMPREPLY[@]}"',
        ]  # fmt: skip
        done = subprocess.run(["bash", "-c", "\n".join(lines)], cwd=folder, capture_output=True, text=True, timeout=600)
        return set(done.stdout.split())

    return of


def test_commands(completed):
    assert completed("com") == {"compare", "completion"}
    assert set(COMMANDS) <= completed("")


def test_options_of_the_command_alone(completed):
    assert "--no-doubt" in completed("compare", "--no")
    assert completed("road", "--no") == set()
    assert {"--json", "--quiet", "--units"} <= completed("spring", "coil", "--")


def test_choices(completed):
    assert completed("compare", "--units", "i") == {"inch"}


def test_files(completed):
    assert "my_truck.yaml" in completed("stand", "my")
