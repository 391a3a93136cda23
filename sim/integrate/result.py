"""What a run gives back: named channels in SI with their signs, energy, and its status.

A result never comes without its status: `flags` says where a run left what the model is valid for.

Signs, the same everywhere: up is positive; jounce (bump travel) is positive and measured from the
ride height of the truck as measured, not from where the set-up stands; pitch is nose-up positive;
wind-up is pinion-up positive; damper speed and force are positive in compression.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.describe.in_html import html_table
from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.describe.shown import show
from sim.integrate.columns import columns
from sim.integrate.status import Flag, in_words
from sim.integrate.traces import Array, AxleTrace, DriveTrace, Energy


@dataclass(frozen=True)
class Run:
    """One set-up over one run; all arrays share `time_s` (n,).

    A run that blew up is flagged `not_finite` and its arrays end there.

    Attributes
    ----------
    setup : str
        The set-up's name.
    vehicle : Vehicle
        The truck as set up.
    run : AnyRun
        Course, push, drop or release.
    time_s : (n,) array
        Evenly spaced from zero [s].
    bounce_m : (n,) array
        Centre of gravity of the body above where it stood [m].
    pitch_nose_up_rad : (n,) array
        Pitch from where it stood [rad].
    acceleration_m_per_s2 : dict of str to (n,) array
        Vertical acceleration, upward, at named points of the body [m/s²]; zero at rest. Always
        holds 'centre of gravity'.
    front, rear : AxleTrace
        The axles.
    energy : Energy
        The balance of the run.
    flags : tuple of Flag
        Where it left the model's validity; empty if it did not.
    released_s : float
        From here on nothing disturbs the truck [s].
    speed_m_per_s : float
        Held road speed [m/s]; zero for runs on the spot.
    acceleration_forward_m_per_s2 : dict of str to (n,) array
        Forward acceleration at the same points [m/s²], level with the road: the truck's own and, above or below the centre
        of gravity, what pitching adds. At a held speed the latter alone. Gravity is not in it.
    pitch_acceleration_rad_per_s2 : (n,) array
        Of the body, nose-up [rad/s²].
    driver_force_n : (n,) array
        Force forwards on the body that holds the speed [N]; empty where it was not kept.
    gained_m, gained_m_per_s : (n,) array
        How far and how fast the body is ahead of the run's speed [m], [m/s]: zero with an ideal driver. Empty where not kept.
    pushes_back : bool
        Whether the road was read where the wheels really are and bumps push back as well as up.
    surges : bool
        Whether the body can move to and fro along the road: not with an ideal driver.
    coasts : bool
        Whether nothing holds the speed.
    rests_within : mapping of str to float, or None
        Half of the band in which each motion of the body counts as at rest [m], [rad], where set-ups are compared; None: by itself.
    height_rest_m, nose_up_rest_rad : float
        Centre of gravity of the body above level ground, and its pitch from the truck as measured, where it stood [m], [rad].
    coarse : Run or None
        The same run at twice the step, at the same times: the difference is the numerical error of
        every measure. None in the coarse one itself.
    drive : DriveTrace or None
        Wheels, engine and way of a run that drives or brakes by its own wheels.
    """

    setup: str
    vehicle: Vehicle
    run: AnyRun
    time_s: Array
    bounce_m: Array
    pitch_nose_up_rad: Array
    acceleration_m_per_s2: dict[str, Array]
    front: AxleTrace
    rear: AxleTrace
    energy: Energy
    flags: tuple[Flag, ...]
    released_s: float
    speed_m_per_s: float
    coarse: "Run | None" = None
    drive: DriveTrace | None = None
    acceleration_forward_m_per_s2: dict[str, Array] = field(default_factory=dict)
    pitch_acceleration_rad_per_s2: Array = field(default_factory=lambda: np.zeros(0))
    driver_force_n: Array = field(default_factory=lambda: np.zeros(0))
    gained_m: Array = field(default_factory=lambda: np.zeros(0))
    gained_m_per_s: Array = field(default_factory=lambda: np.zeros(0))
    pushes_back: bool = False
    surges: bool = False
    coasts: bool = False
    height_rest_m: float = 0.0
    nose_up_rest_rad: float = 0.0
    rests_within: Mapping[str, float] | None = None

    @property
    def distance_m(self) -> Array:
        """Way that the body has gone [m] (n,)."""
        if self.drive is not None:
            return self.drive.distance_m
        nominal = self.time_s * self.speed_m_per_s
        # The body gains on the held speed or falls behind it, except with an ideal driver.
        return nominal + self.gained_m if self.gained_m.size else nominal

    @property
    def axles(self) -> tuple[tuple[str, AxleTrace], tuple[str, AxleTrace]]:
        """Both axles with their names."""
        return ("front", self.front), ("rear", self.rear)

    def __repr__(self) -> str:
        """Return what it is in one line: all of its arrays would be thousands."""
        return f"<Run {self._words}>"

    def _repr_html_(self) -> str:
        """Return it as notebooks show it: extremes of what most people ask for."""
        rows = []
        for name, axle in self.axles:
            rows += [
                _extremes(f"{name} axle travel, bump +", axle.jounce_m, "length"),
                _extremes(f"{name} tyre load", axle.tyre_load_n, "force"),
                *(
                    _extremes(f"{name} damper '{d.name}' speed, compression +", d.speed_m_per_s, "speed")
                    for d in axle.dampers.values()
                ),
            ]
        rows += [
            _extremes(f"acceleration up, {point}", values, "acceleration")
            for point, values in self.acceleration_m_per_s2.items()
        ]
        said = [f"FLAGGED: {flag.sentence}" for flag in self.flags]
        return html_table(f"Run {self._words}", said, ("", "least", "most"), rows)

    @property
    def _words(self) -> str:
        lasts = f"{self.time_s[-1]:.2f} s, {self.time_s.size} outputs" if self.time_s.size else "no outputs"
        of = self.run.words or self.run.kind
        return f"'{self.setup}', {of}: {lasts}" + (f", FLAGGED: {in_words(self.flags)}" if self.flags else "")

    def to_dataframe(self) -> Any:
        """Return its channels as a pandas DataFrame, time in seconds as its index.

        Columns are in SI and named as the run's own fields: `bounce_m`, `front.tyre_load_n`, `rear.dampers.main.force_n`.

        Raises
        ------
        ImportError
            If pandas is not installed: it is not needed for anything else.
        """
        try:
            import pandas
        except ImportError:
            raise ImportError("a table of a run needs pandas, which is not installed: pip install pandas") from None
        # Worked out, not a field, and what a course is drawn over.
        channels = {"distance_m": self.distance_m, **dict(columns(self, self.time_s.size))}
        time = channels.pop("time_s")
        return pandas.DataFrame(channels, index=pandas.Index(time, name="time_s"))


def _extremes(label: str, values: Array, quantity: str) -> tuple[str, str, str]:
    """Return a row of a table: least and most of a channel in people's units."""
    # Of a run that blew up the rest is shown all the same; its flag stands above the table.
    known = values[np.isfinite(values)]
    return (
        (label, show(float(known.min()), quantity), show(float(known.max()), quantity))
        if known.size
        else (label, "–", "–")
    )
