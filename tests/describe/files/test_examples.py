"""Examples in messages: of every key one that it takes, that such a truck may have, in the units that are shown."""

from typing import Annotated

import pytest
from pydantic import BaseModel, TypeAdapter

from sim.cli import main
from sim.describe.files.examples import EXAMPLES, example_for, examples, quantity_of
from sim.describe.files.kinds import KINDS
from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import shown_in
from sim.describe.usual import USUAL_RANGES
from sim.errors import InputError

TRUCK = {"name": "T", "kind": "vehicle", "weighed": {"front": "1180 kg", "rear": "960 kg"}}


def parts(model=BaseModel):
    for one in model.__subclasses__():
        yield one
        yield from parts(one)


def keys():
    """Return every key of any part that takes a physical quantity: its part, its name, what its model says of it."""
    assert KINDS  # all parts are known once the kinds of files are
    found = {}
    for model in parts():
        for name, field in model.model_fields.items():
            annotation = Annotated[field.annotation, *field.metadata] if field.metadata else field.annotation
            quantity = quantity_of((annotation,))
            if quantity is not None and model.__module__.startswith("sim.describe"):
                found[f"{model.__name__}.{name}"] = (annotation, quantity)
    return found


def test_every_example_is_one_that_its_key_takes_and_such_a_truck_has():
    every = keys()
    assert len(every) > 150
    for place, (annotation, quantity) in every.items():
        for text in examples(place, quantity):
            # In its place: a number, or one of a list.
            wanted = TypeAdapter(annotation)
            try:
                wanted.validate_python(text)
            except ValueError:
                wanted.validate_python([text, text])
            usual = USUAL_RANGES.get(place)
            assert usual is None or usual.low <= quantity.to_si(text) <= usual.high, (place, text)


def test_no_example_is_kept_for_a_key_that_is_gone():
    every = keys()
    for place in EXAMPLES:
        assert place in every or any(one.endswith(f".{place}") for one in every), place


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"wheelbase": "5"}, {"both": "'2800 mm' or '110 in'", "metric": "'2800 mm'", "inch": "'110 in'"}),
        # The number itself, where a unit makes it usual.
        ({"wheelbase": "93"}, {"both": "'93 in'", "metric": "'93 in'"}),
        ({"wheelbase": "2650"}, {"both": "'2650 mm'", "inch": "'2650 mm'"}),
        ({"front": {"springs": {"coil": {"rate": "36 lb"}}}}, {"metric": "'39 N/mm'", "inch": "'220 lb/in'"}),
        (
            {"weighed": {"front": 1180, "rear": "960 kg"}},
            {"both": "'1180 lb' or '1180 kg'", "metric": "'1180 kg'", "inch": "'1180 lb'"},
        ),
        ({"weighed": {"front": 118, "rear": "960 kg"}}, {"metric": "'810 kg'", "inch": "'1800 lb'"}),
    ],
)
def test_a_message_has_the_example_of_its_key_in_the_units_that_are_shown(change, said):
    """The middles of the usual ranges, by hand: √(1.8 · 4.3) m = 2.78 m, √(10 · 150) N/mm = 38.7 N/mm, √(300 · 2200) kg = 812 kg."""
    for system, example in said.items():
        with shown_in(system), pytest.raises(InputError) as error:
            vehicle_from(TRUCK | change)
        assert f"write e.g. {example}\n" in f"{error.value}\n", system


def test_what_is_no_quantity_has_no_such_example():
    from sim.describe.parts.vehicle import Vehicle

    assert example_for([Vehicle, dict], "name") == ""


@pytest.mark.parametrize(
    ("given", "limit"),
    # 20 m: a fathom is 1.8288 m, a yard 0.9144 m (NIST SP 811, appendix B).
    [("wheelbase=40 fathom", "about 10.9 fathom"), ("wheelbase=60 yd", "about 21.9 yd")],
)
def test_a_limit_stands_in_the_unit_that_was_written_however_rare(given, limit, tmp_path, capsys):
    assert main(["new", str(tmp_path / "t.yaml"), "--front", "1180 kg", "--rear", "960 kg", "--set", given]) == 2
    assert f"must not be more than {limit}\n" in capsys.readouterr().err
