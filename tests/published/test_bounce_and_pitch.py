"""Bounce and pitch of two- and four-degree cars from simulated free decays of the real model.

Sources: W. T. Thomson, Theory of Vibration with Applications, automobile example; S. S. Rao, Mechanical Vibrations,
ch. 5; T. D. Gillespie, Fundamentals of Vehicle Dynamics (1992), ch. 5; a public course exercise (four degrees).
Inputs of 1.2, 1.4 and 1.9 were seen in print, those of 1.1 and 1.6 are from memory; all outputs were recomputed.
"""

from functools import partial

import numpy as np
import pytest

from tests.published import textbook
from tests.published.textbook import decay, modes

FOOT, POUND = 0.3048, 4.4482216152605
SLUG = POUND / FOOT
INCH = 0.0254

car = partial(textbook.car, stiff=1e5)
"""Tyres whose give lowers a frequency by half of the least tolerance here; stiffer ones would need short steps."""


def body_modes(vehicle, body_up="1 mm", nose_up="0.001 rad", watch="20 s"):
    run = decay(vehicle, body_up=body_up, nose_up=nose_up, watch=watch)
    assert not run.flags
    nose_down = -run.pitch_nose_up_rad
    found = modes(run, 2, [run.bounce_m, nose_down])
    return found.frequencies, found.amplitudes[:, 0] / found.amplitudes[:, 1]


def test_thomson_automobile():
    vehicle = car(
        100 * SLUG, 100 * SLUG * (4.0 * FOOT) ** 2, 4.5 * FOOT, 5.5 * FOOT, 2400 * POUND / FOOT, 2600 * POUND / FOOT
    )
    frequencies, nodes = body_modes(vehicle)
    assert frequencies == pytest.approx([6.8994, 9.0515], rel=1e-4)
    # A node is a ratio of two fitted amplitudes: reading error of the record 5e-4.
    assert nodes / FOOT == pytest.approx([-14.596, 1.0962], rel=5e-4)


def test_thomson_automobile_with_weight_by_32_174():
    """The same 3220 lb in the exact gravity of Thomson's units (published-values 1.1b): 6.8966 and 9.0478 rad/s."""
    mass = 3220.0 / 32.174 * SLUG
    frequencies, nodes = body_modes(
        car(mass, mass * (4.0 * FOOT) ** 2, 4.5 * FOOT, 5.5 * FOOT, 2400 * POUND / FOOT, 2600 * POUND / FOOT)
    )
    assert frequencies == pytest.approx([6.8966, 9.0478], rel=1e-4)
    assert nodes / FOOT == pytest.approx([-14.596, 1.0962], rel=5e-4)


def test_rao_car():
    frequencies, nodes = body_modes(car(1000.0, 810.0, 1.0, 1.5, 18e3, 22e3))
    assert frequencies == pytest.approx([5.85929, 9.43409], rel=1e-5)
    assert nodes == pytest.approx([-2.64611, 0.30611], rel=5e-4)


def test_rao_machine_on_two_mounts():
    frequencies, _ = body_modes(
        car(1000.0, 300.0, 0.5, 0.8, 3e6, 2e6, unsprung=(200.0, 200.0)),
        body_up="0.1 mm",
        nose_up="0.0001 rad",
        watch="5 s",
    )
    assert frequencies == pytest.approx([70.5785, 82.3732], rel=1e-5)


def test_gillespie_pitch_and_bounce_centres():
    weight = (957 + 730) * POUND
    mass = weight / (386.0 * INCH)  # the book counts with 386 in/s²
    a, b = 100.6 * 730 / 1687 * INCH, 100.6 * 957 / 1687 * INCH  # from weights and wheelbase: 43.53 and 57.07 in
    pound_per_inch = POUND / INCH
    vehicle = car(mass, 1.1 * mass * a * b, a, b, 127.0 * pound_per_inch, 92.3 * pound_per_inch)
    frequencies, nodes = body_modes(vehicle, watch="60 s")
    assert frequencies == pytest.approx([6.7130, 7.1016], rel=1e-4)
    assert np.abs(nodes) / INCH == pytest.approx([11.69, 233.9], rel=5e-3)


def test_gillespie_ride_rates():
    """Front 143 lb/in on 957 lb, rear 100 lb/in on 730 lb, tyres 1198 lb/in: a spring in series with its tyre."""
    pound_per_inch = POUND / INCH
    for rate, weight, ride_rate, frequency in ((143.0, 957.0, 127.75, 1.1426), (100.0, 730.0, 92.30, 1.1120)):
        mass = weight * 0.45359237
        # Both ends alike, so that the body only bounces; light axles, as the formula has none.
        vehicle = car(
            2 * mass, 2 * mass * 1.5, 1.2, 1.2, rate * pound_per_inch, rate * pound_per_inch,
            unsprung=(0.05, 0.05), tyre_rates=(1198 * pound_per_inch,) * 2,
        )  # fmt: skip
        run = decay(vehicle, body_up="1 mm", watch="20 s")
        found = modes(run, 1, [run.bounce_m])
        assert found.frequencies[0] / (2 * np.pi) == pytest.approx(frequency, rel=2e-4)
        assert mass * found.frequencies[0] ** 2 / pound_per_inch == pytest.approx(ride_rate, rel=5e-4)


def test_dynamic_index_one_puts_the_nodes_on_the_axles():
    """Decoupling, all texts: with r² = a b each end moves as if the other were not there."""
    vehicle = car(1500.0, 1500.0 * 1.8, 1.2, 1.5, 40e3, 36e3)
    frequencies, nodes = body_modes(vehicle, watch="60 s")
    assert frequencies / (2 * np.pi) == pytest.approx([1.10266, 1.16955], rel=1e-5)
    assert nodes == pytest.approx([-1.5, 1.2], rel=1e-3)


def test_four_degree_half_car():
    """Public course exercise: M 1200 kg, J 1800 kg m², a 1.0, b 1.1 m; two wheels of 30 kg an axle; 16/18, 150 kN/m."""
    vehicle = car(1200.0, 1800.0, 1.0, 1.1, 32e3, 36e3, unsprung=(60.0, 60.0), tyre_rates=(300e3, 300e3))
    run = decay(vehicle, body_up="1 mm", nose_up="0.001 rad", jounce_front="1 mm", jounce_rear="-0.6 mm", watch="40 s")
    assert not run.flags
    signals = [run.bounce_m, -run.pitch_nose_up_rad, run.front.wheel_height_m, run.rear.wheel_height_m]
    found = modes(run, 4, signals)
    assert found.frequencies == pytest.approx([6.02688, 7.22125, 74.41532, 74.87234], rel=1e-5)


def test_height_lowers_the_pitch_frequency():
    """With a body that stands above its axles, its weight tips it: pitch slows by about the factor derived below.

    Derived here: for vertical guides at a distance h below the centre of gravity, potential energy falls by
    m g h theta²/2, so k_pitch becomes k_f a² + k_r b² - m g h.
    """
    mass, inertia, half, rate, rise = 1500.0, 2500.0, 1.35, 30e3, 0.5
    low = car(mass, inertia, half, half, rate, rate, unsprung=(2.0, 2.0), tyre_rates=(1e4 * rate,) * 2)
    high = low.changed({"body.centre_of_gravity.above_ground": f"{textbook.HEIGHT + rise} m"})
    run = decay(high, nose_up="0.001 rad", watch="20 s")
    found = modes(run, 1, [-run.pitch_nose_up_rad])
    # The axles, 2 kg each, go along sideways with the body that turns about its centre of gravity.
    stiffness = 2 * rate * half**2 - mass * 9.80665 * rise
    assert found.frequencies[0] == pytest.approx(np.sqrt(stiffness / inertia), rel=2e-3)
    assert found.frequencies[0] < 0.97 * np.sqrt(2 * rate * half**2 / inertia)
