"""Files of test machines: any order, unit, delimiter, decimal mark and sign; loops; what is asked for; what is refused."""

import itertools
from math import pi

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError

from sim.describe.files.scenario import load
from sim.describe.parts.dampers.laws import Law, Measured
from sim.lower.lowering import lower

ADAPTER = TypeAdapter(Law)
BUMP = np.array([[0.05, 130.0], [0.13, 260.0], [0.26, 390.0], [0.52, 610.0]])
REBOUND = np.array([[0.05, 350.0], [0.13, 640.0], [0.26, 930.0], [0.52, 1300.0]])
GAS = 110.0
UNITS = {
    "speed": {"m/s": 1.0, "mm/s": 1e-3, "in/s": 0.0254, "ips": 0.0254},
    "force": {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605, "lb": 4.4482216152605, "kgf": 9.80665},
}


def measured(folder, text, encoding="utf-8", **given):
    (folder / "machine.csv").write_bytes(text.encode(encoding))
    return ADAPTER.validate_python({"kind": "measured", "file": "machine.csv", **given}, context={"folders": (folder,)})


def curve(law):
    return (
        np.column_stack([law.reduced.compression.speed, law.reduced.compression.force]),
        np.column_stack([law.reduced.rebound.speed, law.reduced.rebound.force]),
    )


def number(value, decimal):
    return f"{value:.9g}".replace(".", decimal)


def points_file(delimiter, decimal, speed_unit, force_unit, reverse, speed_sign, force_sign, gas=GAS):
    """A file of signed points with the gas in it, in a machine's own convention."""
    rows = [(0.0, gas)] + [(v, f + gas) for v, f in BUMP] + [(-v, gas - f) for v, f in REBOUND]
    head = [f"Velocity [{speed_unit}]", f"Load [{force_unit}]", "Temp"]
    lines = []
    for v, f in rows:
        v, f = speed_sign * v / UNITS["speed"][speed_unit], force_sign * f / UNITS["force"][force_unit]
        lines.append([number(v, decimal), number(f, decimal), number(21.5, decimal)])
    table = [head, *lines]
    if reverse:
        table = [list(reversed(row)) for row in table]
    return "\n".join(["Damper 12, machine 3", "run in 5 strokes", *(delimiter.join(row) for row in table)]) + "\n"


FORMS = [
    (d, m) for d, m in itertools.product((",", ";", "\t", " ; "), (".", ",")) if d != m
]  # fmt: skip


@pytest.mark.parametrize(("delimiter", "decimal"), FORMS)
@pytest.mark.parametrize("reverse", [False, True])
@pytest.mark.parametrize(
    ("speed_unit", "force_unit"), [("m/s", "N"), ("in/s", "lbf"), ("mm/s", "kgf"), ("ips", "lb"), ("m/s", "kN")]
)
def test_any_order_unit_delimiter_and_decimal_mark(delimiter, decimal, reverse, speed_unit, force_unit, tmp_path):
    law = measured(tmp_path, points_file(delimiter, decimal, speed_unit, force_unit, reverse, 1, 1))
    for found, wanted in zip(curve(law), (BUMP, REBOUND), strict=True):
        assert found == pytest.approx(wanted, rel=1e-6)
    assert law.gas[0] == pytest.approx(GAS, rel=1e-6)
    assert ("decimal comma" in law.machine.words) == (decimal == ",")


@pytest.mark.parametrize(
    "head",
    [
        "in/s,lbf",
        "speed in/s,force lbf",
        "Speed / in/s,Force / lbf",
        "speed in in/s,force in lbf",
        "Speed, in/s;Force, lbf",
        "speed (in/s),force [lbf]",
    ],
)
def test_a_head_that_is_a_unit_or_ends_with_one(head, tmp_path):
    """By hand: 10 in/s are 0.254 m/s, 110 lbf are 489.3 N."""
    between = ";" if ";" in head else ","
    rows = [(2, 30), (4, 50), (10, 110), (-2, -60), (-4, -90), (-10, -180)]
    text = "\n".join([head, *(f"{v}{between}{f}" for v, f in rows)]) + "\n"
    law = measured(tmp_path, text, positive="compression")
    compression, _ = curve(law)
    np.testing.assert_allclose(compression[-1], [0.254, 489.304], rtol=1e-5)


@pytest.mark.parametrize(("speed_sign", "force_sign"), list(itertools.product((1, -1), (1, -1))))
def test_signs_are_found_from_gas_and_work(speed_sign, force_sign, tmp_path):
    """Gas pushes out, so force at rest tells compression; a damper takes energy, so speed follows."""
    law = measured(tmp_path, points_file(",", ".", "m/s", "N", False, speed_sign, force_sign))
    for found, wanted in zip(curve(law), (BUMP, REBOUND), strict=True):
        assert found == pytest.approx(wanted, rel=1e-6)
    said = " ".join(law.reduced.words)
    assert (
        f"positive force in the file is {'compression' if force_sign > 0 else 'rebound'}, found from the gas force"
        in said
    )
    assert ("opposite signs" in said) == (speed_sign != force_sign)


@pytest.mark.parametrize("force_sign", [1, -1])
def test_without_gas_the_sign_is_asked_for(force_sign, tmp_path):
    text = points_file(",", ".", "m/s", "N", False, force_sign, force_sign, gas=0.0)
    with pytest.raises(ValidationError, match=r"does not say which sign is compression.*say positive: compression or"):
        measured(tmp_path, text)
    law = measured(tmp_path, text, positive="compression" if force_sign > 0 else "rebound")
    assert curve(law)[1] == pytest.approx(REBOUND, rel=1e-6)


def test_columns_of_their_own_for_each_direction(tmp_path):
    rows = "\n".join(f"{f:g}\t{v:g}\t{r:g}" for (v, f), (_, r) in zip(BUMP, REBOUND, strict=True))
    law = measured(tmp_path, f"Bump (N)\tSpeed (m/s)\tRebound (N)\n{rows}\n")
    assert [c.meaning for c in law.machine.columns] == ["compression force", "speed", "rebound force"]
    for found, wanted in zip(curve(law), (BUMP, REBOUND), strict=True):
        assert found == pytest.approx(wanted)
    rows = "\n".join(f"{v:g};C;{f:g}\n{v:g};R;{-r:g}" for (v, f), (_, r) in zip(BUMP, REBOUND, strict=True))
    law = measured(tmp_path, f"v_m/s;direction;F_N\n{rows}\n".replace(".", ","))
    for found, wanted in zip(curve(law), (BUMP, REBOUND), strict=True):
        assert found == pytest.approx(wanted)


def test_units_on_a_line_of_their_own_and_western_letters(tmp_path):
    rows = "\n".join(f"{v:g},{f:g},{r:g},20" for (v, f), (_, r) in zip(BUMP, REBOUND, strict=True))
    law = measured(tmp_path, f"Speed,Compression,Rebound,Öl\nm/s,N,N,°C\n{rows}\n", "cp1252")
    assert curve(law)[0] == pytest.approx(BUMP)
    law = measured(tmp_path, f"Speed,Compression,Rebound,Öl\n[m/s],[N],[N],[°C]\n{rows}\n", "utf-16")
    assert curve(law)[0] == pytest.approx(BUMP)


def test_without_header_the_user_says(tmp_path):
    rows = "\n".join(f"{v:g} {f:g} {r:g}" for (v, f), (_, r) in zip(BUMP, REBOUND, strict=True))
    with pytest.raises(ValidationError, match="no column is called force: it has column 1 without a name"):
        measured(tmp_path, rows)
    said = {"columns": {"speed": "1", "compression force": "2", "rebound force": "3"}}
    with pytest.raises(ValidationError, match="has no unit"):
        measured(tmp_path, rows, **said)
    law = measured(tmp_path, rows, **said, units={"speed": "m/s", "force": "N"})
    assert curve(law)[1] == pytest.approx(REBOUND)


def test_friction_below_5_mm_per_s_is_taken_off(tmp_path):
    rows = [(0.0, GAS), (0.002, GAS + 40), (-0.002, GAS - 40)]
    rows += [(v, f + GAS + 40) for v, f in BUMP] + [(-v, GAS - 40 - f) for v, f in REBOUND]
    text = "speed [m/s],force [N]\n" + "\n".join(f"{v:g},{f:g}" for v, f in rows)
    law = measured(tmp_path, text)
    assert law.friction == pytest.approx(40.0)
    assert law.gas[0] == pytest.approx(GAS)
    assert curve(law)[0] == pytest.approx(BUMP)


def loops(
    spring=0.0,
    compression=1500.0,
    rebound=3000.0,
    gas=150.0,
    cycles=3,
    noise=0.0,
    amplitudes=(0.05,),
    rows=2000,
    crank=1.0,
):
    """Position outwards positive as many machines have it, time, force compression positive, of F = c v + gas + spring x."""
    time, place, force, start = [], [], [], 0.0
    random = np.random.default_rng(3)
    for amplitude in amplitudes:
        w = 2 * pi * crank
        t = np.arange(cycles * rows) / rows / crank
        x, v = amplitude * np.sin(w * t), amplitude * w * np.cos(w * t)
        f = np.where(v < 0, compression, rebound) * -v - spring * x + gas
        time.append(start + t)
        place.append(x)
        force.append(f + noise * random.standard_normal(len(t)))
        start = time[-1][-1] + 1.0 / rows / crank
    return np.concatenate(time), np.concatenate(place), np.concatenate(force)


def loops_text(time, place, force, head="time [s];position [mm];force [N]"):
    table = "\n".join(f"{t:.6f};{1e3 * x:.5f};{f:.3f}" for t, x, f in zip(time, place, force, strict=True))
    return f"{head}\n{table}\n".replace(".", ",")


def test_loops_become_the_curve_that_made_them(tmp_path):
    """F = 1500 v in bump, 3000 v in rebound, 150 N of gas: slopes, gas, energy pi/2 (1500 + 3000) w X²."""
    law = measured(tmp_path, loops_text(*loops()))
    assert law.gas[0] == pytest.approx(150.0, abs=0.5)
    at = np.array([0.05, 0.1, 0.2, 0.3])
    assert law.force(at) == pytest.approx(1500 * at, rel=5e-3)
    assert law.force(-at) == pytest.approx(-3000 * at, rel=5e-3)
    assert law.reduced.energy == pytest.approx(pi / 2 * 4500 * 2 * pi * 0.05**2, rel=1e-3)
    assert np.max(np.abs(law.reduced.compression.hysteresis)) < 0.02 * 1500 * 0.314
    assert "speed from position and time" in law.reduced.words[0]


def test_hysteresis_is_the_gap_of_the_branches(tmp_path):
    """A spring k x opens the loop: at speed v the branches lie 2 k X √(1 - (v/Xw)²) apart, and their mean is the damping."""
    k, x, w = 2000.0, 0.05, 2 * pi
    law = measured(tmp_path, loops_text(*loops(spring=k)))
    side = law.reduced.compression
    inner = (side.speed > 0.03) & (side.speed < 0.27)
    wanted = 2 * k * x * np.sqrt(1 - (side.speed[inner] / (x * w)) ** 2)
    assert np.abs(side.hysteresis[inner]) == pytest.approx(wanted, rel=0.03)
    assert side.force[inner] == pytest.approx(1500 * side.speed[inner], rel=0.02)


def test_noise_and_several_amplitudes(tmp_path):
    law = measured(tmp_path, loops_text(*loops(noise=5.0, amplitudes=(0.01, 0.03, 0.08))))
    at = np.array([0.05, 0.15, 0.4])
    assert law.force(at) == pytest.approx(1500 * at, rel=0.03)


def test_loops_with_speed_need_no_time(tmp_path):
    time, place, force = loops()
    speed = -0.05 * 2 * pi * np.cos(2 * pi * time)
    text = "force [N],speed [m/s]\n" + "\n".join(f"{f:.3f},{v:.6f}" for f, v in zip(force, speed, strict=True))
    law = measured(tmp_path, text)
    assert law.force([0.2, -0.2]) == pytest.approx([300.0, -600.0], rel=5e-3)
    with pytest.raises(ValidationError, match="positions alone tell no speed"):
        measured(
            tmp_path,
            "force [N],position [mm]\n"
            + "\n".join(f"{f:.3f},{1e3 * x:.3f}" for f, x in zip(force, place, strict=True)),
        )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "is empty"),
        ("speed [m/s],force [N]\n0.1,100\n0.2,1e400\n0.3,2\n", "the force '1e400' is not a number here"),
        ("words only\nand more\n", "holds no table of numbers"),
        (
            "speed [m/s],force [N]\n0.1,100\n0.2,x\n0.3,300\n",
            r"line 3: the force 'x' is not a number here \(cells parted by comma",
        ),
        ("speed [m/s],force [N]\n0.1,100\n0.2\n0.3,300\n", "line 3: no force"),
        ("speed [mm],force [N]\n0.1,100\n0.2,200\n", "'mm' of the column 'speed .mm.' is not a unit of speed"),
        ("velocity,force [N]\n0.1,100\n0.2,200\n", r"write 'velocity \[mm/s\]' .* units: \{speed: mm/s\}"),
        ("speed [m/s],force\n0.1,100\n0.2,200\n", r"write 'force \[N\]' .* units: \{force: N\}"),
        ("speed [m/s],power [W]\n0.1,100\n0.2,200\n", "no column is called force: it has 'speed', 'power'"),
        ("height [m],force [N]\n0.1,100\n0.2,200\n", "no column is called speed, nor position"),
        ("v [m/s],velocity [m/s],force [N]\n0.1,0.1,100\n0.2,0.2,200\n", "two columns could be the speed"),
        ("speed [m/s],force [N]\n0.1,100\n0.2,200\n", "only one direction is in it"),
        ("speed [m/s],bump [N]\n0.1,100\n0.2,200\n", "no rebound force"),
        ("speed [mm/s],force [N]\n0.1,100\n-0.2,-200\n", r"nothing in it moves faster than 0.005 m/s \(0.2 in/s\)"),
        ("speed [m/s],bump [N],rebound [N]\n0.1,100,50\n0.2,-200,70\n", "changes its sign"),
    ],
)
def test_bad_files_say_what_to_do(text, said, tmp_path):
    with pytest.raises(ValidationError, match=said):
        measured(tmp_path, text)


def test_missing_file_and_unknown_words(tmp_path):
    with pytest.raises(ValidationError, match=r"none.csv does not exist"):
        ADAPTER.validate_python({"kind": "measured", "file": "none.csv"}, context={"folders": (tmp_path,)})
    with pytest.raises(ValidationError, match="'sped' is nothing that a column can mean"):
        measured(tmp_path, "x", columns={"sped": "1"})
    with pytest.raises(ValidationError, match="has no column 'kraft'"):
        measured(tmp_path, points_file(",", ".", "m/s", "N", False, 1, 1), columns={"force": "kraft"})


def test_what_is_taken_off_is_put_back_by_the_set_once(tmp_path):
    """On the truck: found gas is the set's push unless the set names its own; the path is looked for beside the scenario first."""
    measured(tmp_path, points_file(",", ".", "m/s", "N", False, 1, 1))
    vehicle = load("scenarios/vehicles/hut_supply_truck.yaml")
    law = {"kind": "measured", "file": str(tmp_path / "machine.csv")}
    for gas, wanted in (("none", GAS), ("80 N", 80.0)):
        made = vehicle.changed({"front.dampers.main.valving": law, "front.dampers.main.gas_force": gas})
        line = next(n for n in lower(made).lines if n.axle == "front" and n.role == "damper")
        assert line.line.force_constant == pytest.approx(wanted, rel=1e-6)
        assert isinstance(made.front.dampers["main"].valving, Measured)
        assert made.measured_files == (tmp_path / "machine.csv",)


def test_alike_if_file_and_curve_are(tmp_path):
    text = points_file(",", ".", "m/s", "N", False, 1, 1)
    one, two = measured(tmp_path, text), measured(tmp_path, text)
    assert one == two
    assert len({one, two, one.scaled(0.5)}) == 2
    assert one != one.scaled(0.5)
    other = measured(tmp_path, text.replace("0.13", "0.14"))  # a sweep goes on only where nothing has changed
    assert repr(one) == repr(two) != repr(other)


def test_scaled(tmp_path):
    law = measured(tmp_path, points_file(",", ".", "m/s", "N", False, 1, 1))
    at = np.linspace(-0.5, 0.5, 21)
    assert law.scaled(0.5).force(at) == pytest.approx(0.5 * law.force(at))
