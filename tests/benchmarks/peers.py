"""Integrators from the registry on the same 10 s of road: each gets the same equations and the same sampled road.

Every maker returns a function of a tolerance that returns a function to be timed, which returns states (1 kHz, STATES).
One that is not installed says so, by ImportError.
"""

from collections.abc import Callable

import numba
import numpy as np
from scipy.integrate import solve_ivp

from sim.kernel import integrate
from sim.kernel import layout as at
from sim.lower.packed import pack
from tests.benchmarks.plain import copied, traceable
from tests.benchmarks.test_speed import STEPS, by_spacing, right_hand_side

TIMES = np.arange(STEPS + 1) * 1e-3
LONGEST_S = 0.02  # so that none steps over a bump


def given_to(setup, given):
    """The arguments of `right_hand_side` behind time and state."""
    packed = pack([setup], 1)
    return (
        packed.memory, packed.lines, packed.lines_front, packed.knots, packed.first_group,
        given.road, given.nominal, by_spacing(given), given.step_s, np.zeros(0), np.zeros(packed.lines.shape[0]),
    )  # fmt: skip


class Table(dict[tuple[int, ...], float]):
    """An array's numbers as Python's own, by their places, and its shape."""

    def __init__(self, array) -> None:
        super().__init__((place, float(array[place])) for place in np.ndindex(array.shape))
        self.shape = array.shape


def scipy_lsoda(rhs, fixed, start, tolerance):
    def go():
        found = solve_ivp(
            rhs, (0.0, TIMES[-1]), start, "LSODA", TIMES,
            args=fixed, rtol=tolerance, atol=tolerance * 1e-2, max_step=LONGEST_S,
        )  # fmt: skip
        assert found.success
        return found.y.T

    return go


def scipy_compiled(setup, start, given):
    fixed = given_to(setup, given)
    right_hand_side(0.0, start, *fixed)
    return lambda tolerance: scipy_lsoda(right_hand_side, fixed, start, tolerance)


def interpreted(setup, given):
    """The same text of the equations in plain Python, on Python's own numbers, which it handles fastest: f(t, y)."""
    derivative = copied(integrate._derivative, {}, lambda function: function, {})
    m, lines, front, knots, first, road, nominal, spacing, step, pair, _ = given_to(setup, given)
    memory = m.tolist()
    tables, curves, samples = (Table(table) for table in (lines, knots, road))

    def rhs(t, y):
        memory[: at.STATES] = y.tolist()
        derivative(
            memory, tables, front, curves, first, samples, nominal + t / step, spacing, 1.0 / step, 0.0, pair, None
        )
        return memory[at.RATE : at.RATE + at.STATES]

    return rhs


def scipy_interpreted(setup, start, given):
    rhs = interpreted(setup, given)
    return lambda tolerance: scipy_lsoda(rhs, (), start, tolerance)


def numbalsoda(setup, start, given):
    """LSODA in C++ with a compiled callback: nothing of Python between steps."""
    from numbalsoda import lsoda, lsoda_sig

    m, lines, front, knots, first, road, nominal, spacing, step, pair, pair_rate = given_to(setup, given)
    parts = [m, lines.ravel(), knots.ravel(), first.astype(float), road.ravel()]
    ends = np.cumsum([part.size for part in parts])
    e0, e1, e2, e3, e4 = map(int, ends)
    rows, columns, groups, wide, samples, cubic = *lines.shape, *knots.shape, *road.shape[1:]
    states = at.STATES

    @numba.cfunc(lsoda_sig)
    def rhs(t, u, du, p):
        data = numba.carray(p, e4)
        first = data[e2:e3].astype(np.int64)
        rates_now = right_hand_side(
            t, numba.carray(u, states), data[:e0], data[e0:e1].reshape((rows, columns)), front,
            data[e1:e2].reshape((groups, wide)), first, data[e3:e4].reshape((2, samples, cubic)),
            nominal, spacing, step, np.zeros(0), np.zeros(rows),
        )  # fmt: skip
        out = numba.carray(du, states)
        for i in range(states):
            out[i] = rates_now[i]

    data = np.concatenate(parts)

    def at_tolerance(tolerance):
        def go():
            states, success = lsoda(rhs.address, start, TIMES, data, tolerance, tolerance * 1e-2, 100_000)
            assert success
            return states

        return go

    return at_tolerance


def cvode(setup, start, given, method="BDF"):
    """SUNDIALS' CVODE through scikit-sundae, which calls a compiled right-hand side from Python."""
    from sksundae.cvode import CVODE

    fixed = given_to(setup, given)
    right_hand_side(0.0, start, *fixed)

    def rhs(t, y, yp):
        yp[:] = right_hand_side(t, y.copy(), *fixed)

    def at_tolerance(tolerance):
        solver = CVODE(
            rhs, method=method, rtol=tolerance, atol=tolerance * 1e-2, max_step=LONGEST_S, max_num_steps=100_000
        )

        def go():
            found = solver.solve(TIMES, start)
            assert found.success
            return found.y

        return go

    return at_tolerance


def cvode_adams(setup, start, given):
    return cvode(setup, start, given, "Adams")


def diffrax(setup, start, given):
    """Diffrax's Tsit5 on the equations' own text, traced by JAX; adaptive, in double precision, on one core or more."""
    import diffrax as d
    import jax
    import jax.numpy as jnp

    jax.config.update("jax_enable_x64", True)
    m, lines, front, knots, first, road, nominal, spacing, step, pair, _ = given_to(setup, given)
    # What the text asks of the road: the number of a sample, held between two others.
    names = {
        "select": _select(jnp), "sqrt": jnp.sqrt, "floor": lambda x: jnp.floor(x).astype(int), "min": jnp.minimum, "max": jnp.maximum,
    }  # fmt: skip
    text = traceable(integrate._derivative, names, {})
    samples = jnp.asarray(road)

    def field(t, y, _):
        memory = list(m)
        memory[: at.STATES] = [y[k] for k in range(at.STATES)]
        text(memory, lines, front, knots, first, samples, nominal + t / step, spacing, 1.0 / step, 0.0, pair, None)
        return jnp.stack([jnp.asarray(memory[at.RATE + k], float) for k in range(at.STATES)])

    begin, times = jnp.asarray(start), jnp.asarray(TIMES)

    @jax.jit
    def solved(tolerance):
        control = d.PIDController(rtol=tolerance, atol=tolerance * 1e-2, dtmax=LONGEST_S)
        return d.diffeqsolve(
            d.ODETerm(field), d.Tsit5(), 0.0, TIMES[-1], 1e-4, begin,
            saveat=d.SaveAt(ts=times), stepsize_controller=control, max_steps=None,
        ).ys  # fmt: skip

    return lambda tolerance: lambda: np.asarray(solved(tolerance))


def _select(jnp) -> Callable:
    def select(test, a, b):
        if isinstance(test, bool | np.bool_):
            return a() if test else b()
        return jnp.where(test, a(), b())

    return select


PEERS = {
    "SciPy LSODA, interpreted right-hand side": scipy_interpreted,
    "SciPy LSODA, compiled right-hand side": scipy_compiled,
    "numbalsoda (LSODA, compiled callback)": numbalsoda,
    "CVODE BDF (scikit-sundae)": cvode,
    "CVODE Adams (scikit-sundae)": cvode_adams,
    "diffrax Tsit5": diffrax,
}
"""By what they are called in the table."""

SLOW = {"SciPy LSODA, interpreted right-hand side"}
"""Whose cheapest tolerance is taken from the same method compiled, since it takes the same steps."""
