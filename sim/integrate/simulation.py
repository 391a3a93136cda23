"""One set-up through one run: lower, put at rest, integrate, name the channels, check, and do it again finer."""

from dataclasses import replace

from sim.describe.parts.vehicle import Vehicle
from sim.describe.runs import AnyRun
from sim.integrate.apart import LONG, apart
from sim.integrate.driven import simulate_driven
from sim.integrate.given import STEP_S
from sim.integrate.result import Run
from sim.integrate.single import once, prepared_at
from sim.lower.lowering import lower

COMPARED = 2, 4
"""Into how many parts a step that a set-up needs is cut in the two runs that are compared; the second one is shown."""


def simulate(vehicle: Vehicle, run: AnyRun, setup: str = "as the file has it", step_s: float = STEP_S) -> Run:
    """Run one set-up at half the step that it needs, and once more at a quarter; the finer run is what is returned.

    Parameters
    ----------
    vehicle : Vehicle
        The set-up.
    run : AnyRun
        Course, push, drop, release, launch or brake.
    setup : str
        Its name in results.
    step_s : float
        Output step [s]; the integrator takes it whole, or cuts it where the set-up needs it.

    Raises
    ------
    RunError
        If the set-up cannot stand or the run does not fit it.
    """
    lowered = lower(vehicle)
    plan = run.plan(lowered)
    # Launches and stops have more states and another integrator; they compare other steps too.
    if plan.driving is not None:
        return simulate_driven(lowered, plan, run, setup, step_s)
    ready = prepared_at(lowered, plan, step_s)
    # Both from one start, so that the difference of two measures is the step's alone. The coarser one does no step again that
    # meets a kink, as blocks do none: what is said of the finer one's error is then no less than it is.
    # The finer one first: beside what is kept of it the coarser one needs half as much road.
    fine = once(ready, run, setup, step_s, ready.cut * COMPARED[1])
    if fine.time_s.size > LONG:
        fine = apart(fine)
    coarse = once(ready, run, setup, step_s, ready.cut * COMPARED[0], kink_m=0.0)
    return replace(fine, coarse=coarse)
