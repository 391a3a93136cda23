"""What was meant by a text that is no tyre size, in the words of who stands at the tyre."""

import pytest

from sim.describe.estimates.tyre_size import looks_like_size, meant_for_size
from sim.describe.files.vehicles import vehicle_from
from sim.errors import InputError

TRUCK = {"weighed": {"front": "1980 lb", "rear": "1560 lb"}, "wheelbase": "88 in"}


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ("31", "is it outside_diameter: 31 in?"), ("31 cm", "is it outside_diameter: 31 in?"), ("31 in", "is it outside_diameter: 31 in?"),
        ('33"', "is it outside_diameter: 33 in?"), ("787 mm", "is it outside_diameter: 787 mm?"), ("79 cm", "is it outside_diameter: 79 cm?"),
        ("31x10.5", "the rim is missing: 31x10.5R15 on a rim of 15 in"), ("31x10,5", "the rim is missing: 31x10.5R15 on a rim of 15 in"),
        ("35-12.50/15", "is it 35x12.50R15?"), ("big", ""), ("5 mm", ""),
    ],
)  # fmt: skip
def test_it_is_said(text, meant):
    assert meant_for_size(text) == meant
    if meant:
        with pytest.raises(InputError) as error:
            vehicle_from({**TRUCK, "front": {"tyre": {"size": text}}})
        assert meant in str(error.value)


def test_a_size_without_its_rim_is_taken_for_a_size_and_a_length_is_not():
    assert looks_like_size("31x10.5")
    assert not looks_like_size("31 in")


def test_inches_typed_as_centimetres_come_first():
    (text,) = vehicle_from(
        {**TRUCK, "front": {"tyre": {"outside_diameter": "31 cm"}}, "rear": {"tyre": {"size": "31x10.50R15"}}}
    ).notices
    assert "try: 31 in would be usual: look at the unit; or 62 cm would be usual: it looks like the radius" in text
