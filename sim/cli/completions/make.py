"""Makes the scripts anew, after every change of a command's options: `python -m sim.cli.completions.make`; needs shtab (the extra `test`)."""

import argparse
from pathlib import Path

from sim.cli import parser_of_all
from sim.cli.completion import SHELLS


def script(shell: str) -> str:
    """Return the script of a shell."""
    import shtab

    parser = parser_of_all()
    _files(parser, shtab.FILE)
    return "\n".join(line.rstrip() for line in shtab.complete(parser, shell).splitlines()) + "\n"


def _files(parser: argparse.ArgumentParser, files: object) -> None:
    """Have files completed wherever a path is wanted, of all commands below too."""
    # argparse has no public list of a parser's options.
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            for below in action.choices.values():
                _files(below, files)
        elif action.type is Path:
            action.complete = files  # type: ignore[attr-defined]


if __name__ == "__main__":
    for one in SHELLS:
        # The same line ends on Windows: no shell runs a script with those of Windows.
        (Path(__file__).parent / f"jounce.{one}").write_text(script(one), encoding="utf-8", newline="\n")
