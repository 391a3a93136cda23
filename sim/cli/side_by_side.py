"""What a command that runs set-ups has done by a copy of itself meanwhile: runs, and time histories."""

from collections.abc import Callable, Mapping
from contextlib import AbstractContextManager
from functools import partial
from typing import TYPE_CHECKING, Any

from sim.cli.progress import working

if TYPE_CHECKING:
    from sim.integrate.result import Run
    from sim.machine.ahead import Put

MOST_ROWS_AHEAD = 150_000
"""Of time histories, together, that are kept in memory until there is a folder for them: some 70 MB. Longer ones take little of what is waited for."""


def loaded(draws: bool) -> None:
    """Load what runs are measured and drawn with: while a copy of the process compiles or runs, so that it costs no time of its own."""
    import sim.study.compare

    # The plotting library takes long to load, and --no-plots can do without.
    if draws:
        import sim.show.plots.save  # noqa: F401


def ran(
    scenario: Any, only: str | None, load: Callable[[], object]
) -> tuple[dict[str, "Run"], Callable[[], str | None]]:
    """Return the runs of the set-ups, or of one, and what returns what the page needs to run them again."""
    from sim.machine.copies import can_split
    from sim.machine.found import found_by_two
    from sim.study.compare import to_run

    runs = to_run(scenario, only)
    names = list(runs)
    pieces: list[Callable[[], Any]] = list(runs.values())
    pack = partial(_packed, scenario, only)
    if is_shared := can_split():
        # What the page runs again hangs on no result: it is packed beside the runs.
        pieces.append(pack)
    # Parts of a set-up that results speak of are that set-up's own here too.
    known = [scenario.run, *(scenario.setups[name] for name in names)]
    # The copy before the spinner: no process is copied while another thread runs.
    with found_by_two(pieces, known) as found, working("Starting") as status:
        if is_shared:
            # While the copy runs the first set-ups, and before this process is copied again to draw.
            load()
        # The spinner is on standard error: standard output may be JSON for a script.
        values = found(lambda number: status(f"Running '{names[number]}'") if number < len(names) else None)
    return dict(zip(names, values, strict=False)), (lambda: values[-1]) if is_shared else pack


def _packed(scenario: Any, only: str | None) -> str | None:
    """Return what the page needs to run the set-ups again by itself; None where it cannot."""
    from sim.show.pages.report.simulated import packed

    return packed({name: one for name, one in scenario.setups.items() if only in (None, name)}, scenario.run)


def histories_ahead(runs: Mapping[str, "Run"]) -> AbstractContextManager["Put | None"]:
    """Have a copy write the time histories, by their numbers, while something else is done; not where they are long."""
    from contextlib import nullcontext

    from sim.machine.ahead import written_ahead
    from sim.show.report import series_csv

    if sum(len(run.time_s) for run in runs.values()) > MOST_ROWS_AHEAD:
        return nullcontext()
    return written_ahead([partial(series_csv.write, run) for run in runs.values()])
