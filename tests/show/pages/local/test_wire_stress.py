"""The stress in a coil's wire at its box: Wahl's formula by hand, with what wires bear beside it."""

from math import pi
from re import search

import pytest

from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import shown_in
from sim.linear.standing import stand
from sim.show.pages.local.wire_stress import wire_stresses

WIRE, ACROSS, TURNS = 0.0155, 0.132, 7.5
COIL = {"wire_diameter": "15.5 mm", "coil_diameter": "132 mm", "active_coils": 7.5}
TRUCK = {
    "weighed": {"front": "980 kg", "rear": "780 kg"}, "wheelbase": "2340 mm",
    "front": {"springs": {"coil": {"kind": "coil", **COIL}}, "stop": {"gap": "70 mm"}}, "rear": {"springs": {"pack": {"rate": "40 N/mm"}}},
}  # fmt: skip


def wahl(newtons):
    """8 F D / (pi d³) times (4 C - 1) / (4 C - 4) + 0.615 / C: A. M. Wahl, Mechanical Springs; Shigley, chapter 10."""
    index = ACROSS / WIRE
    factor = (4 * index - 1) / (4 * index - 4) + 0.615 / index
    return factor * 8.0 * newtons * ACROSS / (pi * WIRE**3)


def test_it_is_that_of_its_load_at_ride_and_of_the_way_to_full_bump():
    truck = vehicle_from(TRUCK)
    standing = stand(truck)
    with shown_in("metric"):
        ((box, text),) = wire_stresses(truck)
    assert box == "front.springs.coil.wire_diameter"
    ride, bump = (float(search(rf"(\d+) MPa at {place}", text)[1]) * 1e6 for place in ("ride", "full bump"))
    rate = 79.3e9 * WIRE**4 / (8.0 * ACROSS**3 * TURNS)
    share = standing.axles["front"].wheel_rate / (2.0 * rate)
    # The sprung mass over the axle rests on two coils, by the arms' lever; gas pushes a little of it.
    carried = 9.80665 * standing.axles["front"].sprung_mass / 2.0 / share**0.5
    assert ride == pytest.approx(wahl(carried), rel=0.08)
    # All the way to full bump, by the same lever.
    travel = truck.front.stop.gap + truck.front.stop.squeeze - standing.axles["front"].jounce
    assert bump - ride == pytest.approx(wahl(rate * travel * share**0.5), rel=0.03)
    for word in ("Oil-tempered wire of it bears", "as wound", "chrome-silicon", "Wahl"):
        assert word in text


def test_what_sags_is_said_there_and_a_coil_by_its_rate_has_no_wire():
    thin = {
        **TRUCK,
        "front": {
            "springs": {"coil": {"kind": "coil", **COIL, "wire_diameter": "11 mm", "active_coils": 3}},
            "stop": {"gap": "110 mm"},
        },
    }
    with shown_in("metric"):
        ((_, text),) = wire_stresses(vehicle_from(thin))
    assert "sag" in text
    assert (
        list(
            wire_stresses(vehicle_from({**TRUCK, "front": {"springs": {"coil": {"kind": "coil", "rate": "33 N/mm"}}}}))
        )
        == []
    )
