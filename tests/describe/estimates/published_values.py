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


class Leaves(NamedTuple):
    """A graduated pack of which a book says what it is made of."""

    leaves: int
    full_length: int | None  # those that reach both eyes
    thickness: float  # [m]
    half: float  # of what bends, or of its length [m]
    held: float | None  # of its length by U-bolts or a band [m]


GRADUATED = {
    # Khurmi's exercise: U-bolts 80 mm apart of which he takes two thirds, thickness as it comes out (F, recomputed). His truck spring with a
    # band of 85 mm comes out at 10 mm, and his locomotive spring of 18 leaves, 3 of full length, has a band of 100 mm on 1.0 m (M).
    "Khurmi": Leaves(7, 2, 8.811e-3, 0.52333, 2 / 3 * 0.080), "Khurmi, truck": Leaves(12, 2, 10e-3, 0.4825, 0.085),
    # Bhandari's: 10 graduated leaves with the main leaf among them and 2 more of full length, thickness as it comes out (F).
    "Bhandari": Leaves(12, 3, 11.18e-3, 0.600, None),
    # TM 9-803 (M): leaves of 0.203 in. With 2.5 in held and one leaf of full length its rates below come out of them within 6 %.
    "front of a light military truck": Leaves(8, None, 0.203 * INCH, 0.5 * 36.25 * INCH, None),
    "rear of a light military truck": Leaves(9, None, 0.203 * INCH, 0.5 * 42 * INCH, None),
}  # fmt: skip
HELD = [pack.held for pack in GRADUATED.values() if pack.held] + [0.100]

LEAF_RATES = [
    # The same light military truck (TM 9-803 and its companions, M): end, pack, lbf that one spring carries at full load, lbf/in
    ("front", "front of a light military truck", 525, 260), ("rear", "rear of a light military truck", 800, 190),
]  # fmt: skip

DEFLECTIONS = [
    # Give of a spring under its full load [m], which is the ride's frequency: trucks 50 to 110 mm, off-road vehicles 60 to 130 mm
    # (Wang Wangyu, Automobile Design, table of suspensions, M)
    0.050, 0.110, 0.060, 0.130,
    # the same book in Hz: laden trucks 1.50 to 2.10 in front, 1.70 to 2.17 behind (M)
    *(GRAVITY / (2 * pi * hertz) ** 2 for hertz in (1.50, 2.10, 1.70, 2.17)),
]  # fmt: skip

RATE_OF_LEAVES = (0.90, 0.94)
"""Empirical correction of a pack's rate that is worked out leaf by leaf (Wang, Automobile Design, M)."""

DRY_STEEL = 0.42
"""Sliding friction of hard steel on hard steel, dry (Marks' Standard Handbook for Mechanical Engineers, table of coefficients of friction, M)."""

DAMPER_SIZES = [
    # QC/T 491, series of sizes of telescopic dampers (M): bore, what eyes, guide and piston take besides the stroke twice (an eye at each end; two
    # kinds of each), shortest and longest stroke [mm]
    (30, 110, 230, 280), (30, 120, 230, 280), (40, 140, 120, 280), (40, 150, 120, 280),
]  # fmt: skip

TUBE_OVER_BORE, ROD_OVER_BORE = (1.35, 1.50), (0.40, 0.50)
"""Of twin-tubes, the outside of the reserve tube, 2 mm thick, and the diameter of the rod over the bore (Wang, Automobile Design, M)."""

SPLITS = [
    # Rebound over compression: Dixon, The Shock Absorber Handbook, 2 to 3; Gillespie, Fundamentals of Vehicle Dynamics, ch. 5, about 3; Wang,
    # Automobile Design, compression 0.25 to 0.5 of rebound (all M)
    2.0, 3.0, 3.0, 1 / 0.5, 1 / 0.25,
]  # fmt: skip

OPENING_SPEEDS = (0.15, 0.30)
"""Speeds at which a damper's valves open [m/s] (Wang, Automobile Design, M): one range. 0.13 m/s is common practice, no source."""

RATED_REBOUND = (1000.0, 2800.0)
"""Rebound at 0.52 m/s for which dampers with a bore of 30 mm are rated [N] (QC/T 491, table of rated forces, M): one range."""

SEAL_LIMIT = 55.0
"""Friction of an unloaded damper below 5 mm/s that a national standard of components lets pass at most [N] (F, a public summary of it)."""

SQUEEZED_TO = (2 / 3, 1 / 2)
"""Share of its free height to which a stop is pressed where travel is counted (Wang, Automobile Design, M): one source."""

OFF_ROAD_BUMP = (0.070, 0.130)
"""Bump travel of off-road vehicles from full load to such a squeezed stop [m] (Wang, Automobile Design, M): one source."""

RUBBER_RATIOS = (0.02, 0.03, 0.06)
"""Damping ratios: plain natural rubber 0.02 to 0.03 (Naeim and Kelly, Design of Seismic Isolated Structures, M); what counts as lowly damped has
0.06 at most (EN 15129, M). Two sources."""

LINDLEY = {
    50: (2.20e6, 0.73, 0.64e6),
    55: (3.25e6, 0.64, 0.81e6),
    60: (4.45e6, 0.57, 1.06e6),
    65: (5.85e6, 0.54, 1.37e6),
    70: (7.35e6, 0.53, 1.73e6),
}
"""Natural rubber by its hardness [IRHD]: Young's modulus E₀ [Pa], k of the shape factor and shear modulus [Pa] (P. B. Lindley, Engineering Design with
Natural Rubber, table of moduli, M)."""

BELTS = [(0.20, 6000.0), (0.30, 5000.0), (0.40, 4000.0)]
"""Webbing of seat belts, three kinds (49 CFR 571.209, M): stretch at most under 2500 lbf, and least force that breaks it [lbf]."""

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
