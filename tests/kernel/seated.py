"""Any truck with both axles held over or under their centres, whatever their guides are."""

from dataclasses import replace

import pytest

SEATS = pytest.mark.parametrize(
    "seats", [(0.0, 0.0), (0.07, -0.09)], ids=["at the centres", "over and under the centres"]
)


def on_seats(setup, seats):
    """Hold both axles so far above their centres [m], whatever their guides are; all else stays where it is."""
    above = dict(zip(setup.axles, seats, strict=True))
    axles = {
        name: axle._replace(
            seat_above=above[name], seat_up=axle.seat_up + above[name], gravity_up=axle.gravity_up - above[name],
            stop_up=axle.stop_up - above[name],
        )
        for name, axle in setup.axles.items()
    }  # fmt: skip
    lines = tuple(n._replace(line=n.line._replace(axle_up=n.line.axle_up - above[n.axle])) for n in setup.lines)
    return replace(setup, axles=axles, lines=lines)
