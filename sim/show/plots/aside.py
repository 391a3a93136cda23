"""Names beside one another where nothing was run: for pages that borrow the legend of set-ups."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True)
# A page's head asks every name for flags: those of runs that the name stands for.
class _Shown:
    flags: tuple[Any, ...] = field(default=())


@dataclass(frozen=True)
class Told:
    """A fault of which only the words are kept, as a page's head takes it."""

    sentence: str
    time_s: float | None = None

    @property
    def words(self) -> str:
        """The fault itself."""
        return self.sentence


@dataclass(frozen=True)
class Aside:
    """What a page's head needs: names, and their flags."""

    runs: MappingProxyType[str, _Shown]


def aside(names: Iterable[str], flags: Mapping[str, tuple[Any, ...]] = MappingProxyType({})) -> Aside:
    """Return names, and flags where there are any, as a page's head takes them."""
    return Aside(MappingProxyType({name: _Shown(flags.get(name, ())) for name in names}))
