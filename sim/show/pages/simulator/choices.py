"""What a reader of a page may choose besides sliders: speed, load, course and counts, each packed with its own standing."""

from collections.abc import Iterator, Mapping, Sequence
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
from sim.show.pages.scene import encoded, ground, scene
from sim.show.pages.simulator.bundle import Choice, bundle
from sim.show.pages.simulator.calls import Ready, Setup

MOST_FACTOR = 2.0
"""By how much sliders may multiply a damper's force: the step of the run is short enough for all of it."""

SPEEDS = (0.75, 1.0, 1.25)
"""Shares of a run's own speed that can be chosen."""

LOADS_KG = (150.0, 300.0)
"""What can be put over the rear axle besides what is aboard."""

COUNTS = (2, 4)
"""Dampers of a set that can be chosen besides its own count."""

LOAD = "more, chosen on the page"

AS_IT_IS = "as each set-up has it"


@dataclass(frozen=True)
class Menu:
    """What can be chosen.

    Attributes
    ----------
    ways : mapping of str to AnyRun
        Runs by what they are called, the run as it is first.
    loads : mapping of str to Load or None
        What is put aboard besides, by what it is called; nothing first.
    counts : tuple of int
        Of every set of dampers, besides its own.
    """

    ways: Mapping[str, AnyRun]
    loads: Mapping[str, Load | None]
    counts: tuple[int, ...]


@dataclass(frozen=True)
class Standing:
    """A set-up as it was chosen, standing: by its number among the set-ups, that of its load, and its counts of dampers, be they its own or not."""

    setup: int
    load: int
    counts: tuple[int, ...]
    own: bool
    put: Setup


def simulator(
    setups: Mapping[str, Vehicle], run: AnyRun, others: Mapping[str, AnyRun] | None = None, most_characters: int = 700_000
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
    for menu in menus(run, first.body, first.wheelbase, others or {}):
        text = _packed(setups, menu)
        if text is None or len(text) <= most_characters:
            return text
    return None


def menus(run: AnyRun, body: Body, wheelbase_m: float, others: Mapping[str, AnyRun]) -> Iterator[Menu]:
    """Yield what can be chosen, from all of it down to the run as it is: the first one that a page has room for is taken."""
    loads, nothing = _loads(body, wheelbase_m), {AS_IT_IS: None}
    own = {run.words or run.kind: run}
    yield Menu({**own, **_speeds(run), **others}, loads, COUNTS)
    yield Menu(own, loads, COUNTS)
    yield Menu(own, nothing, COUNTS)
    yield Menu(own, nothing, ())


def _speeds(run: AnyRun) -> dict[str, AnyRun]:
    speed = run.held_speed
    if run.kind != "course" or speed is None:
        return {}
    runs = [changed_run(run, "speed", f"{share * speed!r} m/s") for share in SPEEDS if share != 1.0]
    return {moved.words: moved for moved in runs}


def _loads(body: Body, wheelbase_m: float) -> dict[str, Load | None]:
    # Lashed down in the bed, no higher than the truck carries its own weight.
    up = body.centre_of_gravity.above_ground
    place = BodyPoint.model_construct(behind_front_axle=wheelbase_m, above_ground=up)
    loads: dict[str, Load | None] = {AS_IT_IS: None}
    for mass in LOADS_KG:
        words = f"{show(mass, 'mass')} more over the rear axle, {show(up, 'length')} above the ground"
        loads[words] = Load.model_construct(mass=mass, place=place, pitch_inertia=0.0)
    return loads


def _packed(setups: Mapping[str, Vehicle], menu: Menu) -> str | None:
    standing = list(_standing(setups, menu))
    if not standing:
        return None
    names = list(setups)
    drawn = [encoded(scene(one.put.vehicle, names[one.setup])) for one in standing]
    choices: list[Choice] = []
    for way, run in enumerate(menu.ways.values()):
        ready = [one.put.ready(run) for one in standing]
        # All runs of one way are cut alike: they then share the road, which is most of what is packed.
        parts = _parts(ready, standing)
        for number, (one, begun) in enumerate(zip(standing, ready, strict=True)):
            chosen = {"setup": one.setup, "way": way, "load": one.load, "counts": one.counts}
            chosen |= {"own": one.own, "scene": number}
            choices.append(Choice(chosen, begun.call(parts)))
    first = next(iter(setups.values()))
    ways = [{"words": words, "ground": encoded(ground(run, first))} for words, run in menu.ways.items()]
    return bundle(choices, setups=names, ways=ways, loads=list(menu.loads), scenes=drawn, most_factor=MOST_FACTOR)


def _standing(setups: Mapping[str, Vehicle], menu: Menu) -> Iterator[Standing]:
    """Yield every choice that a set-up can stand with."""
    run = next(iter(menu.ways.values()))
    for number, vehicle in enumerate(setups.values()):
        sets = {
            f"{axle}.dampers.{name}.count": damper.count
            for axle, part in vehicle.axles
            for name, damper in part.dampers.items()
        }
        for load, more in enumerate(menu.loads.values()):
            for counts in product(*(sorted({own, *menu.counts}) for own in sets.values())):
                moved: dict[str, Any] = {} if more is None else {"loads": {**vehicle.loads, LOAD: more}}
                moved |= {path: n for (path, own), n in zip(sets.items(), counts, strict=True) if n != own}
                try:
                    put = Setup(with_values(vehicle, moved) if moved else vehicle)
                    put.ready(run)
                except (InputError, RunError):
                    continue  # it stands on its stops, or a wheel is off the ground: then it cannot be chosen
                yield Standing(number, load, counts, counts == tuple(sets.values()), put)


def _parts(ready: Sequence[Ready], standing: Sequence[Standing]) -> int:
    """Return into how many parts an output step is cut, so that it is short enough for all that can be chosen."""
    stiffest: dict[int, tuple[int, Ready]] = {}
    for one, begun in zip(standing, ready, strict=True):
        # Most dampers on the lightest truck answer fastest: of each set-up only that one is asked.
        count = sum(one.counts)
        if one.load == 0 and count >= stiffest.get(one.setup, (0, begun))[0]:
            stiffest[one.setup] = count, begun
    return max(begun.parts(MOST_FACTOR) for _, begun in stiffest.values())
