"""Set-ups that are tried on the page: changes to the truck, run over a course together, and what is drawn of them."""

import json
from collections import OrderedDict
from collections.abc import Mapping
from typing import Annotated, Any

import numpy as np
import numpy.typing as npt
from annotated_types import Gt, Le
from pydantic import TypeAdapter, ValidationError

from sim.describe.bare_numbers import Number
from sim.describe.files.reader import Document
from sim.describe.files.runs import run_at
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.runs.course import lead_m
from sim.describe.shown import show, system
from sim.describe.wrong import first_in_words
from sim.errors import InputError, JounceError, NeededError, Problem
from sim.integrate.preview import Preview
from sim.integrate.result import Run
from sim.integrate.status import in_words
from sim.measure.measure import Measure
from sim.show.pages.called import ADDED, called
from sim.show.pages.local.answers import see_launch, vehicle_of
from sim.show.pages.local.at_boxes import at_card
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.frame import id_of, packed, with_id
from sim.show.pages.local.half_typed import boxes_of
from sim.show.pages.local.judging import Judge, rests_on
from sim.show.pages.local.launching import at_launch, is_launch, of_ground, run_of
from sim.show.pages.local.more_load import loaded, more_load_words
from sim.show.pages.local.paper import as_changes
from sim.show.pages.local.tried_changes import names_of, numbers_of
from sim.show.pages.local.tried_measures import labelled, seat_of
from sim.show.pages.local.tried_truck import CURVE_M_PER_S, damping_ratios, driven_signals, times_of
from sim.show.pages.local.varied import around, ranges
from sim.show.pages.scene import frames, road, scene
from sim.study.tuning.moves import as_written

Array = npt.NDArray[np.float32]

MOST_SETUPS = 8
"""As in a scenario's file: more cannot be told apart."""

FACTOR: TypeAdapter[float] = TypeAdapter(Annotated[Number, Gt(0), Le(20)])
"""How many times its force a damper may be given."""

KEPT = 48


class Trials:
    """Reads what the page asks for and runs it; keeps vehicles, previews, scenes and roads that are asked for again.

    Parameters
    ----------
    courses : Courses
    """

    def __init__(self, courses: Courses) -> None:
        self.courses = courses
        self._vehicles: OrderedDict[Any, Vehicle | JounceError] = OrderedDict()
        self._previews: OrderedDict[Any, Preview] = OrderedDict()
        self._runs: OrderedDict[Any, Run] = OrderedDict()
        self._drawn: OrderedDict[Any, Any] = OrderedDict()
        self._judge = Judge()

    def run(self, document: Document, key: str, asked: Mapping[str, Any]) -> bytes:
        """Run what is asked for; return a frame of the page's socket (`packed`).

        Parameters
        ----------
        document : Document
            The truck as typed.
        key : str
            What tells it from another.
        asked : mapping
            course: a name; speed: a text; or launch: its boxes (`launching.BOXES`) as texts; load: a text, may be empty; setups: rows of name and changes, by dotted path; have: what
            the page has by the ids that it was given, of runs, of trucks and of a road: of these only the id is said again.
        """
        said: dict[str, Any] = {
            "kind": "run",
            "seq": asked.get("seq"),
            "system": system(),
            "problems": [],
            "setups": [],
            "trucks": {},
            "ranges": self._ranges(document, key, str(asked.get("speed") or "")),
        }
        try:
            base = self._vehicle((key, ""), lambda: vehicle_of(document))
            if isinstance(base, JounceError):
                raise base
            preview = self._preview(asked, document)
            load = _load(base, asked)
            laden = self._setup(base, key, load, {})
        except JounceError as error:
            said["problems"] = _problems(error, is_launch(asked))
            return packed(said, {})
        if isinstance(laden, JounceError):
            # Once, at its box, and not at every set-up that carries it.
            said["problems"] = [{**one, "where": "More load in the bed"} for one in _problems(laden)]
            return packed(said, {})
        arrays: dict[str, Array] = {}
        have = {str(own) for own in asked.get("have") or ()}
        rows = [dict(row) for row in asked.get("setups") or [] if isinstance(row, dict)][:MOST_SETUPS]
        if isinstance(asked.get("pull"), dict):
            said["pulled"] = self._pulled(base, key, load, rows, asked["pull"])
        setups = {
            str(number): self._setup(base, key, load, row.get("changes") or {}) for number, row in enumerate(rows)
        }
        whole = {
            str(row.get("name", "")): one
            for row, one in zip(rows, setups.values(), strict=True)
            if isinstance(one, Vehicle)
        }
        said["more_load"] = more_load_words(base, load, whole)
        runs = self._all(preview, setups)
        if ground := of_ground(runs.values()):
            said["problems"] = [ground]
            return packed(said, {})
        if lacking := next((one for one in runs.values() if isinstance(one, NeededError)), None):
            # Once, and not at every set-up: it is of the truck.
            said["needs"] = [{"path": path, "label": called(path)} for path in boxes_of(document.data, lacking.missing)]
            return packed(said, {})
        for number, row in enumerate(rows):
            outcome = runs[str(number)]
            own: dict[str, Any] = {
                "name": str(row.get("name", "")), "called": names_of(row.get("changes") or {}), "problems": [], "measures": [], "flags": "", "numbers": numbers_of(row.get("changes") or {}),
            }  # fmt: skip
            if isinstance(outcome, JounceError):
                own["problems"] = _problems(outcome)
            else:
                known, drawn = self._seen(outcome)
                own["id"] = known["id"]
                if own["id"] not in have:
                    own |= known
                    arrays |= {f"{number}.{name}": values for name, values in drawn.items()}
                    if own["truck"] not in have:
                        said["trucks"][own["truck"]], curves = self._truck(outcome.vehicle)
                        arrays |= {f"{own['truck']}.{name}": values for name, values in curves.items()}
            said["setups"].append(own)
        for run in runs.values():
            if isinstance(run, Run):
                said["road"], heights = self._road(preview, run)
                if said["road"]["id"] not in have:
                    arrays["road"] = heights
                break
        return packed(said, arrays)

    def judged(self, document: Document, key: str, asked: Mapping[str, Any]) -> dict[str, Any]:
        """Return what the set-ups of a launch come to, as `jounce compare` says it; takes what `run` takes.

        Raises
        ------
        JounceError
            If what is asked for cannot be run.
        """
        said = {"kind": "judge", "seq": asked.get("seq"), "sentence": "", "rests": ""}
        if not is_launch(asked):
            return said
        base, whole = self.readable(document, key, asked)
        rests = rests_on(len(base.estimates))
        return {**said, "sentence": self._judge.said(whole, self._preview(asked, document).run), "rests": rests}

    def readable(self, document: Document, key: str, asked: Mapping[str, Any]) -> tuple[Vehicle, dict[str, Vehicle]]:
        """Return the truck, and by name the set-ups that can be read; raises JounceError if the truck cannot."""
        base = self._vehicle((key, ""), lambda: vehicle_of(document))
        if isinstance(base, JounceError):
            raise base
        load = _load(base, asked)
        rows = [row for row in asked.get("setups") or [] if isinstance(row, dict)][:MOST_SETUPS]
        setups = {str(row.get("name", "")): self._setup(base, key, load, row.get("changes") or {}) for row in rows}
        return base, {name: one for name, one in setups.items() if isinstance(one, Vehicle)}

    def described(self, document: Document, asked: Mapping[str, Any]) -> tuple[AnyRun, dict[str, Vehicle]]:
        """Return the run and the set-ups that are asked for, by name.

        Raises
        ------
        JounceError
            If one of them is not understood, or there are two of one name.
        """
        base = vehicle_of(document)
        load = _load(base, asked)
        setups: dict[str, Vehicle] = {}
        for row in list(asked.get("setups") or [])[:MOST_SETUPS]:
            name, own = str(row.get("name", "")), self._setup(base, "", load, row.get("changes") or {})
            if isinstance(own, JounceError):
                raise own
            if name in setups:
                raise JounceError(f"Two set-ups are called '{name}'; give one of them another name.")
            setups[name] = own
        return self._preview(asked, document).run, setups

    def _vehicle(self, key: Any, read: Any) -> Vehicle | JounceError:
        if key not in self._vehicles:
            try:
                _keep(self._vehicles, key, read())
            except JounceError as error:
                _keep(self._vehicles, key, error)
        self._vehicles.move_to_end(key)
        return self._vehicles[key]

    def _setup(
        self, base: Vehicle, key: str, load: dict[str, Any], changes: Mapping[str, Any]
    ) -> Vehicle | JounceError:
        wanted = {**load, **as_changes(changes)}
        own = (key, json.dumps(wanted, sort_keys=True))
        return self._vehicle(own, lambda: base.changed(wanted) if wanted else base)

    def _pulled(
        self, base: Vehicle, key: str, load: dict[str, Any], rows: list[dict[str, Any]], pull: Mapping[str, Any]
    ) -> Any:
        """Pull a damper's curve at one of its points, or take its force times a factor: write what follows into its set-up's changes, and return that.

        Returns
        -------
        dict or None
            setup, changes, and gone: paths of changes that others took the place of; why, where a factor is none.
        """
        try:
            row = rows[int(pull["setup"])]
            setup = self._setup(base, key, load, row.get("changes") or {})
            if isinstance(setup, JounceError):
                return None
            axle, name = str(pull["axle"]), str(pull["damper"])
            path = f"{axle}.dampers.{name}.valving"
            before = row.get("changes") or {}
            own = [one for one in before if one == path or one.startswith(f"{path}.")]
            if "factor" in pull:
                return self._times(base, row, axle, name, pull, own)
            law = dict(setup.axles)[axle].dampers[name].valving
            more = law.pulled(int(pull["number"]), float(pull["speed_m_per_s"]), float(pull["force_n"]))
        except (KeyError, IndexError, ValueError, TypeError):
            return None  # of a set-up or a damper that was taken out meanwhile
        changes = {f"{path}.{step}": value for step, value in more.items()}
        if path in before or name == ADDED:
            # The whole law is one change already: two of them, one inside the other, would be read in any order.
            whole = setup.changed(changes)
            changes = {path: as_written(dict(whole.axles)[axle].dampers[name].valving)}
        row["changes"] = {**before, **changes}
        return {"setup": pull["setup"], "changes": changes, "gone": []}

    def _times(
        self, base: Vehicle, row: dict[str, Any], axle: str, name: str, pull: Mapping[str, Any], own: list[str]
    ) -> dict[str, Any]:
        """Write a damper's law with its force times a factor of what the truck has, as one change; a factor of 1 takes the change out."""
        path = f"{axle}.dampers.{name}.valving"
        try:
            factor = FACTOR.validate_python(str(pull["factor"]).strip())
        except ValidationError as error:
            why = first_in_words(error, str(pull["factor"]))
            return {"setup": pull["setup"], "changes": {}, "gone": [], "why": why}
        law = dict(base.axles)[axle].dampers[name].valving.scaled(factor)
        changes = {} if factor == 1.0 else {path: as_written(law)}
        rest = {key: value for key, value in (row.get("changes") or {}).items() if key not in own}
        row["changes"] = {**rest, **changes}
        return {"setup": pull["setup"], "changes": changes, "gone": [one for one in own if one not in changes]}

    def _ranges(self, document: Document, key: str, speed: str) -> dict[str, tuple[str, str]]:
        own = "ranges", key, system()
        if own not in self._drawn:
            _keep(self._drawn, own, ranges(document.data))
        self._drawn.move_to_end(own)
        # The speed is of the run: it moves without the truck.
        ends = around(speed)
        return {**self._drawn[own], **({"run.speed": ends} if ends is not None else {})}

    def _preview(self, asked: Mapping[str, Any], document: Document) -> Preview:
        if is_launch(asked):
            see_launch(document)
        key = (
            json.dumps(asked["launch"], sort_keys=True)
            if is_launch(asked)
            else (asked.get("course"), asked.get("speed"))
        )
        if key not in self._previews:
            # Read as a file's: numbers as people write them, refused in the project's own words.
            whole = {"run": run_of(asked, self.courses)}
            run = run_at(Document(whole, document.path), document.path.parent, [])
            # Like the one before: another speed, or another course.
            before = next(reversed(self._previews.values()), None)
            _keep(self._previews, key, Preview(run, like=before))
        self._previews.move_to_end(key)
        return self._previews[key]

    def _all(self, preview: Preview, setups: Mapping[str, Vehicle | JounceError]) -> dict[str, Run | JounceError]:
        """Run those that were not run before."""
        known = {name: self._runs.get((id(preview), id(one))) for name, one in setups.items()}
        new = {name: one for name, one in setups.items() if isinstance(one, Vehicle) and known[name] is None}
        outcomes: dict[str, Run | JounceError] = {}
        for name, outcome in preview.each(new):
            outcomes[name] = outcome
            if isinstance(outcome, Run):
                self._seen(outcome)  # while the others still run
        for name, one in setups.items():
            if isinstance(one, JounceError):
                outcomes[name] = one
            elif (before := known[name]) is not None:
                outcomes[name] = before
            # The run holds its vehicle, and `_previews` the preview, so that their ids stay their own.
            elif isinstance(run := outcomes[name], Run):
                _keep(self._runs, (id(preview), id(one)), run)
        return outcomes

    def _seen(self, run: Run) -> tuple[dict[str, Any], dict[str, Array]]:
        """Return what the page shows of a run and what it draws, worked out once: of set-ups that did not change it is known."""
        key = "seen", id(run), system()
        if key not in self._drawn:
            moving = frames(run)
            every = round(moving["step_s"] / float(run.time_s[1] - run.time_s[0]))
            seat = seat_of(run)
            # As an accelerometer there would show it; the ride of the table is weighted.
            upward = run.acceleration_m_per_s2[seat]
            more = {"acceleration_m_per_s2": upward} | driven_signals(run)
            arrays = {**moving["channels"], **{name: one[::every].astype(np.float32) for name, one in more.items()}}
            known = {
                "seat": seat, "step_s": moving["step_s"], "flags": in_words(run.flags), "truck": self._truck(run.vehicle)[0]["id"],
                "measures": [
                    {"label": label, "text": show(value, measure.quantity)}
                    for label, measure in self._measures(run)
                    # A strap that the truck does not have needs no row.
                    if np.isfinite(value := float(measure.of(run)))
                ] + [
                    {"label": f"{axle.capitalize()}: damping ratio as it stands", "text": text} for axle, text in self._ratios(run.vehicle).items()
                ],
            }  # fmt: skip
            known["id"] = id_of(known, arrays)
            # With the run, so that its id stays its own.
            _keep(self._drawn, key, (run, (known, arrays)))
        self._drawn.move_to_end(key)
        seen: tuple[dict[str, Any], dict[str, Array]] = self._drawn[key][1]
        return seen

    def _ratios(self, vehicle: Vehicle) -> dict[str, str]:
        """Return each axle's damping ratio as a set-up stands, worked out once: the table and its card both say it."""
        key = "ratios", id(vehicle)
        if key not in self._drawn:
            _keep(self._drawn, key, (vehicle, damping_ratios(vehicle)))
        self._drawn.move_to_end(key)
        ratios: dict[str, str] = self._drawn[key][1]
        return ratios

    def _truck(self, vehicle: Vehicle) -> tuple[dict[str, Any], dict[str, Array]]:
        """Return what is drawn of a truck whatever it runs over, and the curves of its dampers, with an id that tells it from others."""
        key = "truck", id(vehicle)
        if key not in self._drawn:
            drawn, arrays, curves = scene(vehicle), {}, []
            ratios = self._ratios(vehicle)
            for axle, part in vehicle.axles:
                for name, damper in part.dampers.items():
                    arrays[f"{axle}.{name}.curve_n"] = np.asarray(damper.valving.force(CURVE_M_PER_S), np.float32)
                    handles = [list(handle) for handle in damper.valving.handles]
                    curves.append(
                        {"axle": axle, "name": name, "count": damper.count, "handles": handles, "times": times_of(vehicle, axle, name), "before": name in dict(vehicle.reference.axles)[axle].dampers, "ratio": ratios.get(axle, "")}
                    )  # fmt: skip
            # The scene has an id of its own: most changes leave it as it is.
            known: dict[str, Any] = {"curves": curves, "scene_id": id_of(drawn, {})}
            known = {**known, "scene": drawn, "id": id_of(known, arrays)}
            _keep(self._drawn, key, (vehicle, (known, arrays)))
        self._drawn.move_to_end(key)
        own: tuple[dict[str, Any], dict[str, Array]] = self._drawn[key][1]
        return own

    def _measures(self, run: Run) -> list[tuple[str, Measure]]:
        """Return the measures that are shown of a truck's runs, with their labels."""
        key = "measures", id(run.vehicle), run.drive is not None
        if key not in self._drawn:
            _keep(self._drawn, key, (run.vehicle, labelled(run)))
        self._drawn.move_to_end(key)
        own: list[tuple[str, Measure]] = self._drawn[key][1]
        return own

    def _road(self, preview: Preview, run: Run) -> tuple[dict[str, Any], Array]:
        # Where it begins before the truck depends on the tyres; the same shape is drawn for all set-ups, and at every speed.
        # A launch has a level stretch of its own before its course, and a slope.
        key = "road", id(preview.run) if run.drive else preview.run.courses, lead_m(run.vehicle)
        if key not in self._drawn:
            _keep(self._drawn, key, (preview, with_id(road(run))))
        self._drawn.move_to_end(key)
        own = self._drawn[key][1]
        return {"id": own["id"], "from_m": own["from_m"], "step_m": own["step_m"], "climb_rad": own["climb_rad"]}, own[
            "height_m"
        ]


def _keep(known: OrderedDict[Any, Any], key: Any, value: Any) -> None:
    known[key] = value
    while len(known) > KEPT:
        known.popitem(last=False)


def _load(base: Vehicle, asked: Mapping[str, Any]) -> dict[str, Any]:
    """Return the change that puts the load aboard that all set-ups carry."""
    rows = [row for row in asked.get("setups") or [] if isinstance(row, dict)]
    return loaded(base, str(asked.get("load") or ""), rows)


def _problems(error: JounceError, of_launch: bool = False) -> list[dict[str, str]]:
    if isinstance(error, InputError):
        if of_launch and all(problem.where.startswith("run") for problem in error.problems):
            return [at_launch(problem) for problem in error.problems]
        return [at_card(problem) for problem in error.problems]
    return [at_card(Problem(str(error)))]
