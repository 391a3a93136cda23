"""Questions that the page does not answer and a command does: what to type, ready to be copied."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Asked:
    """A question, and the command that answers it."""

    question: str
    command: str


def questions(vehicle: str) -> tuple[Asked, ...]:
    """Return what is asked in a terminal, with the truck's file in its place."""
    truck = vehicle or "my_truck.yaml"
    quoted = f"'{truck}'" if any(sign in truck for sign in " ()&'") else truck
    return (
        Asked("One damper a side made two: lean, gas, which end up", f"jounce convert {quoted}"),
        Asked("Does a damper's test say what was ordered?", f"jounce dyno returned.csv --against {quoted}"),
    )
