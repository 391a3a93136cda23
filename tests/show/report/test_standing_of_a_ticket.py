"""What `stand` says of a truck of which there are a ticket and a few lengths: nothing is called measured that nobody has measured."""

from sim.cli import main


def test_heights_and_straps_that_nobody_measured_are_not_said_to_be(tmp_path, capsys):
    truck = tmp_path / "ticket.yaml"
    given = [
        "--front",
        "2450 lb",
        "--rear",
        "1780 lb",
        "--wheelbase",
        "92 in",
        "--tyre",
        "33 in",
        "--coil",
        "front:190 lb/in",
    ]
    assert main(["new", str(truck), *given, "--extended", "23.5 in", "--collapsed", "14.25 in"]) == 0
    capsys.readouterr()
    assert main(["stand", str(truck), "--no-doubt"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "stands as weighed, 58 % of its weight in front" in said
    assert "at its limit strap, which is" in said
    assert main(["stand", "scenarios/vehicles/hut_supply_truck.yaml", "--no-doubt"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "stands as measured" in said
    assert "which is estimated" not in said
