"""Other tyres that are planned for a new truck: a set-up beside its file, of either axle or of both, by flag and by question."""

import pytest
import yaml

from sim.cli import main
from sim.describe.files.scenario import load_scenario
from tests.cli.shop import new, typed

pytestmark = pytest.mark.long  # whole commands: seconds each

INCH = 0.0254
SKIPPED = [""] * 12


def planned(tmp_path):
    return tmp_path / "my_truck_planned.yaml"


def test_a_planned_size_brings_its_radius_weight_and_height(tmp_path):
    """A truck on 33 in tyres of no known width: 0.32 of the diameter is taken (common practice, no source)."""
    from sim.linear.standing import stand

    assert (
        new(tmp_path, "--lift", "2 in", "--cargo", "660 lb", "--winch", "110 lb", "--other-tyres", "35x12.50R15") == 0
    )
    assert main(["check", str(planned(tmp_path))]) == 0
    setups = yaml.safe_load(planned(tmp_path).read_text())["setups"]
    assert setups["other tyres"] == {"front.tyre.size": "35x12.50R15", "rear.tyre.size": "35x12.50R15"}
    assert setups["all of it"].keys() == {key for changes in setups.values() for key in changes}
    # All of it is still judged against the loads alone, without the lift and without the tyres.
    assert set(setups["all loads, not lifted"]) == {"loads.cargo", "loads.bumper and winch"}
    trucks = load_scenario(planned(tmp_path)).setups
    before, after = trucks["as it is"], trucks["other tyres"]
    assert after.front.tyre.radius - before.front.tyre.radius == pytest.approx(1.0 * INCH)
    more = 110.0 * INCH**3 * (35.0**2 * 12.5 - 0.32 * 33.0**3)
    assert after.rear.tyre.heavier_by == pytest.approx(more, rel=0.02)
    # The same springs carry the same body: the axle rises by what the radius grows, but for what the tyre gives more or less.
    up = [stand(one).axles["front"] for one in (before, after)]
    assert up[1].jounce == pytest.approx(up[0].jounce, abs=1e-4)
    assert "speedometer reads too low" in planned(tmp_path).read_text()


def test_a_plan_of_tyres_alone_or_of_one_axle_is_called_so(tmp_path):
    assert new(tmp_path, "--other-tyres", "front:35 in", "--cargo", "660 lb", "--engine", "90 lb") == 0
    setups = yaml.safe_load(planned(tmp_path).read_text())["setups"]
    assert list(setups) == ["as it is", "other tyres in front", "heavier engine", "cargo", "all loads", "all of it"]
    assert setups["other tyres in front"] == {"front.tyre.outside_diameter": "35 in"}
    text = planned(tmp_path).read_text()
    assert "&id" not in text
    other = tmp_path / "rear"
    other.mkdir()
    assert new(other, "--other-tyres", "rear:285/75R16") == 0
    assert list(yaml.safe_load(planned(other).read_text())["setups"]) == ["as it is", "other tyres behind"]


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--other-tyres", "35-12.50/15"], "is it 35x12.50R15?"),
        (["--other-tyres", "big"], "planned tyres, front"),
        (["--other-tyres", "35"], "or the outside diameter, 35 in"),
        (["--other-tyres", "rear 35 in"], "between the axle and its value a colon is wanted"),
        (["--other-tyres", "35 lb"], "planned tyres, front"),
    ],
)
def test_what_is_no_size_is_refused_and_nothing_written(tmp_path, capsys, words, said):
    assert new(tmp_path, *words) == 2
    assert said in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_tyres_that_it_has_are_no_plan_and_a_cartwheel_is_noticed(tmp_path, capsys):
    assert new(tmp_path, "--other-tyres", "33 in") == 3  # on 33" already
    assert "the truck has tyres of this size already" in capsys.readouterr().err
    assert not planned(tmp_path).exists()
    (second := tmp_path / "second").mkdir()
    assert new(second, "--other-tyres", "1.5 m") == 0
    said = capsys.readouterr().err
    assert "NOTICE: planned tyres" in said
    assert "usual: 0.56 to 1.2 m for the diameter of a tyre" in said


def test_they_are_asked_for_last_of_what_is_planned(capsys):
    answers = typed("2450 lb", *SKIPPED[1:], "y", "", "", "", "", "", "35-12.50/15", "35x12.50R15", "same")
    assert answers == {
        "weighed.front": "2450 lb", "planned.tyres.front": "35x12.50R15", "planned.tyres.rear": "35x12.50R15",
    }  # fmt: skip
    assert "is it 35x12.50R15?" in capsys.readouterr().err
