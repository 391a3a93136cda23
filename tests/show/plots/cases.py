"""Comparisons that are hard to draw, made from the synthetic one."""

from dataclasses import replace
from functools import cache
from types import SimpleNamespace

import numpy as np

from sim.integrate.result import Run
from sim.integrate.status import Flag
from sim.measure.comparison import Comparison
from sim.measure.table import evaluate
from tests.synthetic import still_run, synthetic_comparison, synthetic_run, with_axle

SENTENCE = (
    "The front damper 'main' reached its collapsed length of 402 mm; on the truck that breaks its "
    "mounts. Fit a longer bump stop, a shorter damper, or move its upper mount up."
)
BOTTOMED = Flag("damper_end", 3.21, "front damper 'main'", SENTENCE)
BROKE = Flag("not_finite", 1.5, "body", "The motion grew without limit; the step is too long.")


def compared(runs: dict[str, Run]) -> Comparison:
    """A comparison of these runs under these names."""
    runs = {name: replace(run, setup=name) for name, run in runs.items()}
    scenario = SimpleNamespace(name="A hard one", question=None, path=None, show=None, reference=None)
    return Comparison(scenario, runs, {name: evaluate(run) for name, run in runs.items()})


def mapped(run: Run, change) -> Run:
    """The run with every array of time changed alike; no finer twin."""
    axes = {}
    for name, axle in run.axles:
        arrays = {k: change(v) for k, v in vars(axle).items() if isinstance(v, np.ndarray)}
        dampers = {
            key: replace(
                damper,
                **{k: change(v) for k, v in vars(damper).items() if isinstance(v, np.ndarray)},
            )
            for key, damper in axle.dampers.items()
        }
        axes[name] = replace(axle, **arrays, dampers=dampers)
    points = {name: change(values) for name, values in run.acceleration_m_per_s2.items()}
    return replace(
        run, bounce_m=change(run.bounce_m), pitch_nose_up_rad=change(run.pitch_nose_up_rad),
        acceleration_m_per_s2=points, coarse=None, **axes,
    )  # fmt: skip


def without_stops(run: Run) -> Run:
    """No stops and no straps on either axle."""
    for axle in ("front", "rear"):
        run = with_axle(run, axle, jounce_at_stop_m=None, jounce_full_m=None, jounce_at_strap_m=None)
    return replace(run, coarse=None)


def _long_names() -> Comparison:
    runs = list(synthetic_comparison(4).runs.values())
    names = [
        f"{word} dampers on the front axle with the longer upper mounts, rear as it came, "
        f"half a load of firewood and $2 washers_under^each stop, trial {number}"
        for number, word in enumerate(("two", "four", "six", "no", "worn", "new", "soft", "hard"))
    ]
    return compared({name: runs[k % 4] for k, name in enumerate(names)})


def _odd_names() -> Comparison:
    run = synthetic_run()
    return compared({"$x^2$": run, "a\nb\t{c}": run, "Dämpfer – 減衰器": run, "<b>&amp;": run, " ": run})


def _different_heights() -> Comparison:
    runs = {}
    for number, run in enumerate(synthetic_comparison(4).runs.values()):
        for axle in ("front", "rear"):
            rest = 0.004 * number
            run = with_axle(
                run, axle, jounce_rest_m=rest, jounce_at_stop_m=0.08 + rest,
                jounce_full_m=None if number == 2 else 0.11 + rest,
                tyre_load_rest_n=9000.0 + 900.0 * number,
            )  # fmt: skip
        runs[f"{10 * number} kg more"] = replace(run, coarse=None)
    return compared(runs)


def _long() -> Comparison:
    def change(values: np.ndarray) -> np.ndarray:
        return np.tile(values, 10)

    runs = {}
    for name, run in synthetic_comparison(4).runs.items():
        long = mapped(run, change)
        runs[name] = replace(long, time_s=np.arange(long.bounce_m.size) * 1e-3)
    return compared(runs)


def _short() -> Comparison:
    time = np.arange(3) * 1e-3
    return compared({"three samples": still_run(time), "one sample": still_run(time[:1])})


def _broken(value: float) -> Comparison:
    good, bad = synthetic_run(), synthetic_run("bare springs")

    def change(values: np.ndarray) -> np.ndarray:
        return np.concatenate((values[:1500], np.full(10, value)))

    bad = replace(mapped(bad, change), time_s=bad.time_s[:1510], flags=(BROKE,))
    return compared({"two dampers": good, "bare springs": bad})


def _all_nan() -> Comparison:
    run = mapped(synthetic_run(), lambda values: np.full_like(values, np.nan))
    return compared({"broke at once": replace(run, flags=(BROKE,))})


def _flagged() -> Comparison:
    comparison = synthetic_comparison(4)
    runs = dict(comparison.runs)
    for name in ("two dampers", "stiffer valving"):
        runs[name] = replace(runs[name], flags=(BOTTOMED, BROKE))
    return replace(comparison, runs=runs)


def _set_names() -> Comparison:
    runs = {
        "one set": synthetic_run(),
        "other sets": synthetic_run("other sets", sets=("ahead of the axle", "behind")),
        "none": synthetic_run("bare springs"),
    }
    return compared(runs)


CASES = {
    "one": lambda: synthetic_comparison(1),
    "two": lambda: synthetic_comparison(2),
    "four": lambda: synthetic_comparison(4),
    "eight": lambda: synthetic_comparison(8),
    "ten": lambda: compared({f"number {k}": synthetic_run() for k in range(10)}),
    "no dampers": lambda: compared({"bare": synthetic_run("bare springs")}),
    "different sets": _set_names,
    "no stops": lambda: compared(
        {k: without_stops(run) for k, run in synthetic_comparison(2).runs.items()}
    ),
    "different heights": _different_heights,
    "long names": _long_names,
    "odd names": _odd_names,
    "short": _short,
    "long": _long,
    "still": lambda: compared({"still": still_run(np.arange(2000) * 1e-3)}),
    "nan in one": lambda: _broken(np.nan),
    "huge in one": lambda: _broken(1e300),
    "all nan": _all_nan,
    "flagged": _flagged,
}  # fmt: skip


@cache
def case(name: str) -> Comparison:
    """A comparison by the name of its difficulty."""
    return CASES[name]()
