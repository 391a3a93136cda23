"""Which changes of a set-up get a slider."""

from sim.show.pages.local.tried_changes import numbers_of


def test_a_size_on_a_wall_begins_with_a_number_and_is_none():
    changes = {
        "front.tyre.size": "33x12.50R15", "rear.tyre.size": "235/85R16", "front.tyre.outside_diameter": "33 in",
        "front.stop.gap": "3 1/4 in", "front.dampers.main.count": 4, "rear.dampers.main.valving": "firm",
    }  # fmt: skip
    assert numbers_of(changes) == {
        "front.tyre.outside_diameter": (33.0, "in"), "front.stop.gap": (3.25, "in"), "front.dampers.main.count": (4.0, ""),
    }  # fmt: skip
