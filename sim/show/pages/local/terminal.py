"""Questions that the page does not answer and a command does: what to write and what to type, ready to be copied."""

from dataclasses import dataclass

from sim.describe.files.writer import as_yaml


@dataclass(frozen=True)
class Asked:
    """A question, and the command that answers it."""

    question: str
    command: str


LAUNCH = "take_off.yaml"

DRIVELINE = """\
driveline:
  engine: {torque: 310 N m, limit: 3900 rpm, inertia: 0.28 kg m^2}
  gear: 3.6
  transfer: 2.4
  drive: rear
front:
  tyre: {spin_inertia: 2.1 kg m^2, slip: {stiffness: 16}}
  brakes: {torque: 5200 N m}
rear:
  tyre: {spin_inertia: 2.1 kg m^2, slip: {stiffness: 16}}
  shafts: {final_drive: 4.3, rate: 11 kN m/rad}
  brakes: {torque: 3400 N m}
"""
"""What a truck's file needs for a launch: the numbers of docs/launches-and-stops.md, of the demo's truck; a test runs them."""


def launch(vehicle: str) -> str:
    """Return a scenario that pulls away, of a truck's file beside it."""
    return (
        f"kind: scenario\nname: Take-off\nvehicle: {as_yaml([vehicle])[2:].strip()}\n"
        "run:\n  kind: launch\n  climb: 8 deg\n  surface: {name: firm rock, friction: 0.85, sliding: 0.62, peak_at: 13 %}\n  watch: 4 s\nsetups:\n  as it is:\n"
    )


def questions(vehicle: str) -> tuple[Asked, ...]:
    """Return what is asked in a terminal, with the truck's file in its place."""
    truck = vehicle or "my_truck.yaml"
    quoted = f"'{truck}'" if any(sign in truck for sign in " ()&'") else truck
    return (
        Asked("Does an axle wind up or hop at take-off?", f"jounce simulate {LAUNCH}"),
        Asked("Where should its dampers stand against that?", f"jounce lean {LAUNCH}"),
        Asked("From which lean and slip does it hop by itself (tramp)?", f"jounce tramp {LAUNCH}"),
        Asked("One damper a side made two: lean, gas, which end up", f"jounce convert {quoted}"),
        Asked("Does a damper's test say what was ordered?", f"jounce dyno returned.csv --against {quoted}"),
    )
