"""Fields of a run that are worked out when somebody asks for them: most of what is named is never looked at."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any

from sim.integrate.result import Run
from sim.integrate.traces import AxleTrace

Later = Mapping[str, Callable[[], Any]]
"""What is worked out when it is asked for, by the field's name."""


class OnDemand:
    """A record some of whose fields are worked out at the first look, and kept.

    Parameters
    ----------
    later : mapping of str to callable
        Gives each of these fields; a field with a default is not among them, as Python finds its default first.
    known : values
        All other fields.
    """

    def __init__(self, later: Later | None = None, **known: Any) -> None:
        # Kept as if they were fields: the frozen record's own way to set one is closed.
        self.__dict__.update(known, _later=later or {})

    def __getattr__(self, name: str) -> Any:  # only asked for what is not there
        if name == "_later" or name not in self._later:
            raise AttributeError(name)
        self.__dict__[name] = field = self._later[name]()
        return field


class EachOnDemand(Mapping[str, Any]):
    """Values by name, each worked out at the first look, and kept.

    Parameters
    ----------
    later : mapping of str to callable
        Gives each of them.
    """

    def __init__(self, later: Later) -> None:
        self._later = later
        self._known: dict[str, Any] = {}

    def __getitem__(self, name: str) -> Any:
        if name not in self._known:
            self._known[name] = self._later[name]()
        return self._known[name]

    def __contains__(self, name: object) -> bool:
        return name in self._later  # to ask whether there is one is no look at it

    def __iter__(self) -> Iterator[str]:
        return iter(self._later)

    def __len__(self) -> int:
        return len(self._later)


class RunOnDemand(OnDemand, Run):
    """A run that works its channels out when they are asked for."""


class AxleOnDemand(OnDemand, AxleTrace):
    """An axle of such a run."""
