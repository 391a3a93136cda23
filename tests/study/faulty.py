"""Small trucks with one fault each, made by changes to the demo's, and what a command says of them."""

import csv
from contextlib import redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest
import yaml

from sim.cli import main
from sim.integrate.status import Flag

ROOT = Path(__file__).parents[2]
TRUCK = str(ROOT / "scenarios" / "vehicles" / "hut_supply_truck.yaml")

GASLESS = {
    "kind": "valves",
    "piston": {
        "diameter": "40 mm", "bleed": {"count": 2, "diameter": "1.6 mm"},
        "compression": [{"ports": {"count": 2, "diameter": "2.8 mm"}, "seat_diameter": "24 mm", "preload": "1 N", "rate": "4 N/mm"}],
        "rebound": [{"ports": {"count": 2, "diameter": "2.0 mm"}, "seat_diameter": "24 mm", "preload": "1 N", "rate": "4 N/mm"}],
    },
    "rod_diameter": "11 mm", "tube": {"kind": "monotube", "gas_pressure": "1 bar", "gas_volume": "60 cm^3"},
}  # fmt: skip
STONES = {"mass": "400 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1.1 m"}}

TRUCKS = {
    "sound": {},
    "damper_end": {"front.dampers.main.length_extended": "585 mm"},
    "cavitation": {"front.dampers.main.valving": GASLESS, "front.dampers.main.gas_force": "none"},
    "coil_bind": {"front.springs.coil.solid_length": "375 mm"},
    "stop_full": {"front.stop.gap": "20 mm", "front.stop.squeeze": "2 mm"},
    "on_stops": {"rear.stop.gap": "10 mm", "loads.stones": STONES},
    "on_straps": {"rear.strap.length": "400 mm"},
    "jounce_range": {"rear.guide.fixed_half_length": "210 mm"},
    "no_strap": {"rear.dampers.main.length_extended": "600 mm", "rear.strap": "none"},
}
"""One fault each; the first has none."""

WORDS = {
    "damper_end": "front damper 'main' met its extended end",
    "cavitation": "front damper 'main' drew gas bubbles into its oil",
    "coil_bind": "front spring 'coil' went solid",
    "stop_full": "front bump stops squeezed flat",
    "on_stops": "rear axle stands on its bump stops",
    "on_straps": "rear axle stands on taut limit straps",
    "jounce_range": "rear axle left the range of its guide",
    "no_strap": "rear damper 'main' met its extended end",
    "pitch_range": "body pitched further than the model holds",
    "numerical": "energy balance does not close",
    "not_finite": "the run blew up",
    "hot": "front damper 'main' has too hot oil",
    "cold": "front damper 'main' has too cold oil",
}
"""What a table says of each."""

SENTENCES = {
    "damper_end": "front damper 'main' was pulled to its extended end",
    "cavitation": "front damper 'main' draws gas bubbles into its oil",
    "coil_bind": "front spring 'coil' went solid",
    "stop_full": "The front bump stops were squeezed flat",
    "on_stops": "The truck stands on its rear bump stops",
    "on_straps": "The rear limit straps are taut as the truck stands",
    "jounce_range": "The rear axle left its guide's range",
    "no_strap": "The axle is without a limit strap",
}
"""What is said of each at length."""

MARKED = {
    kind: {"rear.dampers.main.rod_mass": f"{0.91 + 0.01 * n} kg"}
    for n, kind in enumerate(("pitch_range", "numerical", "not_finite"))
}
"""Set-ups whose flag the tests put in, by the mass of a rod."""

COURSE = {
    "kind": "course", "name": "one hump",
    "items": [{"kind": "flat", "length": "3 m"}, {"kind": "circular_hump", "height": "150 mm", "chord": "2.4 m"},
              {"kind": "flat", "length": "6 m"}],
}  # fmt: skip
HUMP = {"kind": "course", "speed": "25 km/h", "course": COURSE}
LAUNCH = {
    "kind": "launch", "surface": {"name": "firm rock", "friction": 0.85, "sliding": 0.62, "peak_at": "13 %"}, "watch": "0.8 s",
    "course": COURSE,
}  # fmt: skip
TRACK = {
    "kind": "track",
    "air": "20 °C",
    "stages": [{"kind": "drive", "course": COURSE, "speed": "25 km/h", "duration": "8 s"}],
}


def marked(seen):
    """Return the flag of a set-up that carries a mark."""
    mass = seen.setup.vehicle.rear.dampers["main"].rod_mass
    for kind, changes in MARKED.items():
        if mass == pytest.approx(float(changes["rear.dampers.main.rod_mass"].split()[0])):
            yield Flag(kind, None, "body", f"put in by a test: {kind}.")


def scenario_file(folder, name, run, setups, **more):
    path = folder / f"{name}.yaml"
    data = {"kind": "scenario", "name": name, "vehicle": TRUCK, "run": run, "setups": setups}
    path.write_text(yaml.safe_dump(data | more, sort_keys=False), encoding="utf-8")
    return path


def told(capsys, *arguments):
    code = main([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    # Tables fold where a line is full.
    return code, " ".join(out.split()), " ".join(err.split())


def aside(*arguments):
    """Return exit code, standard output as one line, and standard error of a command, for a fixture."""
    out, err = StringIO(), StringIO()
    with redirect_stdout(out), redirect_stderr(err):
        code = main([str(a) for a in arguments])
    return code, " ".join(out.getvalue().split()), err.getvalue()


def rows_of(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def picture(path):
    """Return the text of a picture as one line."""
    text = path.read_text(encoding="utf-8")
    return " ".join(part.split("</text>")[0].split(">")[-1] for part in text.split("<text")[1:]).replace("\xa0", " ")


RATE = ("front.springs.coil.rate", "36 N/mm", "37 N/mm", 2)
MEASURE = ("--measure", "acceleration_rms_driver")
