"""The answer to a shaking road as CSV: frequencies down, outputs of every set-up across."""

from pathlib import Path

import numpy as np

from sim.integrate.status import in_words
from sim.linear.response import Responses
from sim.show.report.table_csv import Table


def write(responses: Responses, path: Path) -> None:
    """Write the linear view, with phase, and the full model's runs in rows of their own.

    Movements are per movement of the road, tyre loads per load at rest on the road that the record names. A run of the
    full model that broke down leaves its cells empty.
    """
    head = ["model", "frequency [Hz]"]
    for setup, run in responses.runs.items():
        for name in run.linear:
            head += [f"{setup}: {name} [-]", f"{setup}: {name} phase [deg]"]
        head += [f"{setup}: {axle} tyres off the ground [%]" for axle in run.off_ground]
        head.append(f"{setup}: flagged")
    # Every set-up is shaken at the same frequencies, so those of the first stand for all.
    first = next(iter(responses.runs.values()))
    with path.open("w", encoding="utf-8", newline="") as file:
        table = Table(file)
        table.writerow(head)
        for model, frequencies in (("linear", first.frequency_hz), ("full", first.driven_hz)):
            for place, frequency in enumerate(frequencies):
                row = [model, f"{frequency:.5g}"]
                for run in responses.runs.values():
                    values = run.linear if model == "linear" else run.driven
                    # Names in the order of the linear view, whichever model the row is of: the head was laid out by it.
                    for value in (values[name][place] for name in run.linear):
                        known = np.isfinite(value)
                        # A complex answer as people read it: size, and phase ahead of the road under the front axle.
                        row += [f"{abs(value):.6g}", f"{np.degrees(np.angle(value)):.2f}"] if known else ["", ""]
                    for share in run.off_ground.values():
                        # The linear view's tyre pulls as well as it pushes: it never leaves the ground.
                        known = model == "full" and np.isfinite(share[place])
                        row.append(f"{100 * share[place]:.4g}" if known else "")
                    row.append(in_words(run.faults[place]) if model == "full" and run.faults else "")
                table.writerow(row)
