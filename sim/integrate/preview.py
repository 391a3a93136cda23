"""A run for those who draw it again and again: prepared once, run once at the step that it needs, named where it is looked at."""

from collections import OrderedDict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

import numpy as np
import numpy.typing as npt

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.errors import JounceError
from sim.integrate.channels import named_on_demand
from sim.integrate.driven import driven_once
from sim.integrate.energy import balance
from sim.integrate.few import side_by_side
from sim.integrate.given import STEP_S, Input, sampled
from sim.integrate.many.ready import Ready
from sim.integrate.result import Run
from sim.integrate.single import Prepared

Array = npt.NDArray[np.float64]

OUTPUT_S = 4e-3
"""Time between two outputs [s], unless another is asked for: finer than a picture shows, and a quarter of the numbers."""

ROADS_KEPT = 8
PREVIEWS_KEPT = 4


class Preview:
    """One run for set-ups that change under somebody's hand; keeps the road, and set-ups that others are derived from.

    A set-up that differs from a known one in its dampers' curves alone, by the same objects elsewhere (as
    `sim.describe.replaced.with_values` gives it), is not put at rest again.

    Parameters
    ----------
    run : AnyRun
        Course, push, drop, release, launch or brake.
    output_s : float
        Time between two outputs [s], a whole number of milliseconds. Peaks between two outputs are not seen.
    like : Preview, optional
        One of another run, such as this one at another speed: set-ups that it knows are not put at rest again.

    Raises
    ------
    ValueError
        If `output_s` is no whole number of milliseconds.
    """

    def __init__(self, run: AnyRun, output_s: float = OUTPUT_S, like: "Preview | None" = None) -> None:
        self._outputs = round(output_s / STEP_S)
        if self._outputs < 1 or abs(self._outputs * STEP_S - output_s) > 1e-9:
            raise ValueError(f"output_s is {output_s} s: a whole number of milliseconds is wanted, 0.001 or more")
        self.run, self.output_s = run, self._outputs * STEP_S
        self._ready: Ready = Ready(run, None if like is None else like._ready)
        self._roads: OrderedDict[Any, Input] = OrderedDict()

    def of(self, vehicle: Vehicle, setup: str = "") -> Run:
        """Run one set-up.

        Returns
        -------
        Run
            With `coarse` None; its other fields are worked out when they are asked for.

        Raises
        ------
        JounceError
            If it cannot stand, or the run does not fit it.
        """
        outcome = self.all({setup: vehicle})[setup]
        if isinstance(outcome, JounceError):
            raise outcome
        return outcome

    def all(self, setups: Mapping[str, Vehicle]) -> dict[str, Run | JounceError]:
        """Run set-ups, two or more at a time; for one that cannot stand or that the run does not fit, say why."""
        outcomes = dict(self.each(setups))
        return {name: outcomes[name] for name in setups}

    def each(self, setups: Mapping[str, Vehicle]) -> Iterator[tuple[str, Run | JounceError]]:
        """Give the same one by one, as each is through: what is drawn of it can be worked out while the next ones run."""
        if self.run.way == "driven":  # their kernel is another
            yield from ((name, self._driven(vehicle, name)) for name, vehicle in setups.items())
            return
        ready = dict(zip(setups, self._ready.prepared(list(setups.values())), strict=True))
        yield from ((name, one) for name, one in ready.items() if isinstance(one, JounceError))
        going = [(name, one, self._given(one)) for name, one in ready.items() if isinstance(one, Prepared)]
        for place, trace in side_by_side([(one, given) for _, one, given in going]):
            name, one, given = going[place]
            yield name, self._named(one, name, trace, given)

    def _driven(self, vehicle: Vehicle, name: str) -> Run | JounceError:
        try:
            return replace(driven_once(vehicle, self.run, self.output_s), setup=name)
        except JounceError as error:
            return error  # the others are run all the same

    def _named(self, ready: Prepared, name: str, trace: Array, given: Input) -> Run:
        return named_on_demand(
            ready.setup, self.run, ready.plan, ready.standing, name, trace, given,
            lambda: balance(ready.setup, trace, given),
        )  # fmt: skip

    def _given(self, ready: Prepared) -> Input:
        """Return road and push at the steps of a set-up, kept for the next one on the same tyres and wheelbase."""
        vehicle, plan = ready.setup.vehicle, ready.plan
        tyres = [(axle.tyre.radius, axle.tyre.contact_length_driven) for _, axle in vehicle.axles]
        # All that the samples depend on but for what is the run's own: course, speed and push.
        key = (ready.cut, plan.duration_s, plan.lead_m, vehicle.wheelbase, *tyres)
        if key not in self._roads:
            given = sampled(vehicle, plan, STEP_S, ready.cut)
            self._roads[key] = replace(given, every=ready.cut * self._outputs)
            while len(self._roads) > ROADS_KEPT:
                self._roads.popitem(last=False)
        self._roads.move_to_end(key)
        return self._roads[key]


_kept: OrderedDict[tuple[int, float], Preview] = OrderedDict()
"""Previews of the runs asked for last; each holds its run, so that the id stays its own."""


def preview(vehicle: Vehicle, run: AnyRun, setup: str = "as the file has it", output_s: float = OUTPUT_S) -> Run:
    """Run one set-up once, at the step that it needs, for a picture that is drawn again and again.

    The physics is that of `simulate`, which runs twice, at half and at a quarter of this step, and so knows its error. The road
    and what else does not change are kept from call to call, by the run's identity; channels, flags and energy are worked out
    when they are asked for.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    run : AnyRun
        Course, push, drop, release, launch or brake.
    setup : str
        Its name in results.
    output_s : float
        Time between two outputs [s], a whole number of milliseconds. Peaks between two outputs are not seen.

    Returns
    -------
    Run
        With `coarse` None. Fields of a course, push, drop or release are worked out at the first look.

    Raises
    ------
    JounceError
        If the set-up cannot stand or the run does not fit it.
    ValueError
        If `output_s` is no whole number of milliseconds.

    Examples
    --------
    >>> import sim
    >>> scenario = sim.load("scenarios/two_or_four.yaml")  # doctest: +SKIP
    >>> seen = sim.preview(scenario.vehicle, scenario.run)  # doctest: +SKIP
    >>> seen.front.jounce_m.max()  # doctest: +SKIP
    """
    key = id(run), output_s
    if key not in _kept:
        _kept[key] = Preview(run, output_s)
        while len(_kept) > PREVIEWS_KEPT:
            _kept.popitem(last=False)
    _kept.move_to_end(key)
    return _kept[key].of(vehicle, setup)
