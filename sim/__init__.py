"""jounce: a test track for solid-axle trucks.

>>> import sim
>>> scenario = sim.load("scenarios/two_or_four.yaml")            # doctest: +SKIP
>>> truck = scenario.vehicle.changed({"front.dampers.main.count": 4})  # doctest: +SKIP
>>> run = sim.simulate(truck, scenario.run)                      # doctest: +SKIP
>>> run.front.tyre_load_n.min()                                  # doctest: +SKIP
"""

from typing import TYPE_CHECKING, Any

# For type checkers and editors, which do not see what is loaded at first use.
if TYPE_CHECKING:
    from sim.describe.files.scenario import Scenario as Scenario
    from sim.describe.files.scenario import load as load
    from sim.describe.files.vehicles import vehicle_from as vehicle_from
    from sim.errors import InputError as InputError
    from sim.errors import JounceError as JounceError
    from sim.errors import OutputError as OutputError
    from sim.errors import RunError as RunError
    from sim.integrate.preview import preview as preview
    from sim.integrate.result import Run as Run
    from sim.integrate.simulation import simulate as simulate
    from sim.measure.comparison import Comparison as Comparison
    from sim.measure.table import evaluate as evaluate
    from sim.study.compare import compare as compare
    from sim.study.endurance.drive import endure as endure

# Public names and where they live; imported at first use, so that `jounce --help` does not wait for the compiler.
_HOMES = {
    "Comparison": "sim.measure.comparison",
    "InputError": "sim.errors",
    "JounceError": "sim.errors",
    "OutputError": "sim.errors",
    "Run": "sim.integrate.result",
    "RunError": "sim.errors",
    "Scenario": "sim.describe.files.scenario",
    "compare": "sim.study.compare",
    "endure": "sim.study.endurance.drive",
    "evaluate": "sim.measure.table",
    "load": "sim.describe.files.scenario",
    "preview": "sim.integrate.preview",
    "simulate": "sim.integrate.simulation",
    "vehicle_from": "sim.describe.files.vehicles",
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
    "preview",
    "simulate",
    "vehicle_from",
]


def __getattr__(name: str) -> Any:
    if name in _HOMES:
        # Here, not above: this file is read before every command, and is to load nothing.
        from importlib import import_module

        value = getattr(import_module(_HOMES[name]), name)
        # Python asks here only for names that the module lacks: kept, it asks once a name.
        globals()[name] = value
        return value
    if name == "__version__":
        from importlib.metadata import version

        return version("jounce")
    raise AttributeError(f"module 'sim' has no attribute '{name}'")
