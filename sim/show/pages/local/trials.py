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
from sim.errors import InputError, JounceError, Problem
from sim.integrate.preview import Preview
from sim.integrate.result import Run
from sim.integrate.status import in_words
from sim.linear.standing import stand
from sim.measure.measure import Measure
from sim.show.pages.called import called
from sim.show.pages.local.answers import vehicle_of
from sim.show.pages.local.at_boxes import at_card
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.frame import id_of, packed, with_id
from sim.show.pages.local.paper import ADDED, as_changes
from sim.show.pages.local.tried_measures import labelled, seat_of
from sim.show.pages.local.varied import around, number_of, ranges
from sim.show.pages.scene import frames, road, scene
from sim.study.tuning.moves import as_written

Array = npt.NDArray[np.float32]

MOST_SETUPS = 8
"""As in a scenario's file: more cannot be told apart."""

FACTOR: TypeAdapter[float] = TypeAdapter(Annotated[Number, Gt(0), Le(20)])
"""How many times its force a damper may be given."""

KEPT = 48

CURVE_M_PER_S = np.linspace(-1.0, 1.0, 81)
"""Damper speeds at which a force-speed curve is drawn, to 1 m/s (39 in/s) each way."""


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

    def run(self, document: Document, key: str, asked: Mapping[str, Any]) -> bytes:
        """Run what is asked for; return a frame of the page's socket (`packed`).

        Parameters
        ----------
        document : Document
            The truck as typed.
        key : str
            What tells it from another.
        asked : mapping
            course: a name; speed: a text; load: a text, may be empty; setups: rows of name and changes, by dotted path; have: what
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
            load = loaded(base, str(asked.get("load") or ""))
            laden = self._setup(base, key, load, {})
        except JounceError as error:
            said["problems"] = _problems(error)
            return packed(said, {})
        if isinstance(laden, JounceError):
            # Once, at its box, and not at every set-up that carries it.
            said["problems"] = [{**one, "where": "Load in the bed"} for one in _problems(laden)]
            return packed(said, {})
        arrays: dict[str, Array] = {}
        have = {str(own) for own in asked.get("have") or ()}
        rows = [dict(row) for row in asked.get("setups") or [] if isinstance(row, dict)][:MOST_SETUPS]
        if isinstance(asked.get("pull"), dict):
            said["pulled"] = self._pulled(base, key, load, rows, asked["pull"])
        setups = {
            str(number): self._setup(base, key, load, row.get("changes") or {}) for number, row in enumerate(rows)
        }
        runs = self._all(preview, setups)
        for number, row in enumerate(rows):
            outcome = runs[str(number)]
            own: dict[str, Any] = {
                "name": str(row.get("name", "")), "called": _called(row.get("changes") or {}), "problems": [], "measures": [], "flags": "", "numbers": _numbers(row.get("changes") or {}),
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

    def described(self, document: Document, asked: Mapping[str, Any]) -> tuple[AnyRun, dict[str, Vehicle]]:
        """Return the run and the set-ups that are asked for, by name.

        Raises
        ------
        JounceError
            If one of them is not understood, or there are two of one name.
        """
        base = vehicle_of(document)
        load = loaded(base, str(asked.get("load") or ""))
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
            return {
                "setup": pull["setup"],
                "changes": {},
                "gone": [],
                "why": first_in_words(error, str(pull["factor"])),
            }
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
        key = asked.get("course"), asked.get("speed")
        if key not in self._previews:
            course = self.courses.course(str(asked.get("course")))
            # Read as a file's: the speed as people write it, refused in the project's own words.
            whole = {"run": {"kind": "course", "course": course, "speed": asked.get("speed") or None}}
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
            arrays = {**moving["channels"], "acceleration_m_per_s2": upward[::every].astype(np.float32)}
            known = {
                "seat": seat, "step_s": moving["step_s"], "flags": in_words(run.flags), "truck": self._truck(run.vehicle)[0]["id"],
                "measures": [
                    {"label": label, "text": show(value, measure.quantity)}
                    for label, measure in self._measures(run)
                    # A strap that the truck does not have needs no row.
                    if np.isfinite(value := float(measure.of(run)))
                ] + [
                    {"label": f"{axle.capitalize()}: damping ratio as it stands", "text": text} for axle, text in damping_ratios(run.vehicle).items()
                ],
            }  # fmt: skip
            known["id"] = id_of(known, arrays)
            # With the run, so that its id stays its own.
            _keep(self._drawn, key, (run, (known, arrays)))
        self._drawn.move_to_end(key)
        seen: tuple[dict[str, Any], dict[str, Array]] = self._drawn[key][1]
        return seen

    def _truck(self, vehicle: Vehicle) -> tuple[dict[str, Any], dict[str, Array]]:
        """Return what is drawn of a truck whatever it runs over, and the curves of its dampers, with an id that tells it from others."""
        key = "truck", id(vehicle)
        if key not in self._drawn:
            drawn, arrays, curves = scene(vehicle), {}, []
            ratios = damping_ratios(vehicle)
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
        key = "measures", id(run.vehicle)
        if key not in self._drawn:
            _keep(self._drawn, key, (run.vehicle, labelled(run)))
        self._drawn.move_to_end(key)
        own: list[tuple[str, Measure]] = self._drawn[key][1]
        return own

    def _road(self, preview: Preview, run: Run) -> tuple[dict[str, Any], Array]:
        # Where it begins before the truck depends on the tyres; the same shape is drawn for all set-ups, and at every speed.
        key = "road", preview.run.courses, lead_m(run.vehicle)
        if key not in self._drawn:
            _keep(self._drawn, key, (preview, with_id(road(run))))
        self._drawn.move_to_end(key)
        own = self._drawn[key][1]
        return {"id": own["id"], "from_m": own["from_m"], "step_m": own["step_m"]}, own["height_m"]


def damping_ratios(vehicle: Vehicle) -> dict[str, str]:
    """Return each axle's damping ratio as the set-up stands, as it is shown; none of what cannot stand."""
    try:
        return {axle: f"{own.damping_ratio:.2f}" for axle, own in stand(vehicle).axles.items()}
    except JounceError:  # said where it is run
        return {}


def times_of(vehicle: Vehicle, axle: str, name: str) -> str:
    """Return how many times the force of the truck as it is typed a damper has, `0.5`; empty where its curve has another shape, or there was none."""
    before = dict(vehicle.reference.axles)[axle].dampers.get(name)
    if before is None:
        return ""
    now, was = (
        np.asarray(one.valving.force(CURVE_M_PER_S)) for one in (dict(vehicle.axles)[axle].dampers[name], before)
    )
    moving = np.abs(was) > 1e-6 * np.max(np.abs(was))
    shares = now[moving] / was[moving]
    # What is written in four digits differs by less than this.
    alike = shares.size > 0 and float(np.ptp(shares)) <= 0.005 * abs(float(np.mean(shares)))
    return f"{float(np.mean(shares)):.3g}" if alike else ""


def _called(changes: Mapping[str, Any]) -> dict[str, str]:
    """Return what keys of changes are called, of those of a damper's valving, which the form has no box for where it is estimated."""
    words = {path: called(path) for path in changes if ".valving" in path}
    # A whole law is no word.
    return {
        path: f"{said.rpartition(':')[0]}: force"
        if path.endswith(".valving") and isinstance(changes[path], Mapping)
        else said
        for path, said in words.items()
    }


def _keep(known: OrderedDict[Any, Any], key: Any, value: Any) -> None:
    known[key] = value
    while len(known) > KEPT:
        known.popitem(last=False)


def _problems(error: JounceError) -> list[dict[str, str]]:
    if isinstance(error, InputError):
        return [at_card(problem) for problem in error.problems]
    return [at_card(Problem(str(error)))]


def _numbers(changes: Mapping[str, Any]) -> dict[str, tuple[float, str]]:
    """Return the number and the unit of each change that is one, by its path: what a slider begins with."""
    read = {path: number_of(str(text)) for path, text in changes.items() if isinstance(text, str | int | float)}
    return {path: number for path, number in read.items() if number is not None}


def loaded(vehicle: Vehicle, typed: str) -> dict[str, Any]:
    """Return the change that puts a load into the bed: over the place of that name, or over the rear axle."""
    if not typed.strip():
        return {}
    bed = vehicle.points.get("bed")
    behind = bed.behind_front_axle if bed else vehicle.wheelbase
    above = bed.above_ground if bed else vehicle.body.centre_of_gravity.above_ground
    place = {"behind_front_axle": f"{behind!r} m", "above_ground": f"{above!r} m"}
    return {"loads.in the bed": {"mass": typed.strip(), "place": place}}
