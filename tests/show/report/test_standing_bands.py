"""What the doubt leaves open of a number stands beneath it with the same sign."""

from sim.describe.files.vehicles import vehicle_from
from sim.linear.standing import stand
from sim.measure.band import Band
from sim.show.report.standing import Column, rows


def test_an_instant_centre_behind_the_axle_lies_within_its_band():
    truck = vehicle_from({
        "kind": "vehicle", "weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in",
        "front": {"springs": {"coil": {"rate": "165 lb/in"}}}, "rear": {"springs": {"pack": {"rate": "240 lb/in"}}},
    })  # fmt: skip
    standing = stand(truck)
    centre = standing.axles["front"].instant_centre_ahead
    assert centre < 0.0  # the arms' pivot is behind the axle
    band = {("front", "instant_centre_ahead"): Band(1.2 * centre, 0.9 * centre)}
    found = rows([Column(standing, band)])
    at = next(n for n, (label, _) in enumerate(found) if "instant centre (the point" in label)
    assert "behind the axle" in found[at][0]
    shown = float(found[at][1][0].split()[-1].strip("()"))  # metres, then inches
    low, _, high, unit = found[at + 1][1][0].split()
    assert found[at + 1][0].strip() == "between"
    assert unit == "in"
    assert 0.0 < float(low) < shown < float(high)
