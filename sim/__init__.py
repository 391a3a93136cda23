"""jounce: a test track for solid-axle trucks.

>>> import sim
>>> scenario = sim.load("scenarios/two_or_four.yaml")            # doctest: +SKIP
>>> truck = scenario.vehicle.changed({"front.dampers.main.count": 4})  # doctest: +SKIP
>>> run = sim.simulate(truck, scenario.run)                      # doctest: +SKIP
>>> run.front.tyre_load_n.min()                                  # doctest: +SKIP
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.comparing import compare as compare
    from sim.comparison import Comparison as Comparison
    from sim.endurance import endure as endure
    from sim.errors import InputError as InputError
    from sim.errors import JounceError as JounceError
    from sim.errors import OutputError as OutputError
    from sim.errors import RunError as RunError
    from sim.files.scenario import Scenario as Scenario
    from sim.files.scenario import load as load
    from sim.files.scenario import vehicle_from as vehicle_from
    from sim.measures.table import evaluate as evaluate
    from sim.result import Run as Run
    from sim.simulation import simulate as simulate

# Public names and where they live; imported at first use, so that `jounce --help` does not wait for the compiler.
_HOMES = {
    "Comparison": "sim.comparison",
    "InputError": "sim.errors",
    "JounceError": "sim.errors",
    "OutputError": "sim.errors",
    "Run": "sim.result",
    "RunError": "sim.errors",
    "Scenario": "sim.files.scenario",
    "compare": "sim.comparing",
    "endure": "sim.endurance",
    "evaluate": "sim.measures.table",
    "load": "sim.files.scenario",
    "simulate": "sim.simulation",
    "vehicle_from": "sim.files.scenario",
}

__all__ = [
    "Comparison",
    "InputError",
    "JounceError",
    "OutputError",
    "Run",
    "RunError",
    "Scenario",
    "compare",
    "endure",
    "evaluate",
    "load",
    "simulate",
    "vehicle_from",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        from importlib import import_module

        value = getattr(import_module(_HOMES[name]), name)
        globals()[name] = value
        return value
    raise AttributeError(f"module 'sim' has no attribute '{name}'")
