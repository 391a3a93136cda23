"""What comes of a damper set: whether it is ordered as it is, and if not, what stands against it; one answer for screen, sheet and page."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

from sim.describe.shown import in_shown_units, show_parts
from sim.describe.to_measure import listed
from sim.study.doubt.measuring import way
from sim.study.fit import Fit

MOUNTS = "measure the places of the mounts, to 2 mm (1/16 in)"
"""What is to be measured of numbers that put a damper's ends somewhere, however many they are."""


@dataclass(frozen=True)
class EndInDoubt:
    """An end that a damper may meet, as numbers are in doubt.

    Attributes
    ----------
    end : str
        "collapsed" or "extended".
    low, high : float
        Room there [m], 95 times in 100.
    decided_by : tuple of str
        Paths of the numbers that decide it.
    """

    end: str
    low: float
    high: float
    decided_by: tuple[str, ...] = ()

    @property
    def words(self) -> str:
        """The room there."""
        low, high = (show_parts(end, "length") for end in (self.low, self.high))
        # Whole millimetres, tenths of an inch: the ends of a band are not known better.
        each = [
            f"{a:.{int(unit == 'in')}f} to {b:.{int(unit == 'in')}f} {unit}"
            for (a, unit), (b, _) in zip(low, high, strict=True)
        ]
        band = each[0] if len(each) == 1 else f"{each[0]} ({each[1]})"
        return f"the room to the {self.end} end is {band}, 95 times in 100"

    @property
    def first(self) -> str:
        """What to measure before it is ordered."""
        said = []
        for path in self.decided_by:
            own = any(fnmatchcase(path, f"*.dampers.*.{key}") for key in ("body.*", "axle.*", "lean_inward"))
            said.append(in_shown_units(MOUNTS) if own else way(path).do)
        return listed(list(dict.fromkeys(said))) or "measure what is in doubt"


def doubt_of(ends: Sequence[EndInDoubt]) -> tuple[str, str]:
    """Return what to measure first, and the room at the ends that a damper may meet, in words."""
    return listed(list(dict.fromkeys(one.first for one in ends))), " and ".join(one.words for one in ends)


def doubt_words(ends: Sequence[EndInDoubt]) -> str:
    """Return what stands on a sheet of a damper that may meet its ends."""
    first, room = doubt_of(ends)
    return f"in doubt: {room}, so the damper may run into it; {first}, before it is ordered"


@dataclass(frozen=True)
class Concluded:
    """What comes of one damper set.

    Attributes
    ----------
    fit : Fit
    instead : str
        Why another is proposed in its place; empty if none is.
    cannot, no_length : str
        Why no other can be ordered, and of that why none is so long and so short (`Proposal`); empty if one may be.
    ends : tuple of EndInDoubt
        Ends that it may meet.
    guessed_forces : bool
        Whether its forces are estimates.
    offered : tuple of float
        Of the one that is proposed the length collapsed, at most, and extended, at least [m]; empty if none is.
    """

    fit: Fit
    instead: str = ""
    cannot: str = ""
    no_length: str = ""
    ends: tuple[EndInDoubt, ...] = ()
    guessed_forces: bool = False
    offered: tuple[float, ...] = ()

    @property
    def problems(self) -> tuple[str, ...]:
        """What will break, each with its cure."""
        return self.fit.problems

    @property
    def in_doubt(self) -> bool:
        """Whether it fits by its central values, and may meet an end all the same."""
        return self.fit.fits and bool(self.ends)

    @property
    def verdict(self) -> str:
        """What stands on screen, page and in an answer for scripts."""
        if not self.fit.fits:
            return self.fit.verdict
        if self.in_doubt:
            return doubt_words(self.ends) + (f"; it needs a limit strap {self.fit.strap}" if self.fit.strap else "")
        if self.instead:
            return f"{self.fit.verdict}, but is not to be ordered as it is ({self.instead})"
        draft = "; its forces are estimates, so its sheet is a draft" if self.guessed_forces else ""
        return f"{self.fit.verdict}{draft}"

    @property
    def in_a_word(self) -> str:
        """The same for a cell of a table."""
        if self.fit.fits:
            return "in doubt" if self.in_doubt else "yes, with a strap" if self.fit.strap else "yes"
        if self.fit.verdict.startswith("may"):
            return "may not"
        if self.fit.measured_first and self.fit.problems:
            # A no that rests on estimates says so: a tape may turn it into a yes.
            return "no, as estimated"
        if self.fit.problems:
            return "no"
        return "not known; needs a strap" if self.fit.strap else "not known"

    @property
    def measure_first(self) -> list[str]:
        """What is to be measured before anybody orders it, as far as that decides whether it fits."""
        said = [*self.fit.measured_first] if self.fit.verdict != "fits" else [one.first for one in self.ends]
        return list(dict.fromkeys(said))

    @property
    def title(self) -> str:
        """What its sheet is called: nobody takes for an order what is none."""
        if self.fit.problems:
            may = self.fit.verdict.startswith("may")
            return "Not to be ordered yet: may not fit" if may else "Not to be ordered: does not fit"
        if not self.fit.fits or self.in_doubt:
            return "Draft, measure first"
        if self.instead:
            return "Not to be ordered: another is proposed"
        strap = ", with a limit strap" if self.fit.strap else ""
        return f"Draft, forces are estimates{strap}" if self.guessed_forces else f"Damper order{strap}"


Conclusions = Mapping[tuple[str, str], Concluded]
"""By axle and set."""


def concluded_of(fits: Sequence[Fit], known: Conclusions) -> list[Concluded]:
    """Return what comes of damper sets, in their order; of those that are not known what their lengths say alone."""
    return [known.get((fit.axle, fit.name), Concluded(fit)) for fit in fits]
