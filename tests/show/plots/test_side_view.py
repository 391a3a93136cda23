"""The side view: what is written stands where it is measured, and says what the drawing shows by its own scale."""

import re
from math import isfinite

import pytest

import sim
from sim.describe.shown import shown_in
from sim.linear.standing import stand
from sim.show.plots.side_view import figure

TRUCK = "scenarios/vehicles/hut_supply_truck.yaml"
LOADED = {"loads.cargo": {"mass": "550 kg", "place": {"behind_front_axle": "2.9 m", "above_ground": "1.1 m"}}}


def written(changes=None):
    """Return the texts of a side view with their places, and the arrows' ends."""
    picture = figure("as it stands", stand(sim.load(TRUCK).changed(changes or {})))
    axes = picture.axes[0]
    arrows = [(one.xy, one.xyann) for one in axes.texts if getattr(one, "arrow_patch", None) is not None]
    texts = {one.get_text(): one.get_position() for one in axes.texts if one.get_text()}
    return texts, arrows


def millimetres(text):
    return float(re.search(r"(\d+) mm", text)[1])


@pytest.mark.parametrize("changes", [None, LOADED])
def test_every_arrow_is_as_long_as_its_text_says(changes):
    texts, arrows = written(changes)
    lengths = [1000.0 * max(abs(a - b) for a, b in zip(*ends, strict=True)) for ends in arrows]
    said = [millimetres(text) for text in texts if re.search(r"^\d+ mm|wheelbase|sprung mass|bump left", text)]
    # Wheelbase, place and height of the sprung mass, two axle heights, two stops: each arrow has its text.
    for arrow in lengths:
        assert min(abs(arrow - one) for one in said) < 0.6, arrow
    assert len(lengths) == 7


def test_numbers_are_those_of_the_file_and_of_the_scales():
    """Wheelbase 2950 mm and stops at 88 and 92 mm are written in the file; 25.4 mm to the inch; loads add up to the weight."""
    texts, _ = written()
    assert "wheelbase 2950 mm (116.1 in)" in texts
    assert "bump left 88 mm (3.5 in)" in texts
    assert "bump left 92 mm (3.6 in)" in texts
    loads = [float(re.match(r"(\d+) kg", text)[1]) for text in texts if re.match(r"\d+ kg", text)]
    truck = sim.load(TRUCK)
    # Body, driver, housings and the masses of the dampers, by the file.
    parts = sum(d.count * (d.tube_mass + d.rod_mass) for _, axle in truck.axles for d in axle.dampers.values())
    assert sum(loads) == pytest.approx(1640 + 85 + 232 + 205 + parts, abs=1.0)


def test_texts_stand_where_the_tape_is_held():
    texts, _ = written()
    standing = stand(sim.load(TRUCK))
    for axle, at in (("front", 0.0), ("rear", 2.95)):
        (place,) = [
            spot for text, spot in texts.items()
            if re.match(r"\d+ mm", text) and abs(millimetres(text) - 1000 * standing.axles[axle].centre_height) < 0.6
            and abs(spot[0] - at) < 0.8
        ]  # fmt: skip
        # Half way up to the axle's centre, and outside of the tyre.
        assert place[1] == pytest.approx(standing.axles[axle].centre_height / 2.0, abs=0.01)
        assert abs(place[0] - at) > 0.402


def test_one_system_alone():
    with shown_in("inch"):
        texts, _ = written()
    assert "wheelbase 116.1 in" in texts
    assert not any("mm" in text or "kg" in text for text in texts)


def test_the_truck_faces_right():
    """Forward is to the right, as the road's distance is in every picture: places behind the front axle grow to the left."""
    axes = figure("as it stands", stand(sim.load(TRUCK))).axes[0]
    assert axes.xaxis_inverted()


def test_both_axles_have_their_droop_with_a_strap_and_without():
    """Without a strap it ends where the axle hangs or a damper is fully out: the stroke left over the motion ratio, if that is less."""
    for changes in ({}, {"rear.strap": "none", "front.strap": "none"}):
        texts, _ = written(changes)
        axles = stand(sim.load(TRUCK).changed(changes)).axles.values()
        said = sorted(millimetres(text) for text in texts if text.startswith("droop left"))
        known = sorted(1000.0 * axle.droop_left for axle in axles if isfinite(axle.droop_left))
        assert said == pytest.approx(known, abs=0.6)
        assert len(said) == 2 or changes
