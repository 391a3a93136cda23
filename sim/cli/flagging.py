"""How every command says that a part did what it must not: a line of its results, on standard output."""

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.integrate.status import Flag


def of_several(names: Sequence[str]) -> str:
    """Return the names of several set-ups as a flag's line begins with them."""
    from sim.show.report.naming import listed, quoted

    return listed([quoted(name) for name in names])


def say_alike(
    flags: "Iterable[tuple[str, Flag]]",
    who: Callable[[str], str],
    those: Callable[[Sequence[str]], str],
    indent: str = "",
) -> None:
    """Say the flags of several set-ups: a fault that many have at length once, of the worst, and of the others that they have it too.

    Parameters
    ----------
    flags : iterable of (str, Flag)
        By set-up.
    who, those : callable
        One set-up in words, and several.
    """
    from sim.integrate.status import alike

    for (name, flag), *others in alike(flags):
        say_flag(f"{who(name)}: {flag.sentence}" if who(name) else flag.sentence, indent)
        # Seven paragraphs alike are read by nobody.
        if names := list(dict.fromkeys(other for other, _ in others if other != name)):
            say_flag(f"{those(names) if len(names) > 1 else who(names[0])}: {flag.words} too", indent)


def say_flag(text: str, indent: str = "") -> None:
    """Say one flag: whose it is, and its sentence.

    It is what was found, as a table is, so it goes where results go: standard error has what is beside them (`sim.cli.notices`).
    """
    print(f"{indent}FLAGGED  {text}")
