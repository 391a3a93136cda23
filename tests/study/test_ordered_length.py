"""Free lengths and arches as they are ordered: whole millimetres, or sixteenths of an inch as a tape has them."""

import re

import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import shown_in
from sim.show.report.spring_sheet import spring_words
from sim.study.ordered_length import show_ordered, whole
from sim.study.spring_order import spring_orders

INCH = 0.0254
TRUCK = {
    "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
    "front": {"springs": {"coil": {"rate": "165 lb/in", "length_at_ride": "13 1/4 in"}}},
    "rear": {"springs": {"pack": {"rate": "240 lb/in"}}},
}  # fmt: skip


@pytest.mark.parametrize(
    ("inches", "said"),
    [
        (18.70, "18 11/16 in"),
        (18.75, "18 3/4 in"),
        (18.0, "18 in"),
        (0.5, "1/2 in"),
        (-2.25, "-2 1/4 in"),
        (18.72, "18 3/4 in"),
    ],
)
def test_marks_of_a_tape(inches, said):
    with shown_in("inch"):
        assert show_ordered(whole(inches * INCH, True), True) == said
    with shown_in("both"):
        assert show_ordered(whole(inches * INCH, True), True).endswith(f"({said})")


def test_millimetres_stay_whole_and_what_is_no_mark_stays_a_decimal():
    assert whole(0.4747, False) == pytest.approx(0.475)
    with shown_in("both"):
        assert show_ordered(0.475, False) == "475.0 mm (18.70 in)"
        assert show_ordered(18.72 * INCH, True).endswith("(18.72 in)")
        # A set-up has what was ordered to a hundredth of an inch.
        assert show_ordered(18.69 * INCH, True).endswith("(18 11/16 in)")


def test_a_truck_in_inches_gets_its_springs_by_the_tape_and_a_metric_one_by_the_millimetre():
    truck = vehicle_from(TRUCK)
    for system, step in (("inch", INCH / 16.0), ("metric", 1e-3), ("both", INCH / 16.0)):
        with shown_in(system):
            for order in spring_orders(truck, {"front": 2.0 * INCH, "rear": 2.0 * INCH}):
                assert order.order / step == pytest.approx(round(order.order / step), abs=1e-6)
                # To half of a step, and by what a coil's lean or a pack's shackle makes of it.
                assert order.gives == pytest.approx(2.0 * INCH, abs=0.6 * step)
    with shown_in("inch"):
        coil = spring_orders(truck, {"front": 2.0 * INCH})[0]
        assert f"free length {show_ordered(coil.order, True)}; the frame" in spring_words(coil)
        assert re.fullmatch(r"\d+(?: \d{1,2}/(?:2|4|8|16))? in", show_ordered(coil.order, True))
