"""A slow estimate beside the page: every number in doubt drawn, every set-up driven with each draw, in a process of its own."""

from collections.abc import Mapping
from math import isfinite
from multiprocessing import get_context
from multiprocessing.connection import Connection
from typing import Any

from sim.describe.files.reader import Document
from sim.describe.shown import System, shown_in
from sim.errors import JounceError
from sim.integrate.preview import Preview
from sim.measure.comparison import Comparison
from sim.measure.references import reference_of, references_of
from sim.show.pages.local.at_boxes import in_form_words
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.judging import Tried
from sim.show.pages.local.sure import tables
from sim.show.pages.local.trials import Trials
from sim.show.pages.local.tried_measures import labels, measures_of
from sim.study.doubt.study import bandable, doubted

LOOK_S = 0.2


class Estimating:
    """An estimate under way; what it says is asked for with `next`.

    Parameters
    ----------
    document : Document
        The truck as typed.
    asked : mapping
        course, speed, load, setups, as `Trials.run` takes them.
    system : "both", "metric" or "inch"
        Units in which its sentences are.
    course : tuple, optional
        Course of the scenario that is open (`Courses.opened`).
    """

    def __init__(self, document: Document, asked: Mapping[str, Any], system: System, course: Any = None) -> None:
        # Not a copy of this process: it has threads, of which a copy would have none.
        context = get_context("spawn")
        self._ours, theirs = context.Pipe(duplex=False)
        self._process = context.Process(
            target=_worked, args=(theirs, document.data, document.path, dict(asked), system, course), daemon=True
        )
        self._process.start()
        theirs.close()

    def next(self) -> dict[str, Any] | None:
        """Return what it says next, waiting a moment for it: how far it is, what came of it, or why not; None: nothing yet."""
        try:
            return self._ours.recv() if self._ours.poll(LOOK_S) else None
        except (EOFError, OSError):
            return {"why": "The estimate has ended without an answer."}

    def stop(self) -> None:
        """End it, whatever it has come to."""
        self._process.kill()
        self._process.join()
        self._ours.close()


def _worked(
    out: Connection, data: dict[str, Any], path: Any, asked: dict[str, Any], system: System, course: Any
) -> None:
    """Estimate, in the process of its own; the last thing that is said has `why`, or the tables."""
    try:
        with shown_in(system):
            out.send(said(Document(data, path), asked, lambda done, of: out.send({"done": done, "of": of}), course))
    except JounceError as error:
        out.send({"why": in_form_words(str(error))})
    except BrokenPipeError:
        pass  # whoever asked is gone


def said(document: Document, asked: Mapping[str, Any], tell: Any, course: Any = None) -> dict[str, Any]:
    """Return what the numbers in doubt leave open of the differences between set-ups, and what to measure next, as `sure.tables` has it.

    Raises
    ------
    JounceError
        If what is asked for cannot be run, or nothing is in doubt.
    """
    courses = Courses(document.path.parent)
    if course is not None:
        courses.open(*course)
    run, setups = Trials(courses).described(document, asked)
    if len(setups) < 2:
        raise JounceError("Differences are between set-ups: add one to compare with.")
    runs = {name: Preview(run).of(vehicle, name) for name, vehicle in setups.items()}
    tried = Comparison(Tried(setups, reference=next(iter(setups))), runs, {})
    reference = reference_of(tried)
    seen = runs[reference]
    # Of what the truck does not have, a strap, nothing is open.
    has = [measure for measure in measures_of(seen, labels(seen)) if isfinite(measure.of(seen))]
    measures = bandable(run, has)
    names = [measure.name for measure in measures]
    # One process: the page beside it goes on.
    # As a report has it: who carries another load is judged against one that does.
    whole = doubted(setups, run, names, reference, 1, tell, judged_by=references_of(tried))
    if not whole.unknowns:
        raise JounceError(
            "No number of this truck is estimated or in doubt: write what you know of one as '620 kg +- 15 kg' or '180 to 260 N/mm'."
        )
    return tables(whole, measures)
