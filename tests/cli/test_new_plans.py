"""What is planned for a new truck, a lift, an engine, a winch, cargo: set-ups beside its file, and what cannot be or is far out of the usual."""

import io
import sys

import pytest
import yaml

from sim.cli import main
from sim.describe.files.scenario import load_scenario
from tests.cli.shop import FLAGS, PIPED, new, piped, typed

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each


@pytest.mark.parametrize(("words", "said"), [(["--lift", "2 in"], True), (["--questions"], False)])
def test_a_plan_without_a_truck_is_not_called_nothing(tmp_path, capsys, monkeypatch, words, said):
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == 2
    assert ("a plan needs a truck" in capsys.readouterr().err) == said
    assert list(tmp_path.iterdir()) == []
    # Of a truck that has a file a plan is enough, whoever wants to be asked for more.
    assert new(tmp_path) == 0
    monkeypatch.setattr(sys, "stdin", io.StringIO(""))
    assert new(tmp_path, *words, flags=[]) == (0 if said else 2)


def test_what_is_planned_becomes_set_ups_beside_the_truck(tmp_path, capsys, monkeypatch):
    plans = [
        "--lift",
        "2 in",
        "--winch",
        "165 lb",
        "--cargo",
        "660 lb",
        "--set",
        "rear.springs.pack.kind=leaf_pack",
        "--coil",
        "front:190 lb/in",
    ]
    assert new(tmp_path, *plans, flags=[word for word in FLAGS if word not in ("--coil", "190 lb/in")]) == 0
    path = tmp_path / "my_truck_planned.yaml"
    assert f"What is planned: jounce compare {path}" in capsys.readouterr().err
    text = path.read_text()
    assert "&id" not in text
    setups = yaml.safe_load(text)["setups"]
    assert list(setups) == [
        "as it is",
        "lifted 2 in in front and 2 in behind",
        "bumper and winch",
        "cargo",
        "all loads, not lifted",
        "all of it",
    ]
    assert setups["cargo"]["loads.cargo"]["mass"] == "660 lb"
    assert setups["all of it"].keys() == {key for changes in setups.values() for key in changes}
    # All of it is judged against the same loads without the lift: what they do to ride and grip is none of the lift's merit.
    from sim.measure.references import same_choice

    trucks = load_scenario(path).setups
    assert trucks["all loads, not lifted"].loads == trucks["all of it"].loads
    assert same_choice(trucks["all loads, not lifted"], trucks["as it is"])
    # It stands as much higher as was asked for: what a lift is.
    from sim.linear.standing import stand

    frames = {name: stand(truck) for name, truck in load_scenario(path).setups.items()}
    for axle in ("front", "rear"):
        up = frames["as it is"].axles[axle].jounce - frames["lifted 2 in in front and 2 in behind"].axles[axle].jounce
        assert up == pytest.approx(0.0508, abs=0.001)
    piped(monkeypatch, PIPED + "y\n2 in\n2 in\n\n165 lb\n660 lb\n")
    assert main(["new", str(tmp_path / "asked.yaml"), "--questions"]) == 0
    assert yaml.safe_load((tmp_path / "asked_planned.yaml").read_text())["setups"] == setups
    # What is there stays, another plan gets a name of its own.
    assert new(tmp_path, "--cargo", "300 lb", flags=[]) == 0
    assert path.read_text() == text
    assert (tmp_path / "my_truck_planned_2.yaml").exists()


@pytest.mark.parametrize(
    ("words", "names"),
    [
        (["--lift=-2in"], ["lowered 2 in in front and 2 in behind"]),
        (["--lift", "front:2in", "--lift", "rear:-1 in"], ["lifted 2 in in front and lowered 1 in behind"]),
        (["--lift", "front:0 in", "--lift", "rear:2 in"], ["lifted 2 in behind"]),
        (["--engine=-180lb"], ["lighter engine"]),
        (["--engine", "180lb"], ["heavier engine"]),
    ],
)
def test_a_plan_is_called_what_it_is(tmp_path, words, names):
    assert new(tmp_path, *words) == 0
    path = tmp_path / "my_truck_planned.yaml"
    assert main(["check", str(path)]) == 0
    assert list(yaml.safe_load(path.read_text())["setups"]) == ["as it is", *names]


@pytest.mark.parametrize(("units", "unit"), [("metric", "mm"), ("inch", "in"), ("both", "in")])
def test_lift_and_loads_are_written_in_the_same_units(tmp_path, units, unit):
    """As was chosen; where both were, as the truck was typed."""
    assert new(tmp_path, "--lift", "2 in", "--cargo", "660 lb", "--units", units) == 0
    setups = yaml.safe_load((tmp_path / "my_truck_planned.yaml").read_text())["setups"]["all of it"]
    lengths = [text for key, text in setups.items() if key.endswith("free_length")]
    lengths += setups["loads.cargo"]["place"].values()
    assert [text.split()[1] for text in lengths] == [unit] * 4
    # 92 in are 2336.8 mm: cargo lies over the rear axle.
    assert lengths[2] == ("2337 mm" if unit == "mm" else "92 in")


def test_a_lift_that_cannot_be_is_asked_again_where_it_is_asked(capsys):
    skipped = [""] * 12
    answers = typed("2450 lb", *skipped[1:], "y", "90 in", "2 in", "0 in", "-90 lb", "many", "", "-660 lb", "660 lb")
    assert answers == {
        "weighed.front": "2450 lb", "planned.lift.front": "2 in", "planned.engine": "-90 lb", "planned.cargo": "660 lb",
    }  # fmt: skip
    said = capsys.readouterr().err
    assert "the truck cannot be lifted so" in said
    assert "Taken as: nothing is planned there." in said
    assert "must be more than nothing" in said


def test_a_plan_that_fails_after_the_questions_costs_no_answer(tmp_path, capsys, monkeypatch):
    """What was answered after a lift may leave it no room; an option is not asked for at all."""
    piped(monkeypatch, PIPED)
    path = tmp_path / "asked.yaml"
    assert main(["new", str(path), "--questions", "--lift", "90 in"]) == 3
    said = capsys.readouterr().err
    assert "NOTICE: what is planned is left out, as it cannot be: planned lift: the truck cannot be lifted so" in said
    assert yaml.safe_load(path.read_text())["weighed"]["front"] == "2450 lb"
    assert not (tmp_path / "asked_planned.yaml").exists()
    # An option that is not understood is refused before anybody is asked.
    piped(monkeypatch, PIPED)
    assert main(["new", str(tmp_path / "other.yaml"), "--questions", "--lift", "2 lb"]) == 2
    assert "Front axle on the scale" not in capsys.readouterr().err


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--lift", "front:2 lb"], "planned lift, front"),
        (["--cargo", "many"], "planned: cargo"),
        (["--lift", "0 in"], "a lift of nothing changes nothing"),
        (["--winch=-50lb"], "planned: bumper and winch: must be more than nothing"),
        (["--cargo=-660lb"], "planned: cargo: must be more than nothing"),
        (["--engine", "0 kg"], "planned: heavier engine: changes nothing"),
    ],
)
def test_a_plan_that_cannot_be_is_refused_and_nothing_written(tmp_path, capsys, words, said):
    assert new(tmp_path, *words) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--lift", "90 in"], "cannot be lifted so"),
        (["--cargo", "99999999lb"], "planned: cargo: must not be more than"),
        (["--winch", "20000 lb"], "planned: bumper and winch: the truck cannot stand so: The load lifts the rear wheels"),
        (["--lift", "90 in", "--cargo", "660 lb"], "cannot be lifted so"),
    ],
)  # fmt: skip
def test_a_plan_that_the_truck_does_not_bear_is_left_out_and_the_truck_is_written(tmp_path, capsys, words, said):
    """Nobody types a truck twice; a load that it bears is planned without the lift that it does not."""
    assert new(tmp_path, *words) == 3
    assert f"NOTICE: what is planned is left out, as it cannot be: {'planned lift: ' if '90 in' in words else ''}" in (
        text := capsys.readouterr().err
    )
    assert said in text
    assert main(["check", str(tmp_path / "my_truck.yaml")]) == 0
    plans = tmp_path / "my_truck_planned.yaml"
    assert plans.exists() == (len(words) > 2)
    if plans.exists():
        assert list(yaml.safe_load(plans.read_text())["setups"]) == ["as it is", "cargo"]


def test_a_lift_past_a_strap_that_nobody_measured_is_planned_with_longer_ones(tmp_path, capsys):
    """The dampers go farther out than a strap that is estimated from their lengths."""
    from sim.linear.standing import stand

    assert new(tmp_path, "--lift", "front:4 in") == 0
    assert "NOTICE: front: nobody measured its limit straps" in capsys.readouterr().err
    path = tmp_path / "my_truck_planned.yaml"
    assert "# front: nobody measured its limit straps" in path.read_text()
    trucks = load_scenario(path).setups
    before, after = trucks["as it is"], trucks["lifted 4 in in front"]
    assert after.front.strap.length - before.front.strap.length == pytest.approx(4 * 0.0254, abs=2e-4)
    assert stand(before).axles["front"].jounce - stand(after).axles["front"].jounce == pytest.approx(0.1016, abs=0.001)
    # One that was measured stays, and says why the lift is refused.
    taped = ["--set", "front.strap.length=16 in", "--lift", "front:4 in"]
    assert new(tmp_path, *taped) == 3
    assert "write a longer limit strap into the set-up, front.strap.length" in capsys.readouterr().err


def test_all_that_is_wrong_with_a_plan_is_said_at_once(tmp_path, capsys):
    """Whoever writes one number without its unit writes them all so."""
    assert new(tmp_path, "--lift", "50", "--winch", "60", "--cargo", "300 parrots", flags=[]) == 2
    said = capsys.readouterr().err
    for where in ("planned lift, front", "planned lift, rear", "planned: bumper and winch", "planned: cargo"):
        assert f"{where}: " in said
    assert "4 problems" in said
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--winch", "600 kg"], ["planned: bumper and winch", "given: 600 kg", "usual: 10 to 160 kg for a bumper and winch", "try: 60 kg"]),
        (["--winch", "1650 lb"], ["usual: 22 to 353 lb for a bumper and winch", "try: 165 lb"]),
        (["--cargo", "2 t"], ["planned: cargo", "usual: 0.005 to 1.5 t for cargo"]),
        (["--engine=-500 kg"], ["planned: heavier engine", "usual: 5 to 350 kg for the difference between two engines"]),
        (["--lift", "rear: 5 mm"], ["planned lift", "usual: 10 to 160 mm for a lift", "try: 50 mm or 5 in would be usual"]),
    ],
)  # fmt: skip
def test_a_plan_far_out_of_the_usual_is_noticed_and_taken(tmp_path, capsys, words, said):
    """The ranges are common practice, without a source, as of every number of a truck."""
    code = new(tmp_path, *words)
    text = capsys.readouterr().err
    assert "NOTICE: planned" in text
    for one in said:
        assert one in text, one
    # It changes nothing else: what the truck bears is written, what it does not bear is refused by its own words.
    assert (tmp_path / "my_truck_planned.yaml").exists() == (code == 0)


@pytest.mark.parametrize(
    "words",
    [["--winch", "60 kg", "--cargo", "300 kg", "--lift", "50 mm"], ["--engine=-90 kg", "--lift", "front:-1 in"]],
)
def test_a_usual_plan_is_taken_without_a_word(tmp_path, capsys, words):
    assert new(tmp_path, *words) == 0
    assert "NOTICE: planned" not in capsys.readouterr().err


def test_a_lift_of_both_axles_is_noticed_once(tmp_path, capsys):
    new(tmp_path, "--lift", "200 mm")
    assert capsys.readouterr().err.count("NOTICE: planned lift") == 1


def test_a_question_says_what_of_a_plan_is_usual_and_notices_what_is_not(capsys):
    skipped = [""] * 12
    answers = typed("2450 lb", *skipped[1:], "y", "", "", "", "600 kg")
    assert answers["planned.winch"] == "600 kg"
    said = capsys.readouterr().err
    assert "NOTICE: possible, but hardly meant; usual: 10 to 160 kg for a bumper and winch" in said
