"""Puts a wrong sign or factor into each force law and Jacobian term in turn: every one must make a test fail.

python tests/mutants.py [WORD ...]   those whose file or text has one of the words; without any, all (not part of the tests)
python tests/mutants.py --stale      only tell which of them are no longer text of the house; seconds

Each is tried in a copy of the tree, one copy a process, with the tests that must see it. What came of it is kept until the house or
its tests change, so a run that was stopped goes on. Tests that killed one before are asked first when it is tried again.
"""

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from queue import SimpleQueue

ROOT = Path(__file__).parents[1]
TESTS = (
    "tests/kernel/test_lagrange.py", "tests/derivation/test_against_kernel.py", "tests/kernel/test_invariants.py",
    "tests/published/test_energy_per_cycle.py", "tests/describe/parts/test_bushes.py", "tests/kernel/test_integrator.py",
    "tests/published/test_quarter_car.py", "tests/describe/parts/test_contacts.py", "tests/kernel/test_stepping.py",
)  # fmt: skip
# Of a few hundred states: the kernel's text is interpreted sooner than it is compiled, and most mutants of it end here.
INTERPRETED_TESTS = (
    "tests/derivation/test_against_kernel.py", "tests/kernel/test_lagrange.py", "tests/derivation/test_driven_against_kernel.py",
    "tests/derivation/test_course_against_kernel.py",
)  # fmt: skip
INTERPRETED = {"NUMBA_DISABLE_JIT": "1"}
DRIVEN_TESTS = (
    "tests/derivation/test_driven_against_kernel.py", "tests/derivation/test_course_against_kernel.py", "tests/kernel/test_driven_invariants.py",
    "tests/integrate/test_road_pushes_back.py",
)  # fmt: skip

# Of the damper laws: nothing of the kernel changes, so its compiled functions are used again.
DAMPER_TESTS = (
    "tests/describe/parts/test_valves.py", "tests/published/test_dampers.py", "tests/describe/parts/test_measured.py", "tests/study/test_convert.py",
)  # fmt: skip

# Of roads, which the kernel is given.
ROAD_TESTS = (
    "tests/lower/road/test_rolling_disc.py", "tests/lower/road/test_road_contact.py", "tests/lower/road/test_road_sampling.py",
    "tests/lower/road/test_lap.py", "tests/describe/roads/test_hermite.py",
)  # fmt: skip

CONTACT, DISC, LAP = (f"sim/lower/road/{name}.py" for name in ("contact", "rolling_disc", "lap"))

AXLE, EQUATIONS, FORCES, GEOMETRY, GIVING, GUIDES, INTEGRATE, LINES, ROAD, STEPPING, WHEELS = (
    f"sim/kernel/{name}.py"
    for name in (
        "axle",
        "equations",
        "forces",
        "geometry",
        "giving",
        "guides",
        "integrate",
        "lines",
        "road",
        "stepping",
        "wheels",
    )
)
MUTANTS = (
    (GEOMETRY, "forward * cosine + up * sine, up", "forward * cosine - up * sine, up"),
    (GEOMETRY, "up * cosine - forward * sine", "up * cosine + forward * sine"),
    (GEOMETRY, "+ sideways * sideways", ""),
    (GEOMETRY, "dx * point_up - dz * point_forward", "dx * point_up + dz * point_forward"),
    (GEOMETRY, "dx * path_slope + dz)", "dz)"),
    (LINES, "by_wind_up * m[s + at.TURNING", "by_wind_up * -m[s + at.TURNING"),
    (FORCES, "return rise * above + fall * below", "return rise * above - fall * below"),
    (FORCES, "above = speed if speed > compression", "above = speed if speed > -compression"),
    (FORCES, "below = speed if speed < extension else extension", "below = speed if speed < extension else 0.0"),
    (FORCES, "(fall if speed < extension else 0.0)", "(fall if speed > extension else 0.0)"),
    (FORCES, "rate + cubic * p * p", "rate + cubic * p"),
    (FORCES, "1.0 + loss * depth_speed", "1.0 - loss * depth_speed"),
    (FORCES, "rate + rate_rise * d)", "rate - rate_rise * d)"),
    (FORCES, "elastic + damping * share", "elastic + damping"),
    (FORCES, "damping * share * deflection_speed", "0.5 * damping * share * deflection_speed"),
    (FORCES, "speed * friction - size * force", "speed * friction + size * force"),
    (FORCES, "speed * friction - size * force", "speed * friction - speed * force"),
    (GUIDES, "even_2 = even_2 * u + even_1", "even_2 = even_2 * u + even"),
    (GUIDES, "+ 6.0 * t * odd_1", "+ 3.0 * t * odd_1"),
    (GUIDES, "= place_2 * scale * scale", "= place_2 * scale"),
    (GUIDES, "= turn_2 * scale * scale", "= turn_2 * scale"),
    (GUIDES, "at.WIND_UP + 2 * axle) * lanes + lane] + rotation", "at.WIND_UP + 2 * axle) * lanes + lane] - rotation"),
    (GUIDES, "place_1 = -z * by_x", "place_1 = z * by_x"),
    (GUIDES, "-square * by_x * by_square", "-square * by_x"),
    (GUIDES, "TURN_1 * lanes] = -by_x", "TURN_1 * lanes] = by_x"),
    (GUIDES, "= place_1 * by_square", "= -place_1 * by_square"),
    (GUIDES, "sin_wind * cos_arm - cos_wind * sin_arm", "sin_wind * cos_arm + cos_wind * sin_arm"),
    (GUIDES, "cos_wind * cos_arm + sin_wind * sin_arm", "cos_wind * cos_arm - sin_wind * sin_arm"),
    (AXLE, "AXLE_AT.wind_up_rate * lanes] * wind_up - damping_moment", "AXLE_AT.wind_up_rate * lanes] * wind_up + damping_moment"),
    (AXLE, "lane] - forward * m[s + at.TURNING", "lane] + forward * m[s + at.TURNING"),
    (AXLE, "= -support - m[s + at.TURN_1", "= -support + m[s + at.TURN_1"),
    (AXLE, "lane] + up - stop_up - m[a", "lane] + up - m[a"),
    (AXLE, "centre = m[at.Z * lanes + lane] + m[", "centre = m[at.Z * lanes + lane] - m["),
    (AXLE, "+ m[s + at.RISE_Z * lanes] * jounce_speed", "+ jounce_speed"),
    (AXLE, "- m[s + at.AHEAD * lanes] * pitch_speed", "+ m[s + at.AHEAD * lanes] * pitch_speed"),
    (GUIDES, "m[s + at.TURN_1 * lanes] * jounce_speed", "-m[s + at.TURN_1 * lanes] * jounce_speed"),
    (AXLE, "squeeze > 0.0", "squeeze > 0.01"),
    (AXLE, "-= stop\n", "-= 0.9 * stop\n"),
    (AXLE, "+= stop * forward", "-= stop * forward"),
    (LINES, "force = pushed - pulled", "force = pushed + pulled"),
    (LINES, "force += gas + m[", "force += -gas + m["),
    (LINES, "LINE_AT.length_free * lanes + lane] - length", "LINE_AT.length_free * lanes + lane] + length"),
    (LINES, "> longest * longest", "> 1.1 * longest * longest"),
    (CONTACT, "beside = int(whole) + 1", "beside = int(whole) + 2"),
    (CONTACT, "beside), 1.0 - share", "beside), share"),
    (CONTACT, "(area - area_behind)", "(area + area_behind)"),
    (CONTACT, "rise = 3.0 * s2 - 2.0 * s3", "rise = 3.0 * s2 - s3"),
    (CONTACT, "(share - 2.0 * s2 + s3)", "(share - s2 + s3)"),
    (CONTACT, "spacing_m * (s3 - s2)", "spacing_m * (s3 + s2)"),
    (CONTACT, "(s3 - 0.5 * s4)", "(s3 + 0.5 * s4)"),
    (CONTACT, "(s2 / 2.0 - 2.0 / 3.0 * s3", "(s2 / 2.0 - 1.0 / 3.0 * s3"),
    (CONTACT, "(s4 / 4.0 - s3 / 3.0)", "(s4 / 4.0 + s3 / 3.0)"),
    (DISC, "x[start] < centres[i] - radius", "x[start] < centres[i]"),
    (DISC, "x[end] <= centres[i] + radius", "x[end] <= centres[i]"),
    (DISC, "* by_span - u * by_drop", "* by_span + u * by_drop"),
    (DISC, "bend -= radius", "bend += radius"),
    (DISC, "SETTLED = 1e-7", "SETTLED = 10.0"),
    (LAP, "max(behind) - back", "back"),
    (LAP, "- max(behind) - reach", "- reach"),
    (LAP, "GRID_M = 2e-3", "GRID_M = 20e-3"),
    (GIVING, "- m[s + at.PLACE_1 * lanes] * along", "+ m[s + at.PLACE_1 * lanes] * along"),
    (GIVING, "across + on_housing", "across - on_housing"),
    (GIVING, "* along - m[s + at.PLACE", "* along + m[s + at.PLACE"),
    (GIVING, "on_housing += m[", "on_housing -= m["),
    (GIVING, "p_up = -p_up", "p_up = 0.9 * -p_up"),
    (GIVING, "- upwards * sin_pitch - turn", "+ upwards * sin_pitch - turn"),
    (GIVING, "- spin_square * p_up", "+ spin_square * p_up"),
    (GIVING, "+ spin_square * p_forward", "- spin_square * p_forward"),
    (GIVING, "(force_up + more * p_up)", "force_up"),
    (GIVING, "turn - m[s + at.BY_INERTIA", "turn + m[s + at.BY_INERTIA"),
    (GIVING, "2.0 * sliding + height", "2.0 * sliding - height"),
    (GIVING, "(2.0 * jounce_speed - place", "(jounce_speed - place"),
    (GIVING, "+ place_1 * jounce\n", "\n"),
    (GIVING, "- pitch - m[s + at.TURN_1", "- pitch + m[s + at.TURN_1"),
    (GIVING, "- m[s + at.TURN_2", "+ m[s + at.TURN_2"),
    (GIVING, "(backwards + kept)", "(backwards - kept)"),
    (GIVING, "along * sin_pitch - across", "along * sin_pitch + across"),
    (GIVING, "+ push * push_ahead\n", "- push * push_ahead\n"),
    (GIVING, "forward += (1.0 - free) * m[", "forward += 0.0 * m["),
    (GIVING, "* forward + backwards", "* forward - backwards"),
    (EQUATIONS, "p_z = -p_z", "p_z = 0.9 * -p_z"),
    (EQUATIONS, "sine * cos_pitch + cosine * sin_pitch, cosine", "sine * cos_pitch - cosine * sin_pitch, cosine"),
    (EQUATIONS, "across = 2.0 * pitch_speed", "across = pitch_speed"),
    (EQUATIONS, "- inwards * x + bend", "+ inwards * x + bend"),
    (EQUATIONS, "- inwards * z - bend", "- inwards * z + bend"),
    (EQUATIONS, "lane] + m[s + at.TURNING", "lane] - m[s + at.TURNING"),
    (EQUATIONS, "by_inertia * on_housing - q_x", "by_inertia * on_housing + q_x"),
    (EQUATIONS, "own * p_x + spin_square", "own * p_x - spin_square"),
    (EQUATIONS, "own * p_z - spin_square", "own * p_z + spin_square"),
    (EQUATIONS, "p_x, -q_x * p_z", "p_x, q_x * p_z"),
    (EQUATIONS, "x * rest_z - wind_up", "x * rest_z + wind_up"),
    (EQUATIONS, "2.0 * h_j + h_turn", "h_j + h_turn"),
    (EQUATIONS, "tt += 2.0 * h_t - h_turn", "tt += 2.0 * h_t + h_turn"),
    (EQUATIONS, "jt += h_j + turn_1", "jt += h_j - turn_1"),
    (EQUATIONS, "rest_j += turn_1 * left", "rest_j -= turn_1 * left"),
    (EQUATIONS, "- h_turn * turn_bias - h_x", "- h_x"),
    (EQUATIONS, "wind_up -= turned_with + m[", "wind_up += turned_with + m["),
    (EQUATIONS, "pitch -= pitch_x * forward", "pitch += pitch_x * forward"),
    (EQUATIONS, "at.BODY_T * lanes] - push * push_ahead", "at.BODY_T * lanes] + push * push_ahead"),
    (AXLE, "WORK_ROAD * lanes] += load * m[", "WORK_ROAD * lanes] -= load * m["),
    (LINES, "driven = closing - lag * (1.0 - left)", "driven = closing + lag * (1.0 - left)"),
    (STEPPING, "+= 2.0 * rate\n            m[at.POINT", "+= rate\n            m[at.POINT"),
    (STEPPING, "+= 2.0 * rate\n        else", "+= rate\n        else"),
    (STEPPING, "(1.0 - ahead) * now + ahead * then", "ahead * now + (1.0 - ahead) * then"),
    (STEPPING, "23.0 * now - 16.0 * before", "23.0 * now + 16.0 * before"),
    (STEPPING, "(long_before - 5.0 * before)", "(long_before + 5.0 * before)"),
    (STEPPING, "step / 24.0 * (m[at.TOTAL", "step / 12.0 * (m[at.TOTAL"),
    (INTEGRATE, "0.5 if starting and stage < 3 else 1.0", "0.5 if starting and stage < 2 else 1.0"),
    (INTEGRATE, "since = since_kept if stage == 0 else share * length", "since = share * length"),
    (INTEGRATE, "go_back(m)", "pass"),
    (STEPPING, "m[RATE + i] = m[at.PAST + i]", "pass"),
    (INTEGRATE, "index + 1.0 + PAST_STEPS, True", "index + 1.0, True"),
    *(
        (f"sim/{'describe' if file.startswith('parts') else 'study'}/{file}.py", good, bad)
        for file, good, bad in (
            ("parts/dampers/valve_flow", "4.0 * jet * drop", "2.0 * jet * drop"),
            ("parts/dampers/valve_flow", "spring * open_ - push", "spring - push"),
            ("parts/dampers/valve_flow", "np.sqrt(2.0 * across / fluid.density)", "np.sqrt(2.0 * drop / fluid.density)"),
            ("parts/dampers/valve_flow", "np.minimum(lift, path.lift_most)", "lift"),
            ("parts/dampers/passages", "128.0 * self.length", "64.0 * self.length"),
            ("parts/dampers/tubes", "drop - foot)", "drop + foot)"),
            ("parts/dampers/tubes", "areas.rod * intake + areas.annulus * drop, intake", "areas.annulus * drop, intake"),
            ("parts/dampers/tubes", "(gauge + ATMOSPHERE) * rod_area**2", "gauge * rod_area**2"),
            ("parts/dampers/damper_set", "return push, self.gas_rate if rate", "return self.gas_force, self.gas_rate if rate"),
            ("parts/dampers/machine_curve", "    force = force - gas\n", ""),
            ("parts/dampers/machine_curve", "0.5 * (wide + narrow)", "wide"),
            ("convert", "/ (together * member.ratio)", "/ together"),
            ("convert", "wheel = speed / member.ratio", "wheel = speed"),
        )
    ),
)  # fmt: skip


UNLOADED = "m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.tyre_radius) * lanes + lane]"
SHIFTED = """        m[s + at.FORCE_SHIFT * lanes] += count * force * m[at.BY_SHIFT * lanes + lane]
"""
DRIVEN_MUTANTS = (
    (WHEELS, "steep = grip / shape * slip", "steep = grip * slip"),
    (WHEELS, "atan(steep - bend *", "atan(steep + bend *"),
    (WHEELS, "more = 1.0 + (1.0 - delayed) * grip * abs(slip)", "more = 1.0 + (1.0 - delayed) * grip * slip"),
    (WHEELS, "own = length / (more * more)", "own = length / more"),
    (WHEELS, "return own if own > least else least", "return own"),
    (ROAD, "+ m[s + at.AHEAD * lanes]", "- m[s + at.AHEAD * lanes]"),
    (ROAD, "        - m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.centre", "        + m[(at.AXLE + axle * at.AXLE_ROWS + AXLE_AT.centre"),
    (ROAD, "least), most)", "0), most)"),
    (ROAD, "rise + t * (2.0 * bend + 3.0", "rise + t * (bend + 3.0"),
    (ROAD, "= by_sample * by_spacing", "= by_sample"),
    (ROAD, "= by_sample * by_step", "= 0.0"),
    (WHEELS, "(beyond if beyond > 0.0 else 0.0)", "beyond"),
    (WHEELS, "torque = throttle * torque -", "torque = torque -"),
    (WHEELS, "* pitch_speed + shift_speed", "* pitch_speed"),
    (WHEELS, "across = jounce_speed - m[", "across = jounce_speed + m["),
    (WHEELS, "return (forwards + slope * upwards)", "return (forwards - slope * upwards)"),
    (WHEELS, "/ (1.0 + slope * slope) ** 0.5", ""),
    (WHEELS, "* (pressed if pressed > 0.0 else 0.0)", "* pressed"),
    (WHEELS, "return radius - m[", "return radius + m["),
    (WHEELS, "sliding = rolling * spin - speed", f"sliding = {UNLOADED} * spin - speed"),
    (WHEELS, "fastest = max(abs(speed), abs(rolling * spin))", "fastest = abs(speed)"),
    (WHEELS, "exp(-m[w + WHEELS_AT.stiffness_fade", "exp(m[w + WHEELS_AT.stiffness_fade"),
    (WHEELS, "(sliding - fastest * slip)", "(sliding + fastest * slip)"),
    (WHEELS, "slip + m[w + WHEELS_AT.carcass_time", "slip - m[w + WHEELS_AT.carcass_time"),
    (WHEELS, "+ m[s + at.TURN_1 * lanes] * m[", "- m[s + at.TURN_1 * lanes] * m["),
    (WHEELS, "* by_ratio - against", "* by_ratio + against"),
    (WHEELS, "lane] + damping", "lane] - damping"),
    (WHEELS, "= brake - torque", "= torque - brake"),
    (AXLE, "- elastic - damping, damping", "+ elastic - damping, damping"),
    (AXLE, "- elastic - damping, damping", "- elastic + damping, damping"),
    (WHEELS, "(torque - brake - force * rolling)", f"(torque - brake - force * {UNLOADED})"),
    (WHEELS, "(torque - brake - force * rolling)", "(torque + brake - force * rolling)"),
    (WHEELS, "lanes] * against, -brakes", "lanes] * spin, -brakes"),
    (WHEELS, "-brakes), brakes)", "0.0), brakes)"),
    (WHEELS, "(brake - spring) / m[", "brake / m["),
    (WHEELS, "at.ENGINE) * lanes + lane] -= (", "at.ENGINE) * lanes + lane] += ("),
    (WHEELS, "(m[(at.DRIVE + DRIVE_AT.gears) * lanes + lane] * m[", "(m["),
    (WHEELS, "= torque * speed", "= torque * above"),
    (WHEELS, "- (1.0 - throttle) * drag", "+ (1.0 - throttle) * drag"),
    (WHEELS, "DRIVE_AT.drag_rise * lanes] * speed)", "DRIVE_AT.drag_rise * lanes] * idle)"),
    (WHEELS, "propshaft += (1.0 - 2.0 * axle)", "propshaft -= (1.0 - 2.0 * axle)"),
    (WHEELS, "= -2.0 * torque * free", "= -torque * free"),
    (WHEELS, "torque * apart - spring", "torque * apart + spring"),
    (WHEELS, "+= force * sliding", "+= force * speed"),
    (WHEELS, "+= brake * against - spring", "+= brake * spin - spring"),
    (WHEELS, "against - spring * give_rate", "against"),
    (WHEELS, "+= damping * twist_rate", "+= damping * against"),
    (AXLE, "LOSS_SHIFT * lanes] += shift", "LOSS_SHIFT * lanes] -= shift"),
    (GUIDES, "lanes] + m[(at.SHIFT + axle)", "lanes] - m[(at.SHIFT + axle)"),
    (AXLE, "moment -= coupling * jounce", "moment += coupling * jounce"),
    (AXLE, "+ coupling * wind_up", "- coupling * wind_up"),
    (AXLE, "- shift_speed * m[at.SINE_PITCH", "+ shift_speed * m[at.SINE_PITCH"),
    (AXLE, "+ shift_speed * m[at.COSINE_PITCH", "- shift_speed * m[at.COSINE_PITCH"),
    (AXLE, "+ m[s + at.ABOVE * lanes] * pitch_speed", "- m[s + at.ABOVE * lanes] * pitch_speed"),
    (AXLE, "at.ROAD_SLOPE * lanes] * centre_forwards", "at.ROAD_SLOPE * lanes] * m[(at.COORDINATES + at.X) * lanes + lane]"),
    (EQUATIONS, "at.TRACTION * lanes] / sqrt(1.0 + slope * slope)", "at.TRACTION * lanes]"),
    (EQUATIONS, "upwards = -load * slope, load", "upwards = load * slope, load"),
    (EQUATIONS, "upwards += along * slope", "upwards += 0.0"),
    (EQUATIONS, "g1 -= m[b + BODY_AT.keeper", "g1 += m[b + BODY_AT.keeper"),
    (EQUATIONS, "+ w12 * lifted + w13", "- w12 * lifted + w13"),
    (EQUATIONS, "held * (ground_speed + running)", "held * ground_speed"),
    (EQUATIONS, "on_housing += m[", "on_housing -= m["),
    (EQUATIONS, "- sliding * sin_pitch", "+ sliding * sin_pitch"),
    (EQUATIONS, "- sliding * cos_pitch", "+ sliding * cos_pitch"),
    (EQUATIONS, "+ (forwards - f_x) * cos_pitch", "- f_x * cos_pitch"),
    (EQUATIONS, "f_z += slip * v_z", "f_z -= slip * v_z"),
    (EQUATIONS, "left -= slip * h_along", "left += slip * h_along"),
    (EQUATIONS, "e12 -= give * v_x * v_z", "e12 += give * v_x * v_z"),
    (EQUATIONS, "h_z -= slip_turn * v_z", "h_z += slip_turn * v_z"),
    (EQUATIONS, "h_turn -= slip_turn * h_along", "h_turn += slip_turn * h_along"),
    (EQUATIONS, "rest_x = forwards - f_x", "rest_x = -f_x"),
    (EQUATIONS, "shift -= m[s + at.SHIFT_T", "shift += m[s + at.SHIFT_T"),
    (EQUATIONS, "z -= shift * m[at.SINE_PITCH", "z += shift * m[at.SINE_PITCH"),
    (EQUATIONS, "forward += (1.0 - free) * m[", "forward += 0.0 * m["),
    (EQUATIONS, "m[d + at.X * lanes] -= m[", "m[d + at.X * lanes] += m["),
    (LINES, "by_shift = dx * by_length", "by_shift = -dx * by_length"),
    (LINES, "closing -= by_shift", "closing += by_shift"),
    (LINES, f"{SHIFTED}        if damper and", "        if damper and"),
    (LINES, f"{SHIFTED}        if rows > at.MOTION", "        if rows > at.MOTION"),
)  # fmt: skip


LONGEST_S = 3600.0
"""Tests that take longer, of some minutes, do not end: a wrong sign may keep a search going."""

KEPT = ("sim", "tests", "scenarios", "docs", "pyproject.toml", "README.md", "DEVELOPERS.md")
"""What a copy of the tree has."""

Mutant = tuple[str, str, str]


def tests_of(mutant: Mutant) -> tuple[str, ...]:
    """Return the files of tests that must see a mutant."""
    if mutant in DRIVEN_MUTANTS:
        return DRIVEN_TESTS
    if mutant[0].startswith("sim/lower/road"):
        return ROAD_TESTS
    return TESTS + DRIVEN_TESTS if mutant[0].startswith("sim/kernel") else DAMPER_TESTS


def is_stale(mutant: Mutant) -> str:
    """Return why a mutant is no longer one of this house, or nothing."""
    file, good, _ = mutant
    if not (ROOT / file).exists():
        return "there is no such file"
    times = (ROOT / file).read_text(encoding="utf-8").count(good)
    return "" if times == 1 else f"its text stands there {times} times"


def asked(here: Path, tests: tuple[str, ...], more: dict[str, str], cache: Path) -> str:
    """Return what these tests say of the tree there: the test that fails, or that none does."""
    environment = (
        os.environ | {"NUMBA_CACHE_DIR": str(cache), "PYTHONPATH": str(here), "PYTHONDONTWRITEBYTECODE": "1"} | more
    )
    command = [
        sys.executable,
        "-m",
        "pytest",
        "-n",
        "0",
        "-x",
        "-q",
        "--no-header",
        "-m",
        "",
        "-p",
        "no:cacheprovider",
        *tests,
    ]
    try:
        done = subprocess.run(
            command, cwd=here, env=environment, capture_output=True, text=True, check=False, timeout=LONGEST_S
        )
    except subprocess.TimeoutExpired:
        return "killed: its tests do not end"
    failed = [line for line in done.stdout.splitlines() if line.startswith(("FAILED", "ERROR"))]
    if done.returncode == 1 and failed:
        return f"killed by {failed[0].split()[1]}"
    return "SURVIVED" if done.returncode == 0 else f"broken: {done.stdout[-300:]}{done.stderr[-300:]}"


def outcome(mutant: Mutant, here: Path, killer: str | None) -> str:
    """Try one mutant in a copy of the tree, which is then as it was."""
    file, good, bad = mutant
    tests = tests_of(mutant)
    path, before = here / file, (here / file).stat()
    text = path.read_text(encoding="utf-8")
    path.write_text(text.replace(good, bad), encoding="utf-8")
    cache = here / "cache"
    if file.startswith("sim/kernel"):  # what is compiled of it is of no use to any other
        cache = Path(tempfile.mkdtemp(dir=here))
    rounds: list[tuple[tuple[str, ...], dict[str, str]]] = [((killer,), {})] if killer else []
    if cache.name != "cache":
        rounds.insert(0, (INTERPRETED_TESTS, INTERPRETED))
    try:
        for some, environment in [*rounds, (tests, {})]:
            said = asked(here, some, environment, cache)
            if said.startswith("killed"):
                break
        return said
    finally:
        path.write_text(text, encoding="utf-8")
        os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))  # the compiler's cache goes by it
        if cache.name != "cache":
            shutil.rmtree(cache)


def copied(here: Path) -> Path:
    """Make a copy of the tree anew; what has been compiled in it before is kept."""
    here.mkdir(parents=True, exist_ok=True)
    for name in KEPT:
        old, new = here / name, ROOT / name
        if old.is_dir():
            shutil.rmtree(old)
        if new.is_dir():
            shutil.copytree(new, old, ignore=shutil.ignore_patterns("__pycache__"))  # with its times
        else:
            shutil.copy2(new, old)
    return here


def tree_hash() -> str:
    """Return a hash of the house and its tests: what came of a mutant holds for them alone."""
    digest = hashlib.sha256()
    for path in sorted([*(ROOT / "sim").rglob("*.py"), *(ROOT / "tests").rglob("*.py")]):
        if path != Path(__file__):
            digest.update(str(path.relative_to(ROOT)).encode() + path.read_bytes())
    return digest.hexdigest()[:16]


class Notes:
    """What came of mutants, kept in a file: of this very tree, and which test killed each in any."""

    def __init__(self, file: Path) -> None:
        self.file, self.tree = file, tree_hash()
        self.now: dict[Mutant, str] = {}
        self.killers: dict[Mutant, str] = {}
        for line in file.read_text(encoding="utf-8").splitlines() if file.exists() else ():
            tree, mutant, said = json.loads(line)
            if said.startswith("killed by "):
                self.killers[tuple(mutant)] = said.removeprefix("killed by ")
            if tree == self.tree:
                self.now[tuple(mutant)] = said

    def add(self, mutant: Mutant, said: str) -> None:
        self.now[mutant] = said
        with self.file.open("a", encoding="utf-8") as file:
            file.write(json.dumps([self.tree, mutant, said]) + "\n")


def main() -> int:
    """Try those asked for; the exit code is 1 if one is stale, or none of its tests has noticed it."""
    parser = argparse.ArgumentParser(description="Wrong signs and factors, each of which must make a test fail.")
    parser.add_argument("words", nargs="*", help="try only those with one of these words in file or text")
    parser.add_argument("--stale", action="store_true", help="only tell which are no longer text of the house")
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument(
        "--folder", type=Path, default=Path(tempfile.gettempdir()) / "jounce-mutants", help="of copies and notes"
    )
    options = parser.parse_args()
    wanted = [
        mutant for mutant in MUTANTS + DRIVEN_MUTANTS
        if not options.words or any(word in mutant[0] or word in mutant[1] for word in options.words)
    ]  # fmt: skip
    stale = {mutant: why for mutant in wanted if (why := is_stale(mutant))}
    for (file, good, _), why in stale.items():
        print(f"STALE: {file}: {good!r}: {why}", flush=True)
    if options.stale:
        print(f"{len(wanted)} mutants, {len(stale)} stale")
        return bool(stale)
    options.folder.mkdir(parents=True, exist_ok=True)
    notes = Notes(options.folder / "notes.jsonl")
    free: SimpleQueue[Path] = SimpleQueue()
    for number in range(options.processes):
        free.put(copied(options.folder / str(number)))

    def tried(mutant: Mutant) -> str:
        if mutant in notes.now:
            return notes.now[mutant]
        here = free.get()
        try:
            said = outcome(mutant, here, notes.killers.get(mutant))
        finally:
            free.put(here)
        notes.add(mutant, said)
        return said

    def whole(tests: tuple[str, ...]) -> str:
        here = free.get()
        try:
            return asked(here, tests, {}, here / "cache")
        finally:
            free.put(here)

    left = [mutant for mutant in wanted if mutant not in stale]
    groups = list(dict.fromkeys(map(tests_of, left)))
    lived = 0
    with ThreadPoolExecutor(options.processes) as pool:
        if any(mutant not in notes.now for mutant in left):
            for tests, said in zip(groups, pool.map(whole, groups), strict=True):
                if said != "SURVIVED":
                    print(f"{' '.join(tests)}: the tree as it is does not pass: {said}")
                    return 1
        for mutant, said in zip(left, pool.map(tried, left), strict=True):
            print(f"{mutant[0]}: {mutant[1]!r} -> {mutant[2]!r}: {said}", flush=True)
            lived += not said.startswith("killed")
    print(f"{len(wanted)} mutants, {len(stale)} stale, {lived} not killed")
    return bool(lived or stale)


if __name__ == "__main__":
    sys.exit(main())
