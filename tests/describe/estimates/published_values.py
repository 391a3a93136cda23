"""Vehicles and handbook values that estimates are compared with. F: read in the source or a public copy of it. M: from memory."""

from math import pi
from typing import NamedTuple

from sim.describe.estimates.truck import GRAVITY

LB, INCH = 0.45359237, 0.0254  # NIST SP 811, appendix B.8

MEASURED_BY_LENGTH = [
    # NHTSA's inertia measurements (SAE 1999-01-1336), class examples at second hand (F): kg, length over all m, pitch inertia kg m²
    ("light pickup", 2300, 5.89, 5067), ("mid-size sport-utility", 1990, 4.96, 3561), ("compact", 1390, 4.66, 1617),
]  # fmt: skip
MEASURED_BY_WHEELBASE = [
    # class means of the same (F, second hand; the source itself is uncertain by 30 %): kg, wheelbase m, pitch inertia kg m²
    ("small car", 969, 2.524, 1632.2), ("large car", 1403, 2.679, 2749.7),
]  # fmt: skip


class Car(NamedTuple):
    """One of three cars whose data a department of transport's program of vehicle dynamics was proved with."""

    sprung: float  # kg
    unsprung: float  # of either axle [kg]
    behind: float  # of its centre behind the front axle [m]
    ahead: float  # of it ahead of the rear axle [m]
    pitch_inertia: float  # of the sprung mass [kg m²]
    rates: tuple[float, float]  # of one spring in front and behind [N/m]
    dampings: tuple[float, float]  # of one damper [N s/m]

    def ends(self):
        """Yield of each end what is above one spring [kg], its rate and its damping."""
        length = self.behind + self.ahead
        for share, rate, damping in zip((self.ahead, self.behind), self.rates, self.dampings, strict=True):
            yield 0.5 * self.sprung * share / length, rate, damping


CARS = {
    # M. Althoff, G. Würsching, Vehicle models, Technical University of Munich, 2020, table 6, and its files of parameters, BSD licence (F)
    "first": Car(1094.5427, 65.672563, 0.88392, 1.50876, 1342.2598, (21898.332, 21898.332), (1459.3903, 1459.3903)),
    "second": Car(965.71081, 63.792183, 1.1561957, 1.4227171, 1565.8179, (24453.138, 19635.505), (1786.2441, 1649.0833)),
    "van": Car(1316.6087, 81.144289, 1.1507916, 1.3211364, 2204.3227, (33577.443, 39125.021), (2405.5641, 2769.7272)),
}  # fmt: skip

MONOTUBES = [237.58, 245.44, 153.94, 61 * 4.4482216152605]
"""11 mm at 2.5 MPa, 12.5 mm at 2.0 MPa, 14 mm at 1.0 MPa (pressure times area); 200 psi on 5/8 in, 61 lbf [N]."""

TWIN_TUBES = [pressure * pi / 4 * rod**2 for pressure in (0.25e6, 0.8e6) for rod in (0.011, 0.0125)]
"""0.25 to 0.8 MPa (Dixon, The Shock Absorber Handbook, M) on rods of the monotubes above, by pressure times area [N]."""

PACKS = [
    # Of vehicles, eye to eye and width of a leaf [m]: Khurmi, A Textbook of Machine Design, exercise with 7 leaves (F), and his truck spring of
    # 12 leaves, whose width is asked for (M); Bhandari, Design of Machine Elements, rear spring of a truck (F); front and rear of a light
    # military truck, 36 1/4 and 42 in by 1 3/4 in (War Department, TM 9-803, M).
    ("Khurmi", 1.1, 0.065), ("Khurmi, truck", 1.05, None), ("Bhandari", 1.2, 0.060),
    ("front of a light military truck", 36.25 * INCH, 1.75 * INCH), ("rear of a light military truck", 42 * INCH, 1.75 * INCH),
]  # fmt: skip
WIDTHS = [width for _, _, width in PACKS if width]

CONTACTS = [
    # 205/60R15 at 2.2 bar under 4000 N, whose parameters are in Pacejka, Tire and Vehicle Dynamics, app. 3 (M). Third edition:
    # 2 R (0.671 √(F/(c R)) + 0.733 F/(c R)), R 0.3135 m, c 209.651 kN/m; second: 2 R (0.135 √(F/F₀) + 0.035 F/F₀), R 0.313 m, F₀ 4000 N.
    ("third edition", 4000.0, {"size": "205/60R15", "pressure": "2.2 bar"}, 2 * 0.3135 * (0.671 * (4000 / 209651 / 0.3135) ** 0.5 + 0.733 * 4000 / 209651 / 0.3135)),
    ("third edition, as stiff as its tyre", 4000.0, {"radius": "313.5 mm", "rate": "209.651 N/mm"}, 2 * 0.3135 * (0.671 * (4000 / 209651 / 0.3135) ** 0.5 + 0.733 * 4000 / 209651 / 0.3135)),
    ("second edition", 4000.0, {"size": "205/60R15", "pressure": "2.2 bar"}, 2 * 0.313 * (0.135 + 0.035)),
    # What a truck's tyre is on a bridge (M): EN 1991-2, table 4.8, a wheel of an axle of 70 kN, 320 mm; AASHTO LRFD 3.6.1.2.5, 10 in of one of
    # the two tyres that carry 16 kip. Diameter and pressure are those of 11R22.5 (M).
    ("EN 1991-2", 35e3, {"outside_diameter": "1.05 m", "pressure": "8.3 bar"}, 0.320),
    ("AASHTO LRFD", 8e3 * LB * GRAVITY, {"outside_diameter": "1.05 m", "pressure": "8.3 bar"}, 10 * INCH),
]  # fmt: skip

COILS = [
    # Barton and Fieldhouse, Automotive Chassis Engineering, sec. 3.13 (F): kg above one spring, N/m
    ("quarter car", 317.5, 22e3),
    # Gillespie, Fundamentals of Vehicle Dynamics, ch. 5, worked example (F): 957 lb on 143 lb/in, 730 lb on 100 lb/in
    ("a car's front", 957 * LB, 143 * LB * GRAVITY / INCH), ("a car's rear", 730 * LB, 100 * LB * GRAVITY / INCH),
    # a public course exercise (F): 1200 kg, its centre 1.0 m behind the front axle and 1.1 m ahead of the rear one, 16 and 18 kN/m
    *((f"{name} car, {end}", mass, rate) for name, car in CARS.items() for end, (mass, rate, _) in zip(("front", "rear"), car.ends(), strict=True) if name != "van" or end == "front"),
    ("course car's front", 0.5 * 1200 * 1.1 / 2.1, 16e3), ("course car's rear", 0.5 * 1200 * 1.0 / 2.1, 18e3),
]  # fmt: skip
"""Of cars on coils. The van's rear at 1.8 Hz, which is for its load, is stiffer than this holds for; two of vibration texts ride at 0.87 and 1.05 Hz in front (Rao; Thomson) and are softer than this holds for: no truck does."""

PERSONS = [75.0, 68.0 + 7.0, 68.0]
"""Of a person [kg], M: Regulation (EU) 1230/2012 (a driver), ISO 2416 (with luggage), 49 CFR 571.110 (150 lb)."""
