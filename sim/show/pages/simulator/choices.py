"""What a reader of a page may choose besides sliders: speed, load, course and counts, each packed with its own standing."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from itertools import product
from typing import Any

from sim.describe.parts.body import Body, Load
from sim.describe.parts.places import BodyPoint
from sim.describe.parts.vehicle import Vehicle
from sim.describe.replaced import with_values
from sim.describe.runs import AnyRun
from sim.describe.runs.changed import changed_run
from sim.describe.shown import show
from sim.errors import InputError, RunError
from sim.lower.lowering import lower
from sim.show.pages.scene import encoded, ground, scene
from sim.show.pages.simulator.bundle import Choice, bundle
from sim.show.pages.simulator.calls import Ready, Setup

MOST_FACTOR = 2.0
"""By how much sliders may multiply a damper's force: the step of the run is short enough for all of it."""

SPEEDS = (0.75, 1.25)
"""Shares of a run's own speed that can be chosen besides it."""

LOADS_KG = (150.0, 300.0)
"""What can be put over the rear axle besides what is aboard."""

COUNTS = (2, 4)
"""Dampers of a set that can be chosen besides its own count."""

LOAD = "more, chosen on the page"

AS_IT_IS = "as each set-up has it"


@dataclass(frozen=True)
class Standing:
    """A set-up as it was chosen, standing.

    Attributes
    ----------
    setup, load : int
        Which of the set-ups, with which of the loads.
    counts : tuple of int
        Of its sets of dampers.
    own : bool
        Whether they are its own.
    put : Setup
    drawn : dict
        Its scene.
    """

    setup: int
    load: int
    counts: tuple[int, ...]
    own: bool
    put: Setup
    drawn: Any


def simulator(
    setups: Mapping[str, Vehicle], run: AnyRun, others: Mapping[str, AnyRun] | None = None, most_characters: int = 450_000
) -> str | None:  # fmt: skip
    """Return what a page needs to run set-ups again by itself, as one text for static/kernel.js; None if it cannot.

    Parameters
    ----------
    setups : mapping of str to Vehicle
    run : AnyRun
        What all of them go through. Of hours of track there is no such text: they are many runs, whose dampers warm meanwhile.
    others : mapping of str to AnyRun, optional
        Further runs that can be chosen, by name.
    most_characters : int
        Room that the page has for it: where all needs more, less can be chosen.
    """
    if run.way == "hours":
        return None
    first = next(iter(setups.values()))
    loads = _loads(first.body, first.wheelbase)
    own = {run.words or run.kind: run}
    standing = list(_standing(setups, run, loads))
    if not standing:
        return None
    for ways, taken in (
        ({**own, **_speeds(run, first), **(others or {})}, standing),
        (own, standing),
        (own, [one for one in standing if one.load == 0]),
        (own, [one for one in standing if one.load == 0 and one.own]),
    ):
        text = _packed(setups, ways, list(loads), taken)
        if len(text) <= most_characters:
            return text
    return None


def _speeds(run: AnyRun, vehicle: Vehicle) -> dict[str, AnyRun]:
    speed = run.held_speed
    if run.way != "held" or speed is None:
        return {}
    runs = {}
    for share in SPEEDS:
        with suppress(InputError, RunError):  # past what a run may be asked for, or longer than one may be
            moved = changed_run(run, "speed", f"{share * speed!r} m/s")
            moved.plan(lower(vehicle))
            runs[moved.words] = moved
    return runs


def _loads(body: Body, wheelbase_m: float) -> dict[str, Load | None]:
    # Lashed down in the bed, no higher than the truck carries its own weight.
    up = body.centre_of_gravity.above_ground
    place = BodyPoint.model_construct(behind_front_axle=wheelbase_m, above_ground=up)
    loads: dict[str, Load | None] = {AS_IT_IS: None}
    for mass in LOADS_KG:
        words = f"{show(mass, 'mass')} more over the rear axle, {show(up, 'length')} above the ground"
        loads[words] = Load.model_construct(mass=mass, place=place, pitch_inertia=0.0)
    return loads


def _packed(
    setups: Mapping[str, Vehicle], ways: Mapping[str, AnyRun], loads: Sequence[str], standing: Sequence[Standing]
) -> str:
    choices: list[Choice] = []
    for way, run in enumerate(ways.values()):
        ready = [(number, one, begun) for number, one in enumerate(standing) if (begun := _begun(one.put, run))]
        # All runs of one way are cut alike: they then share the road, which is most of what is packed.
        parts = _parts(ready)
        for number, one, begun in ready:
            chosen = {"setup": one.setup, "way": way, "load": one.load, "counts": one.counts}
            chosen |= {"own": one.own, "scene": number}
            choices.append(Choice(chosen, begun.call(parts)))
    first = next(iter(setups.values()))
    described = [{"words": words, "ground": encoded(ground(run, first))} for words, run in ways.items()]
    return bundle(
        choices, setups=list(setups), ways=described, loads=loads[: 1 + max(one.load for one in standing)],
        scenes=[one.drawn for one in standing], most_factor=MOST_FACTOR,
    )  # fmt: skip


def _standing(setups: Mapping[str, Vehicle], run: AnyRun, loads: Mapping[str, Load | None]) -> Iterator[Standing]:
    """Yield every choice that a set-up can stand with where a run begins."""
    for number, (name, vehicle) in enumerate(setups.items()):
        sets = {
            f"{axle}.dampers.{which}.count": damper.count
            for axle, part in vehicle.axles
            for which, damper in part.dampers.items()
        }
        for load, more in enumerate(loads.values()):
            for counts in product(*(sorted({own, *COUNTS}) for own in sets.values())):
                moved: dict[str, Any] = {} if more is None else {"loads": {**vehicle.loads, LOAD: more}}
                moved |= {path: n for (path, own), n in zip(sets.items(), counts, strict=True) if n != own}
                try:
                    put = Setup(with_values(vehicle, moved) if moved else vehicle)
                except (InputError, RunError):
                    continue
                if _begun(put, run) is None:
                    continue
                own = counts == tuple(sets.values())
                yield Standing(number, load, counts, own, put, encoded(scene(put.vehicle, name)))


def _begun(put: Setup, run: AnyRun) -> Ready | None:
    """Return a set-up where a run begins; None if it cannot stand, or the run does not fit it: then it cannot be chosen."""
    try:
        return put.ready(run)
    except RunError:
        return None


def _parts(ready: Sequence[tuple[int, Standing, Ready]]) -> int:
    """Return into how many parts an output step is cut, so that it is short enough for all that can be chosen."""
    stiffest: dict[int, tuple[tuple[int, int], Ready]] = {}
    for _, one, begun in ready:
        # Most dampers on the lightest truck answer fastest: of each set-up only that one is asked.
        rank = (-one.load, sum(one.counts))
        if one.setup not in stiffest or rank > stiffest[one.setup][0]:
            stiffest[one.setup] = rank, begun
    return max((begun.parts(MOST_FACTOR) for _, begun in stiffest.values()), default=1)
