"""Names beside one another where nothing was run: for pages that borrow the legend of set-ups."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any


@dataclass(frozen=True)
# A page's head asks every name for flags; only runs can have them.
class _Shown:
    flags: tuple[Any, ...] = field(default=())


@dataclass(frozen=True)
class Aside:
    """What a page's head needs: names, and no flags."""

    runs: MappingProxyType[str, _Shown]


def aside(names: Iterable[str]) -> Aside:
    """Return names as a page's head takes them."""
    return Aside(MappingProxyType({name: _Shown() for name in names}))
