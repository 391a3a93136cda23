"""What `jounce new` and `jounce check` say of a truck that cannot stand as it was typed: at the number, all of it, and before anything is run."""

import pytest

from sim.cli import main
from sim.cli.leaf_list import whole
from tests.cli.shop import said_to

TRUCK = ["--front", "1390 kg", "--rear", "1180 kg", "--wheelbase", "2.85 m", "--extended", "600 mm", "--collapsed", "365 mm"]  # fmt: skip


def test_a_damper_that_is_longer_as_it_stands_than_fully_out_is_refused_where_it_is_typed(tmp_path, capsys):
    file = tmp_path / "truck.yaml"
    assert main(["new", str(file), *TRUCK, "--at-ride", "front: 620 mm"]) == 2
    said = capsys.readouterr().err
    assert "front.dampers.main.length_at_ride: front damper set 'main' cannot be 620.0 mm" in said
    assert "fully out 600.0 mm" in said
    assert "tape it again eye to eye" in said
    assert not file.exists()


def test_a_truck_that_is_there_is_changed_and_never_sent_on_to_compare(tmp_path, capsys):
    file = tmp_path / "truck.yaml"
    assert main(["new", str(file), *TRUCK]) == 0
    capsys.readouterr()
    assert main(["new", str(file), "--at-ride", "front: 620 mm"]) == 3
    said = capsys.readouterr().err
    assert "the truck cannot stand so: front.dampers.main.length_at_ride" in said
    assert f"then jounce check {file}" in said
    assert "jounce compare" not in said


def test_check_names_every_damper_at_its_line(tmp_path, capsys):
    """127 mm behind the front axle is 2850 - 127 - 50 = 2673 mm from a lower mount that is 50 mm ahead of the rear axle."""
    file = tmp_path / "truck.yaml"
    file.write_text(
        "kind: vehicle\nname: T\nweighed: {front: 1390 kg, rear: 1180 kg}\nwheelbase: 2.85 m\n"
        "front:\n  dampers:\n    main:\n      length_extended: 600 mm\n      length_collapsed: 365 mm\n      length_at_ride: 620 mm\n"
        "rear:\n  dampers:\n    main:\n      body: {behind_front_axle: 127 mm}\n      length_extended: 600 mm\n"
        "      length_collapsed: 365 mm\n      length_at_ride: 480 mm\n",
        encoding="utf-8",
    )
    assert main(["check", str(file)]) == 2
    said = capsys.readouterr().err
    assert "truck.yaml:10:7: front.dampers.main.length_at_ride" in said
    assert "truck.yaml:14:14: rear.dampers.main.body.behind_front_axle" in said
    assert "2673.0 mm" in said
    assert "2 problems" in said


def test_a_set_ups_damper_is_named_at_the_line_of_the_scenario(tmp_path, capsys):
    assert main(["new", str(tmp_path / "truck.yaml"), *TRUCK, "--at-ride", "480 mm"]) == 0
    capsys.readouterr()
    scenario = tmp_path / "ends.yaml"
    scenario.write_text(
        "kind: scenario\nname: Ends\nvehicle: truck.yaml\nrun: {kind: drop, height: 50 mm}\nsetups:\n  today:\n  short:\n"
        "    front.dampers.main.length_extended: 470 mm\n"
        "    rear.dampers.main.length_extended: 800 mm\n    rear.dampers.main.length_collapsed: 500 mm\n",
        encoding="utf-8",
    )
    assert main(["check", str(scenario)]) == 2
    said = capsys.readouterr().err
    assert "ends.yaml:8:5: setups.short.front.dampers.main.length_extended" in said
    assert "ends.yaml:10:5: setups.short.rear.dampers.main.length_collapsed" in said
    assert "truck.yaml:" not in said


def test_a_rear_mount_is_asked_for_with_a_place_near_the_rear_axle_and_asked_again(capsys):
    mount = "Rear damper, upper mount behind the front axle"
    lengths = {f"{axle} damper, eye to eye": ["600 mm, 365 mm"] for axle in ("Front", "Rear")}
    answers, heard = said_to({"Wheelbase": ["2850 mm"], **lengths, mount: ["127 mm", "2700 mm"]})
    assert answers["rear.dampers.main.body.behind_front_axle"] == "2700 mm"
    asked = next(one for one in heard if one.startswith(mount))
    assert "e.g. 2210 mm" in asked or "e.g. 87 in" in asked
    said = capsys.readouterr().err
    assert "a mount is counted from the front axle, also a rear one" in said
    # Halves of a stroke are left at ride: a length past an end is asked again as well.
    at_ride = "Front damper as the truck stands"
    answers, _ = said_to({"Wheelbase": ["2850 mm"], **lengths, at_ride: ["620 mm", "455 mm"]})
    assert answers["front.dampers.main.length_at_ride"] == "455 mm"


@pytest.mark.parametrize(
    ("size", "rim"), [("285/75 R61", "61.00 in"), ("235/85R16", ""), ("33x12.50R15", ""), ("7.50-16", "")]
)
def test_a_tyre_that_no_truck_has_gets_a_notice_where_it_is_typed(size, rim, tmp_path, capsys):
    assert main(["new", str(tmp_path / "truck.yaml"), *TRUCK, "--tyre", size]) == 0
    said = capsys.readouterr().err
    assert ("front.tyre.size: possible, but hardly meant" in said and rim in said) == bool(rim)
    main(["check", str(tmp_path / "truck.yaml")])
    assert ("All is well" in capsys.readouterr().out) == (not rim)


def test_width_and_thickness_of_a_leaf_that_are_turned_round_are_said(tmp_path, capsys):
    for text, turned in (("rear: 6, 8 mm, 70 mm, 1300 mm", True), ("rear: 6, 70 mm, 8 mm, 1300 mm", False)):
        assert main(["new", str(tmp_path / f"{turned}.yaml"), *TRUCK, "--leaf", text]) == 0
        assert ("taken as 70 mm wide and 8 mm thick" in capsys.readouterr().err) == turned


def test_halves_are_said_to_end_at_the_nearer_u_bolt(tmp_path, capsys):
    """650 mm each to the centre bolt would be 1300 mm eye to eye, whose held part bends in neither half."""
    for text, halves in (
        ("rear: 6, 70 mm, 8 mm, 650 mm, 650 mm", True),
        ("rear: 6, 70 mm, 8 mm, 1300 mm, held 100 mm", False),
    ):
        assert main(["new", str(tmp_path / f"{halves}.yaml"), *TRUCK, "--leaf", text]) == 0
        said = capsys.readouterr().err
        assert ("rear.springs.pack: each half is taken as from its eye to the nearer U-bolt" in said) == halves
        # Of these halves, and no pack of an example.
        assert (": 1300 mm, held 100 mm, if the U-bolts hold so much" in said) == halves


@pytest.mark.parametrize(
    ("ahead", "behind", "said"),
    [
        ("23 in", "25 in", "48 in, held 4 in"),
        ("22 1/2 in", "24in", "46.5 in, held 4 in"),
        ('22"', '24"', '46", held 4 in'),
        ("650 mm", "60 cm", "1250 mm, held 100 mm"),
        ("0.6 m", "700 mm", "1.3 m, held 100 mm"),
        ("24 in", "610 mm", "48.0157 in, held 4 in"),  # 1 in = 25.4 mm (NIST SP 811)
        ("600 +- 5 mm", "700 mm", "1300 mm, held 100 mm"),
    ],
)
def test_halves_to_the_centre_bolt_are_one_length_in_the_unit_in_which_they_were_typed(ahead, behind, said):
    assert whole({"halves.ahead": ahead, "halves.behind": behind}) == said
