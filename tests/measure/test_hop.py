"""Whether an axle hops, on motions whose answer is known: steady wind-up, swings of one frequency, ripple on them, bursts with a rest between."""

from dataclasses import replace
from math import pi, radians
from types import SimpleNamespace

import numpy as np
import pytest

from sim.measure.comparison import Comparison
from sim.measure.hop import hop_of, hop_swing, hop_time
from sim.measure.hopping import hopping
from sim.measure.table import evaluate
from sim.measure.verdict import verdict
from sim.show.report.hop_words import others_hop, stays, swings, wound
from sim.show.report.naming import quoted
from sim.show.report.verdict_words import headline
from tests.measure.test_grip_under_power import pulling

TIME = np.arange(0.0, 6.0, 1e-3)


def swinging(size_deg, frequency_hz, start_s, end_s):
    """A swing of one size and frequency between two moments, in whole swings, and nothing before and after."""
    inside = (start_s <= TIME) & (end_s >= TIME)
    return np.where(inside, radians(size_deg) * np.sin(2.0 * pi * frequency_hz * (TIME - start_s)), 0.0)


def test_an_axle_that_winds_up_and_stays_does_not_hop():
    """However far: 15 deg within a second, and held there by the engine."""
    assert hop_of(TIME, radians(15.0) * np.clip(TIME - 1.0, 0.0, 1.0)) is None
    assert hop_of(TIME, np.zeros_like(TIME)) is None


@pytest.mark.parametrize("frequency_hz", [6.0, 8.0, 11.0])
def test_swings_of_one_frequency(frequency_hz):
    """3 deg to either side of 5 deg: 6 deg from one turn to the next; from the first turn, a quarter of a swing after the start, to the last."""
    wind_up = radians(5.0) + swinging(3.0, frequency_hz, 1.0, 3.0)
    hop = hop_of(TIME, wind_up)
    assert hop.frequency_hz == pytest.approx(frequency_hz, abs=0.1)
    assert hop.swing_rad == pytest.approx(radians(6.0), rel=1e-3)
    assert hop.time_s == pytest.approx(2.0 - 0.5 / frequency_hz, abs=0.02)


def test_ripple_on_a_swing_is_not_counted_as_swings():
    """6 times a second by 5 deg, and 18 times a second by 1.5 deg on it: it is felt as six."""
    hop = hop_of(TIME, swinging(5.0, 6.0, 1.0, 3.0) + swinging(1.5, 18.0, 1.0, 3.0))
    assert hop.frequency_hz == pytest.approx(6.0, abs=0.1)


def test_what_nobody_feels_and_what_swings_but_twice_is_no_hop():
    assert hop_of(TIME, swinging(0.4, 6.0, 1.0, 3.0)) is None
    assert hop_of(TIME, swinging(5.0, 6.0, 1.0, 1.0 + 2.0 / 6.0)) is None


def test_of_two_bursts_with_a_rest_between_the_longer_counts():
    """Pulling away and stopping are not one hop: half a second, then one second, and a second of rest between."""
    hop = hop_of(TIME, swinging(3.0, 8.0, 1.0, 1.5) + swinging(3.0, 8.0, 2.5, 3.5))
    assert hop.time_s == pytest.approx(1.0 - 0.5 / 8.0, abs=0.02)


def test_the_first_sentence_of_a_launch():
    """5 deg and swings of 4.9 deg to either side, 8 times a second: up to 9.9 deg, at the usual limit of 10 (`good.py`)."""
    from tests.measure.test_grip_under_power import TIME as RUN_S

    hops = pulling(0.1, 8000.0, wind_up_rad=radians(5.0) + radians(4.9) * np.sin(2.0 * pi * 8.0 * RUN_S))
    assert wound(hopping(hops)) == "the rear axle hops: it winds up by 9.9 deg (at the usual limit of 10.0 deg)"
    assert swings(hopping(hops)).startswith("its pinion swings to and fro by 9.8 deg, 8 times a second, for ")
    assert hop_time(hops, "rear") == pytest.approx(4.0, abs=0.15)
    assert hop_time(hops, "front") == hop_swing(hops, "front") == 0.0
    steady = wound(hopping(pulling(0.1, 8000.0, wind_up_rad=radians(5.3))))
    assert swings(hopping(pulling(0.1, 8000.0, wind_up_rad=radians(5.3)))) == ""
    assert steady == "the rear axle winds up by 5.3 deg (usual is up to 10.0 deg), steadily: it does not hop"
    assert "more than the usual 10.0 deg" in wound(hopping(pulling(0.1, 8000.0, wind_up_rad=radians(12.0))))


def test_of_two_axles_that_hop_the_one_that_winds_up_more_is_told():
    """A front pinion goes down under power; 2 deg for four seconds say less than 11 deg for two, which is past the usual limit."""
    from tests.measure.test_grip_under_power import TIME as RUN_S

    late = (RUN_S[-1] - 2.0 <= RUN_S).astype(float)
    run = pulling(0.1, 8000.0, wind_up_rad=radians(6.0) + late * radians(5.0) * np.sin(2.0 * pi * 8.0 * RUN_S))
    swing = radians(1.0) * np.sin(2.0 * pi * 8.0 * RUN_S)
    both = replace(run, front=replace(run.front, wind_up_rad=swing - radians(1.0)))
    assert hop_time(both, "front") > hop_time(both, "rear") > 0.0
    found = hopping(both)
    assert (found.axle, round(np.degrees(found.most_rad), 1)) == ("rear", 11.0)
    # Alone, the front one is told by how far shafts wind it: its pinion down.
    still = replace(both, rear=replace(both.rear, wind_up_rad=np.zeros_like(RUN_S)))
    assert hopping(still).most_rad == pytest.approx(radians(2.0), rel=1e-3)


def test_what_does_not_hop_at_all_is_said_so():
    steady = pulling(0.1, 8000.0, wind_up_rad=radians(9.9))
    found = launched({"0": hop_or_not(True), "1": replace(steady, drive=hop_or_not(True).drive)})
    assert "“1” does not hop its rear axle" in headline(found)
    assert "100 % less" not in headline(found)


def launched(runs):
    """Return the verdict on launches: the first set-up is what the others are judged against."""
    values = {name: evaluate(run) for name, run in runs.items()}
    scenario = SimpleNamespace(name="x", question="", path=None, show=None, reference=next(iter(runs)))
    return verdict(Comparison(scenario, runs, values))


def hop_or_not(hops, speed_m_per_s=3.0):
    from tests.measure.test_grip_under_power import TIME as RUN_S

    size = radians(4.9) if hops else 0.0
    run = pulling(0.1, 8000.0, wind_up_rad=radians(5.0) + size * np.sin(2.0 * pi * 8.0 * RUN_S))
    return replace(run, drive=replace(run.drive, speed_m_per_s=np.full_like(run.time_s, speed_m_per_s)))


@pytest.mark.parametrize(
    ("hops", "said"),
    [
        ((True, True), "; the other one hops too"),
        ((True, True, True), "; all others hop too"),
        ((True, False), "; the other one does not hop"),
        ((True, False, True), "; “1” does not hop"),
        ((True, False, False, True), "; “1” and “2” do not hop"),
        ((True, False, False), "; no other one hops"),
        ((False, True), "; the other one hops"),
        ((False, True, False), "; “1” hops"),
        ((False, False), "; the other one does not hop either"),
        ((False, False, False), "; no other one hops"),
        ((True,), ""),
    ],
)
def test_whether_the_others_hop_is_said_too(hops, said):
    found = launched({str(number): hop_or_not(one) for number, one in enumerate(hops)})
    assert others_hop(found, quoted) == said
    assert said in headline(found)
    # How it swings is said once, and after what the set-ups come to.
    swing = "its pinion swings to and fro by 9.8 deg"
    assert headline(found).count(swing) == int(hops[0])
    if hops[0] and len(hops) > 1:
        assert swing in headline(found).split(". ")[-1]


@pytest.mark.parametrize(
    ("speeds", "said"),
    [
        ((3.0, 2.0), ""),
        ((-0.25,), "“0” does not pull away: at the end it rolls back at 0.9 km/h (0.6 mph)"),
        ((0.0, 2.0), "“0” does not pull away: at the end it stands still"),
        ((-0.25, -0.5, 1.0), "“0” and “1” do not pull away: at the end they roll back at 1.8 km/h (1.1 mph) or less"),
        ((-0.25, -0.5), "No set-up pulls away: at the end the truck rolls back at 1.8 km/h (1.1 mph) or less"),
        ((0.0, 0.01), "No set-up pulls away: at the end the truck stands still"),
    ],
)
def test_a_truck_that_does_not_get_up_is_said_first(speeds, said):
    """0.25 m/s are 0.9 km/h and 0.56 mph (NIST SP 811)."""
    found = launched({str(number): hop_or_not(False, speed) for number, speed in enumerate(speeds)})
    assert stays(found, quoted) == said
    assert headline(found).startswith(f"{said}. With " if said else "With ")
