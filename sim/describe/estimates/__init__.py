"""Estimates for what a shop does not measure: the list, in the order in which they are found.

A new estimate is a file beside these with its `RULES`, and a line here, after what it is computed from.
"""

from sim.describe.estimates import (
    bump_stop,
    centre_of_gravity,
    coil_seats,
    contact_length,
    damper_gas,
    damper_length,
    damper_mass,
    damper_mounts,
    damper_seal,
    fore_and_aft,
    guide,
    housing_inertia,
    housing_mass,
    leaf_friction,
    limit_strap,
    people,
    pitch_inertia,
    spring_rate,
    tyre_damping,
    tyre_radius,
    tyre_rate,
    valving,
    wheelbase,
    wind_up,
)
from sim.describe.estimates.estimate import Rule

ESTIMATES: tuple[Rule, ...] = (
    *wheelbase.RULES,
    *tyre_rate.RULES,
    *tyre_radius.RULES,
    *damper_length.RULES,
    *damper_mass.RULES,
    *housing_mass.RULES,
    *housing_inertia.RULES,
    *tyre_damping.RULES,
    *contact_length.RULES,
    *spring_rate.RULES,
    *leaf_friction.RULES,
    *guide.RULES,
    *wind_up.RULES,
    *fore_and_aft.RULES,
    *damper_mounts.RULES,
    *bump_stop.RULES,
    *limit_strap.RULES,
    *people.RULES,
    *centre_of_gravity.RULES,
    *pitch_inertia.RULES,
    *damper_seal.RULES,
    *valving.RULES,
    *damper_gas.RULES,
    *coil_seats.RULES,
)
"""Rules, each after those whose numbers it uses."""
