"""The `jounce` command: one command a file, imported only when it is asked for.

Results go to standard output, notes and progress to standard error; with `--json` standard output has one JSON object
and nothing else. Exit codes: 0 all is well, 2 what was written
cannot be used, 3 a run left what the model is valid for, 4 results cannot be written, 70 a bug of ours, 130 stopped,
129 and 143 ended by a closed terminal or by the system.
A reader of standard output that stops reading (`jounce … | head`) is no error.
"""

import argparse
import gc
import os
import sys
from collections.abc import Callable, Sequence
from contextlib import AbstractContextManager, nullcontext, suppress
from pathlib import Path
from typing import Any, ClassVar, NoReturn

from sim.cli.output import taken_over
from sim.cli.shared import shared
from sim.errors import InputError, JounceError, OutputError, Problem

COMMANDS: dict[str, str] = {
    "new": "write a first file of your own truck from its weights and a tape, or copy the demo",
    "measure": "work out what was measured by hand: centre of gravity, tyre, spring, friction, inertia, wind-up",
    "check": "read files and list everything that is wrong with them",
    "road": "measure how rough a course is, as standards count it, with a picture",
    "open": "open a page in the browser: describe a truck, see it stand, try dampers on it",
    "stand": "show how a vehicle or every set-up stands: loads, heights, frequencies, travel, what is out of the usual",
    "loads": "show what people, cargo, a winch or a heavier engine do to height, frequency, travel and damping",
    "lift": "show what a lift by longer springs does to travel, castor, shaft joints, dive and squat, and balance",
    "spring": "work out a coil or leaf pack for a load at a height, an added leaf, a helper",
    "shake": "shake every set-up on a road of waves: how much arrives at the seat, in the travel and under the tyres, by frequency",
    "simulate": "run one set-up of a scenario",
    "compare": "run all set-ups of a scenario side by side",
    "sweep": "move one or two inputs through their range and find the best and the worst",
    "lean": "lean the dampers of an axle forward and back, and show what that does to its wind-up",
    "tramp": "map where a driven axle winds up and hops by itself (tramp), over lean and slip",
    "dyno": "read a damper test machine's file, and say whether it is the damper that was ordered",
    "convert": "convert one damper to two a side; show what lean, gas and which end is up do",
    "endure": "drive every set-up for hours: temperatures of the dampers, force left, travel counts",
    "tune": "search damper values for a goal within limits; show which limit holds it back and whether the choice holds",
    "sheet": "write the pages that dampers and springs are ordered by, the list of parts, and what the truck should read after the work",
    "schema": "write JSON schemas, with which editors complete and check the files",
    "completion": "print the script with which a shell completes commands, options and files",
}
"""The list: each is a file of this folder with arguments(parser) and run(options), and what it is for."""

EVALUATE_FEW = (
    "new",
    "measure",
    "loads",
    "lift",
    "spring",
    "check",
    "stand",
    "convert",
    "dyno",
    "schema",
    "completion",
)
"""Commands that evaluate the physics so seldom, some hundreds of times, that nothing is compiled for them: what does not come compiled with
the package runs as plain Python, as the compiler takes several times as long to load."""

FINE, BAD_INPUT, FLAGGED, NOT_WRITTEN, OUR_BUG, STOPPED = 0, 2, 3, 4, 70, 130


class _Version(argparse.Action):
    """Looks the version up when it is asked for: reading installed packages takes longer than all the rest of `--help`."""

    def __call__(self, parser: argparse.ArgumentParser, *of: object) -> None:
        print(f"jounce {_version()}")
        parser.exit()


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command line; return its exit code."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    # Known before the options are read: of all commands only this one's file is loaded, so that --help is quick.
    asked = next((word for word in given if word in COMMANDS), None)
    # Called by a program (a test, a notebook), its streams and its compiler are its own affair.
    if arguments is None:
        taken_over()
        _ended_as_stopped()
        _own_process(compiles=asked not in EVALUATE_FEW)
    try:
        # The flush comes last even after an error: what was said before it must not be lost.
        for_scripts = "--json" in given and not {"-h", "--help", "--version"} & set(given)
        return _answered(given, asked) if for_scripts else _guarded(lambda: _run(given, asked))
    finally:
        with suppress(OutputError):  # of a command that has failed: its error is what counts
            _flushed()
        # A process that ends looks through all that it has for circles: of a command there is nothing to gain by that.
        if arguments is None:
            gc.freeze()


def _answered(given: list[str], asked: str | None) -> int:
    """Run a command whose standard output is one JSON object, whatever comes of it."""
    from sim.cli.answer import answering, printed

    with answering(_version()):
        try:
            code = _guarded(lambda: _run(given, asked))
        except SystemExit:  # a word that is no option
            code = BAD_INPUT
        # What has no room on the disk is said as of any other output.
        return _guarded(lambda: printed(code))


def _run(given: list[str], asked: str | None) -> int:
    try:
        options = _parser(asked).parse_args(given)
        from sim.cli import answer
        from sim.cli.progress import quietly
        from sim.cli.units import in_units

        answer.asked(options.command, options)
        _named(options)
        command = _module(options.command)
        _all_loaded()
        with in_units(options), quietly(options.quiet), _standard_input(options):
            code = int(command.run(options))
    except SystemExit:  # help, or a word that is no option
        _flushed()
        raise
    _flushed()
    return code


READ_BY_THE_READER = ("scenario", "file", "files", "against")
"""Arguments that name files of ours, in place of which `-` stands for standard input."""

NOT_READ = {"new": "it writes a file", "open": "it changes a file", "dyno": "a test machine's table is a file"}
"""Commands whose `file` cannot be read from there, and why."""


def _standard_input(options: argparse.Namespace) -> AbstractContextManager[None]:
    """Have `-` stand for standard input, if it is among the files that are to be read."""
    names = {key: getattr(options, key, None) for key in READ_BY_THE_READER}
    asked = [
        key for key, one in names.items() for path in (one if isinstance(one, list) else [one]) if path == Path("-")
    ]
    if not asked:
        return nullcontext()
    if "file" in asked and options.command in NOT_READ:
        raise InputError(f"jounce {options.command} -: {NOT_READ[options.command]}: give its name.")
    if len(asked) > 1:
        raise InputError("-: standard input holds one file; it was asked for twice.")
    from sim.describe.files.reader import LARGEST_BYTES
    from sim.describe.files.standard_input import given

    if sys.stdin is None:
        raise InputError("-: there is no standard input to read from.")
    if sys.stdin.isatty():
        print("Reading from the keyboard; end with Ctrl-D (on Windows Ctrl-Z).", file=sys.stderr, flush=True)
    try:
        return given(sys.stdin.buffer.read(LARGEST_BYTES + 1))
    except OSError as error:
        raise InputError(f"-: standard input cannot be read: {error.strerror or error}") from None


LONGEST_NAME, LONGEST_PATH = 240, 3800
"""Bytes: 255 and 4096 on the usual disks, and something of ours comes before or after."""


def _named(options: argparse.Namespace) -> None:
    """Refuse a file or folder whose name no disk takes: every command would meet that at another place."""
    given = ((key, path) for key, one in vars(options).items() for path in (one if isinstance(one, list) else [one]))
    for option, path in given:
        if not isinstance(path, Path):
            continue
        name = max(map(_bytes_of, path.parts), default=0)
        if name > LONGEST_NAME or _bytes_of(str(path)) > LONGEST_PATH:
            raise InputError(
                Problem(
                    f"{option}: a name on a disk has at most {LONGEST_NAME} bytes, with its folders {LONGEST_PATH}",
                    given=str(path), suggestion="choose a shorter one",
                )
            )  # fmt: skip


def _bytes_of(text: str) -> int:
    return len(text.encode("utf-8", "surrogatepass"))


def _flushed() -> None:
    """Meet here what cannot be written, not when the process ends."""
    if sys.stdout is not None:
        sys.stdout.flush()


class _Parser(argparse.ArgumentParser):
    """A parser whose refusals are in the answer of `--json` too."""

    words: ClassVar[list[str]] = []
    """The command line that is parsed: a command's own parser refuses what the whole one was asked."""

    def error(self, message: str) -> NoReturn:
        from sim.cli.answer import failed

        failed([Problem(message)])
        if message.endswith("required: COMMAND"):
            # Nothing was asked: what can be asked says more than what is missing.
            self.print_help(sys.stderr)
            self.exit(BAD_INPUT)
        super().error(f"{message}{self._example(message)}")

    def parse_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Parse, and have the command that was asked refuse what it does not know: its usage is what may be written."""
        _Parser.words = [str(one) for one in (sys.argv[1:] if args is None else args)]
        options, unknown = self.parse_known_args(args, namespace)
        if unknown:
            from sim.cli.refused_words import unquoted

            command = str(getattr(options, "command", ""))
            own: dict[str, argparse.ArgumentParser] = {}
            for action in self._actions:
                own |= action.choices if isinstance(action.choices, dict) else {}
            asked = own.get(command, self)
            meant = unquoted(unknown, _Parser.words)
            said = f"write a number and its unit in quotes, {meant}; " if meant else ""
            asked.error(
                f"{command} does not know {' '.join(unknown)}: {said}{self.prog} {command} --help has all that it knows"
                f"{_meant(unknown, [option for action in asked._actions for option in action.option_strings])}"
            )
        return options

    def _example(self, message: str) -> str:
        """Return how a refused option is written, by the example that its own help has; empty if that has none."""
        import re

        option = message.removeprefix("argument ").partition(":")[0].split("/")[0]
        if not message.endswith("expected one argument"):
            return ""
        from sim.cli.refused_words import joined

        if meant := joined(option, _Parser.words):
            return f": a value that begins with a minus is joined to its option: write {meant}"
        texts = [action.help or "" for action in self._actions if option in action.option_strings]
        found = re.search(r"'([^']+)'", texts[0]) if texts else None
        return f': write {option} "{found[1]}"' if found else f": write a value after it: {option} VALUE"


def _meant(unknown: list[str], known: list[str]) -> str:
    """Return which options were probably meant; empty where none is near."""
    import difflib

    # As of keys in a file: words are short, and one slip weighs more in them. Without the dashes, which make any two options alike.
    # What another command knows is no slip: `jounce lean` has no --setup, and --steps was not meant.
    commands: dict[str, argparse.ArgumentParser] = {}
    for action in parser_of_all()._actions:
        commands |= action.choices if isinstance(action.choices, dict) else {}
    others = {option for command in commands.values() for own in command._actions for option in own.option_strings}
    slips = [one.partition("=")[0] for one in unknown if one.startswith("--")]
    slips = [one.removeprefix("--") for one in slips if one not in others]
    words = [one.removeprefix("--") for one in known if one.startswith("--")]
    near = [hit for slip in slips for hit in difflib.get_close_matches(slip, words, 1, 0.6)]
    return f"; did you mean {' and '.join(f'--{one}' for one in dict.fromkeys(near))}?" if near else ""


def parser_of_all() -> argparse.ArgumentParser:
    """Return the parser with the options of every command: for what is made of them, as a shell's completion."""
    return _parser(*COMMANDS)


def _parser(*asked: str | None) -> argparse.ArgumentParser:
    parser = _Parser(
        prog="jounce",
        description="A test track for solid-axle trucks: which dampers, where, how valved, and why.",
        epilog="Begin with: jounce new --demo demo; then: jounce compare demo/two_or_four.yaml",
    )
    parser.add_argument("--version", action=_Version, nargs=0, help="show the version and stop")
    commands = parser.add_subparsers(dest="command", metavar="COMMAND", required=True)
    for name, summary in COMMANDS.items():
        # Every command is listed; options are added for the one asked for, as they need its imports.
        command = commands.add_parser(name, help=summary, description=summary)
        if name in asked:
            _module(name).arguments(command)
            shared(command)
    return parser


def _own_process(compiles: bool) -> None:
    """Let the physics load no more than this one command needs."""
    from sim import machine

    machine.OWN_PROCESS, machine.COMPILES = True, compiles
    # While modules load nothing is thrown away, and looking for it takes a tenth of their time.
    gc.disable()
    # pydantic looks through every package that is installed for plugins of its own: we have none.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")


def _all_loaded() -> None:
    """Look for circles of unused objects again, from now on and not among what was loaded, which stays."""
    from sim import machine

    if machine.OWN_PROCESS:
        gc.freeze()
        gc.enable()


class _Ended(KeyboardInterrupt):
    """The system or a closed terminal ended the command: everything is cleared up as after Ctrl-C."""

    def __init__(self, number: int) -> None:
        super().__init__()
        self.number = number


def _ended_as_stopped() -> None:
    """Have a command that is ended (`kill`, a closed terminal) clear up and say so as one that is stopped."""
    import signal

    def ended(number: int, _frame: object) -> None:
        signal.signal(number, signal.SIG_IGN)  # once is enough: clearing up goes on
        raise _Ended(number)

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        # What `nohup` has asked to ignore stays ignored.
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, ended)


def _module(name: str):  # type: ignore[no-untyped-def]
    from importlib import import_module

    return import_module(f"sim.cli.{name}")


def _guarded(command: Callable[[], int]) -> int:
    """Run a command so that no traceback reaches a person for what they wrote."""
    try:
        return command()
    # Before JounceError, of which it is one: here problems are counted.
    except InputError as error:
        count = len(error.problems)
        return _said(
            BAD_INPUT,
            f"{error}\n\n{count} problem{'s' if count > 1 else ''}. Nothing was run or written.",
            *error.problems,
        )
    except OutputError as error:
        return _said(NOT_WRITTEN, str(error))
    except JounceError as error:
        # Most often a RunError: true whenever it comes, as folders of results are swapped in whole.
        return _said(BAD_INPUT, f"{error}\n\nNothing was written.", Problem(str(error)))
    except _Ended as ended:
        return _said(128 + ended.number, "\nEnded from outside. Earlier results are as they were.")  # as shells have it
    except KeyboardInterrupt:
        return _said(STOPPED, "\nStopped. Earlier results are as they were.")
    # Most often a course that is very long: its channels are all kept.
    except MemoryError:
        return _said(BAD_INPUT, "There is not enough memory for this run; shorten the course.")
    # Whatever is left is ours: only here a traceback helps, and it says so.
    except Exception:
        import traceback

        code = _said(
            OUR_BUG,
            "This is a bug of jounce, not of your files. Please send the scenario with the following lines to the "
            "project's issue list. Earlier results are as they were.\n",
        )
        traceback.print_exc()
        return code


def _said(code: int, text: str, *problems: Problem) -> int:
    """Say what is wrong, to people and to scripts; return the exit code."""
    from sim.cli.answer import failed

    print(text, file=sys.stderr)
    failed(problems or [Problem(text.strip())])
    return code


def _version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("jounce")
    # Run from a folder of source text, without having been installed.
    except PackageNotFoundError:
        return "(not installed)"
