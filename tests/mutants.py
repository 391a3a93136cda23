"""Puts a wrong sign or factor into each force law and Jacobian term in turn: every one must make a test fail.

python tests/mutants.py          (some twenty minutes; not part of the tests)
"""

import os
import shutil
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

ROOT = Path(__file__).parents[1]
TESTS = (
    "tests/kernel/test_lagrange.py", "tests/derivation/test_against_kernel.py", "tests/kernel/test_invariants.py",
    "tests/published/test_energy_per_cycle.py", "tests/parts/test_bushes.py", "tests/kernel/test_integrator.py",
    "tests/published/test_quarter_car.py", "tests/parts/test_contacts.py",
)  # fmt: skip
DRIVEN_TESTS = ("tests/derivation/test_driven_against_kernel.py", "tests/kernel/test_driven_invariants.py")

DAMPER_TESTS = (
    "tests/parts/test_valves.py", "tests/published/test_dampers.py", "tests/parts/test_measured.py", "tests/test_conversions.py",
)  # fmt: skip

EQUATIONS, FORCES, GEOMETRY, INTEGRATE, LINES, WHEELS = (
    f"sim/kernel/{name}.py" for name in ("equations", "forces", "geometry", "integrate", "lines", "wheels")
)
MUTANTS = (
    (GEOMETRY, "forward * cosine + up * sine, up", "forward * cosine - up * sine, up"),
    (GEOMETRY, "up * cosine - forward * sine", "up * cosine + forward * sine"),
    (GEOMETRY, "+ sideways * sideways", ""),
    (GEOMETRY, "dx * point_up - dz * point_forward", "dx * point_up + dz * point_forward"),
    (GEOMETRY, "dx * path_slope + dz)", "dz)"),
    (GEOMETRY, "+ by_turn * turn_slope", "- by_turn * turn_slope"),
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
    (EQUATIONS, "even_2 = even_2 * u + even_1", "even_2 = even_2 * u + even"),
    (EQUATIONS, "+ 6.0 * t * odd_1", "+ 3.0 * t * odd_1"),
    (EQUATIONS, "= place_2 * scale * scale", "= place_2 * scale"),
    (EQUATIONS, "= turn_2 * scale * scale", "= turn_2 * scale"),
    (EQUATIONS, "at.ANGLE * lanes] += rotation", "at.ANGLE * lanes] -= rotation"),
    (EQUATIONS, "A_WIND_RATE * lanes] * wind_up - damping_moment", "A_WIND_RATE * lanes] * wind_up + damping_moment"),
    (EQUATIONS, "by_jounce = 1.0 - forward * m[", "by_jounce = 1.0 + forward * m["),
    (EQUATIONS, "squeeze_speed = by_jounce * m[", "squeeze_speed = m["),
    (EQUATIONS, "lane] + up - stop_up - m[a", "lane] + up - m[a"),
    (EQUATIONS, "centre = m[at.Z * lanes + lane] - place * sin_pitch", "centre = m[at.Z * lanes + lane] + place * sin_pitch"),
    (EQUATIONS, "jounce_speed + height * pitch_speed", "jounce_speed - height * pitch_speed"),
    (EQUATIONS, "across = jounce_speed - place * pitch_speed", "across = jounce_speed"),
    (EQUATIONS, "jounce + up - stop_up - m[a + A_STOP_GAP * lanes] > 0.0", "jounce + up - stop_up - m[a + A_STOP_GAP * lanes] > 0.01"),
    (EQUATIONS, "-= stop * by_jounce", "-= stop"),
    (EQUATIONS, "+= stop * forward", "-= stop * forward"),
    (LINES, "closing = -(by_jounce * jounce_speed + by_wind_up", "closing = -(by_jounce * jounce_speed - by_wind_up"),
    (LINES, "force = pushed - pulled", "force = pushed + pulled"),
    (LINES, "force += gas + m[", "force += -gas + m["),
    (LINES, "L_FREE * lanes + lane] - length)", "L_FREE * lanes + lane] + length)"),
    (LINES, "> longest * longest", "> 1.1 * longest * longest"),
    (EQUATIONS, "jx = place_1 + cg_z * turn_1", "jx = place_1 - cg_z * turn_1"),
    (EQUATIONS, "jz = 1.0 - cg_x * turn_1", "jz = 1.0"),
    (EQUATIONS, "+ 2.0 * pitch_speed * z_speed", "+ pitch_speed * z_speed"),
    (EQUATIONS, "- 2.0 * pitch_speed * x_speed", "+ 2.0 * pitch_speed * x_speed"),
    (EQUATIONS, "place_2 * v2 + cg_z * turn_bias", "place_2 * v2"),
    (EQUATIONS, "- cg_z * turn_speed * turn_speed", "+ cg_z * turn_speed * turn_speed"),
    (EQUATIONS, "(jx * jx + jz * jz) + inertia * turn_1 * turn_1", "(jx * jx + jz * jz) + inertia * turn_1"),
    (EQUATIONS, "+ inertia * turn_1) * wind_up_free", ") * wind_up_free"),
    (EQUATIONS, "load_x * height - load_z * place", "load_x * height + load_z * place"),
    (EQUATIONS, "mass * (bx * z - bz * x)", "mass * (bx * z + bz * x)"),
    (EQUATIONS, "-mass * x, mass * (x * x + z * z) + inertia", "-mass * x, mass * (x * x + z * z)"),
    (EQUATIONS, "w13 = c * m13 + s * m23", "w13 = c * m13 - s * m23"),
    (EQUATIONS, "push_x * push_up - push_z * push_forward", "push_x * push_up + push_z * push_forward"),
    (EQUATIONS, "WORK_ROAD * lanes] += load * ground_rate", "WORK_ROAD * lanes] -= load * ground_rate"),
    (LINES, "driven = closing - lag * (1.0 - left)", "driven = closing + lag * (1.0 - left)"),
    (INTEGRATE, "+= 2.0 * rate", "+= rate"),
    (INTEGRATE, "sample = 2 * index + (stage + 1) // 2", "sample = 2 * index + stage // 2"),
    *(
        (f"sim/{file}.py", good, bad)
        for file, good, bad in (
            ("parts/dampers/valve_flow", "4.0 * jet * drop", "2.0 * jet * drop"),
            ("parts/dampers/valve_flow", "spring * open_ - push", "spring - push"),
            ("parts/dampers/valve_flow", "np.sqrt(2.0 * across / fluid.density)", "np.sqrt(2.0 * drop / fluid.density)"),
            ("parts/dampers/valve_flow", "np.minimum(lift, path.lift_most)", "lift"),
            ("parts/dampers/passages", "128.0 * self.length", "64.0 * self.length"),
            ("parts/dampers/tubes", "drop - foot)", "drop + foot)"),
            ("parts/dampers/tubes", "areas.rod * intake + areas.annulus * drop, intake", "areas.annulus * drop, intake"),
            ("parts/dampers/tubes", "(gauge + ATMOSPHERE) * rod_area**2", "gauge * rod_area**2"),
            ("parts/dampers/damper_set", "return self.law.gas[0], self.gas_rate", "return self.gas_force, self.gas_rate"),
            ("parts/dampers/machine_curve", "    force = force - gas\n", ""),
            ("parts/dampers/machine_curve", "0.5 * (wide + narrow)", "wide"),
            ("conversions", "/ (together * member.ratio)", "/ together"),
            ("conversions", "wheel = speed / member.ratio", "wheel = speed"),
        )
    ),
)  # fmt: skip


SHIFTED = """        if driven:
            m[s + at.FORCE_SHIFT * lanes] += count * force * m[at.BY_SHIFT * lanes + lane]
"""
DRIVEN_MUTANTS = (
    (WHEELS, "steep = grip / shape * slip", "steep = grip * slip"),
    (WHEELS, "atan(steep - bend *", "atan(steep + bend *"),
    (WHEELS, "more = 1.0 + grip * abs(slip)", "more = 1.0 + grip * slip"),
    (WHEELS, "own = length / (more * more)", "own = length / more"),
    (WHEELS, "return own if own > least else least", "return own"),
    (WHEELS, "+ m[s + at.HEIGHT * lanes] * m[at.SINE_PITCH", "- m[s + at.HEIGHT * lanes] * m[at.SINE_PITCH"),
    (WHEELS, "min(max(int(place), 0), last)", "min(max(int(place), 1), last)"),
    (WHEELS, "t = min(max(place - index, 0.0), 1.0)", "t = max(place - index, 0.0)"),
    (WHEELS, "change - 2.0 * low_slope - high_slope", "change - low_slope - high_slope"),
    (WHEELS, "low_slope + t * (2.0 * bend + 3.0", "low_slope + t * (bend + 3.0"),
    (WHEELS, "(beyond if beyond > 0.0 else 0.0)", "beyond"),
    (WHEELS, "torque *= throttle", "torque *= 1.0"),
    (WHEELS, "+ height * pitch_speed + shift_speed", "+ height * pitch_speed"),
    (WHEELS, "across = jounce_speed - place * pitch_speed", "across = jounce_speed + place * pitch_speed"),
    (WHEELS, "speed = (forwards + slope * upwards)", "speed = (forwards - slope * upwards)"),
    (WHEELS, "/ (1.0 + slope * slope) ** 0.5", ""),
    (WHEELS, "* (pressed if pressed > 0.0 else 0.0)", "* pressed"),
    (WHEELS, "rolling = radius - m[", "rolling = radius + m["),
    (WHEELS, "sliding = rolling * spin - speed", "sliding = radius * spin - speed"),
    (WHEELS, "fastest = max(abs(speed), abs(rolling * spin))", "fastest = abs(speed)"),
    (WHEELS, "exp(-m[w + W_FADE", "exp(m[w + W_FADE"),
    (WHEELS, "(sliding - fastest * slip)", "(sliding + fastest * slip)"),
    (WHEELS, "traction(slip + m[", "traction(slip - m["),
    (WHEELS, "+ m[s + at.TURN_1 * lanes] * jounce_speed", "- m[s + at.TURN_1 * lanes] * jounce_speed"),
    (WHEELS, "* by_ratio - against", "* by_ratio + against"),
    (WHEELS, "lane] + damping", "lane] - damping"),
    (WHEELS, "= brake - torque", "= torque - brake"),
    (WHEELS, "-m[w + W_SHIFT_RATE", "m[w + W_SHIFT_RATE"),
    (WHEELS, "- m[w + W_SHIFT_DAMPING", "+ m[w + W_SHIFT_DAMPING"),
    (WHEELS, "(torque - brake - force * rolling)", "(torque - brake - force * radius)"),
    (WHEELS, "(torque - brake - force * rolling)", "(torque + brake - force * rolling)"),
    (WHEELS, "(against - abs(against) * bound)", "(against + abs(against) * bound)"),
    (WHEELS, "at.ENGINE) * lanes + lane] -= (", "at.ENGINE) * lanes + lane] += ("),
    (WHEELS, "(m[(at.DRIVE + D_GEARS) * lanes + lane] * m[", "(m["),
    (WHEELS, "= torque * speed", "= torque * above"),
    (WHEELS, "+= force * sliding", "+= force * speed"),
    (WHEELS, "+= brake * against", "+= brake * spin"),
    (WHEELS, "+= damping * twist_rate", "+= damping * against"),
    (WHEELS, "LOSS_SHIFT * lanes] += m[", "LOSS_SHIFT * lanes] -= m["),
    (EQUATIONS, "place += m[(at.SHIFT + axle)", "place -= m[(at.SHIFT + axle)"),
    (EQUATIONS, "moment -= coupling * jounce", "moment += coupling * jounce"),
    (EQUATIONS, "+ friction + coupling * wind_up", "+ friction - coupling * wind_up"),
    (EQUATIONS, "along += m[(at.SHIFT_SPEED + axle)", "along -= m[(at.SHIFT_SPEED + axle)"),
    (EQUATIONS, "at.ROAD_SLOPE * lanes] * centre_forwards", "at.ROAD_SLOPE * lanes] * m[(at.COORDINATES + at.X) * lanes + lane]"),
    (EQUATIONS, "if not driven:  # a wheel", "if rows > at.MOTION:  # a wheel"),
    (EQUATIONS, "at.TRACTION * lanes] / sqrt(1.0 + slope * slope)", "at.TRACTION * lanes]"),
    (EQUATIONS, "forwards = along - load * slope", "forwards = along + load * slope"),
    (EQUATIONS, "upwards = load + along * slope", "upwards = load"),
    (EQUATIONS, "x_speed += shift_speed", "x_speed -= shift_speed"),
    (EQUATIONS, "r1 += moment * turn_1", "r1 -= moment * turn_1"),
    (EQUATIONS, "r2 += moment * wind_up_free", "r2 -= moment * wind_up_free"),
    (EQUATIONS, "h3 += moment", "h3 -= moment"),
    (EQUATIONS, "rs = force_shift + load_x", "rs = force_shift"),
    (EQUATIONS, "a12 -= t1 * d2", "a12 += t1 * d2"),
    (EQUATIONS, "c13 -= t1 * mass * z", "c13 += t1 * mass * z"),
    (EQUATIONS, "c21 -= t2 * mass\n", "c21 += t2 * mass\n"),
    (EQUATIONS, "r2 -= t2 * rs", "r2 += t2 * rs"),
    (EQUATIONS, "b13 -= shift_free * mass * z", "b13 += shift_free * mass * z"),
    (EQUATIONS, "b33 -= shift_free * mass * z * z", "b33 -= shift_free * mass * z"),
    (EQUATIONS, "h3 -= shift_free * z * rs", "h3 += shift_free * z * rs"),
    (EQUATIONS, "forward += (1.0 - free) * backwards", "forward += 0.0"),
    (EQUATIONS, "= forward - backwards", "= forward + backwards"),
    (EQUATIONS, "- ft3 * along - ft4 * pitch", "- ft3 * along + ft4 * pitch"),
    (EQUATIONS, "- rt2 * rear_wind_up", "+ rt2 * rear_wind_up"),
    (LINES, "by_shift = dx / length", "by_shift = -dx / length"),
    (LINES, "closing -= by_shift", "closing += by_shift"),
    (LINES, f"{SHIFTED}        if damper and", "        if damper and"),
    (LINES, f"{SHIFTED}        if rows > at.MOTION", "        if rows > at.MOTION"),
)  # fmt: skip


def outcome(mutant: tuple[str, str, str]) -> str:
    """Return what the tests say of one mutant: the test that fails, or that none does."""
    file, good, bad = mutant
    tests, more = (TESTS + DRIVEN_TESTS if file.startswith("sim/kernel") else DAMPER_TESTS), {}
    if mutant in DRIVEN_MUTANTS:  # a few hundred states: interpreted sooner than compiled
        tests, more = DRIVEN_TESTS, {"NUMBA_DISABLE_JIT": "1"}
    with tempfile.TemporaryDirectory() as folder:
        here = Path(folder) / "copy"
        shutil.copytree(ROOT, here, ignore=shutil.ignore_patterns(".*", "outputs", "__pycache__", "*.egg-info"))
        path = here / file
        text = path.read_text(encoding="utf-8")
        if text.count(good) != 1:
            return f"the text stands {text.count(good)} times"
        path.write_text(text.replace(good, bad), encoding="utf-8")
        environment = os.environ | {"NUMBA_CACHE_DIR": folder, "PYTHONPATH": str(here)} | more
        command = [
            sys.executable,
            "-m",
            "pytest",
            "-n",
            "0",
            "-x",
            "-q",
            "--no-header",
            "-p",
            "no:cacheprovider",
            *tests,
        ]
        done = subprocess.run(command, cwd=here, env=environment, capture_output=True, text=True, check=False)
    failed = [line for line in done.stdout.splitlines() if line.startswith("FAILED")]
    if done.returncode == 1 and failed:
        return f"killed by {failed[0].split()[1]}"
    return "SURVIVED" if done.returncode == 0 else f"broken: {done.stdout[-300:]}{done.stderr[-300:]}"


def main() -> int:
    """Try all; the exit code counts those that no test has noticed."""
    lived, mutants = 0, MUTANTS + DRIVEN_MUTANTS
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        for mutant, said in zip(mutants, pool.map(outcome, mutants), strict=True):
            print(f"{mutant[0]}: {mutant[1]!r} -> {mutant[2]!r}: {said}", flush=True)
            lived += not said.startswith("killed")
    print(f"{len(mutants)} mutants, {lived} not killed")
    return lived


if __name__ == "__main__":
    sys.exit(main())
