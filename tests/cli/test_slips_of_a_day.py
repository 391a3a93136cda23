"""Slips of a hurried hand: an axle by another name, two axles in one value, crossed tickets, a comma in a tyre's size, an unknown option."""

import pytest

from sim.cli import main
from sim.errors import InputError, Problem
from tests.synthetic import SCENARIOS

TICKET = ("--front", "1980 lb", "--rear", "1560 lb", "--wheelbase", "88 in")


def said(capsys, *argv):
    """Return the exit code, and what was said on both streams as one text."""
    try:
        code = main(list(map(str, argv)))
    except SystemExit as stopped:
        code = stopped.code
    out, err = capsys.readouterr()
    return code, f"{out}\n{err}"


def test_an_axle_by_another_name_is_no_lecture_on_leaf_packs(tmp_path, capsys):
    code, text = said(
        capsys, "new", tmp_path / "a.yaml", *TICKET, "--leaf", "back: 5, 2.5 in, 0.25 in, 46 in, held 4.5 in"
    )
    assert code == 2
    assert "--leaf: 'back' is no axle" in text
    assert "write rear:5, 2.5 in" in text
    code, text = said(capsys, "new", tmp_path / "a.yaml", *TICKET, "--coil", "Front: 165 lb/in")
    assert code == 0


def test_two_axles_in_one_value_are_two_options(tmp_path, capsys):
    code, text = said(capsys, "new", tmp_path / "a.yaml", *TICKET, "--lift", "front: 2 in, rear: 2 in")
    assert code == 2
    assert "--lift: one axle a time" in text
    assert not list(tmp_path.iterdir())


def test_a_ticket_with_its_ends_crossed_is_asked_for_that_first(tmp_path, capsys):
    code, text = said(
        capsys, "new", tmp_path / "a.yaml", "--front", "1560 lb", "--rear", "1980 lb", "--wheelbase", "88 in"
    )
    assert code == 0
    tries = [line.strip() for line in text.splitlines() if line.strip().startswith("try: ")]
    assert tries[0] == "try: front 1980 lb, rear 1560 lb, if they are crossed"
    # With 80 % in front it is no truck either way round.
    code, text = said(
        capsys, "new", tmp_path / "b.yaml", "--front", "3000 lb", "--rear", "750 lb", "--wheelbase", "88 in"
    )
    assert "crossed" not in text


def test_a_size_with_a_decimal_comma_is_given_with_its_point(tmp_path, capsys):
    code, text = said(capsys, "new", tmp_path / "a.yaml", *TICKET, "--tyre", "31x10,50R15")
    assert code == 2
    assert "is it 31x10.50R15?" in text


def test_an_unknown_option_is_refused_by_the_command_that_was_asked(capsys):
    code, text = said(capsys, "sheet", "a.yaml", "--no-doubt")
    assert code == 2
    assert text.strip().startswith("usage: jounce sheet ")
    assert "does not know --no-doubt: jounce sheet --help" in text


def test_an_option_that_is_nearly_written_is_named(tmp_path, capsys):
    code, text = said(capsys, "new", tmp_path / "a.yaml", "--tire", '33"', "--whelbase", "92 in")
    assert code == 2
    assert "did you mean --tyre and --wheelbase?" in text


@pytest.mark.parametrize(
    ("command", "option", "meant"),
    [("loads", "--outputs", ""), ("lean", "--setup", ""), ("lean", "--step", ""), ("lean", "--stepps", "did you mean --steps?")],
)  # fmt: skip
def test_an_option_of_other_commands_is_no_slip(command, option, meant, capsys):
    """`jounce loads` writes nothing and has no --outputs, which has no more of --units than any word has."""
    code, text = said(capsys, command, SCENARIOS / "rear_lean_on_rock.yaml", option, "there")
    assert code == 2
    assert meant in text
    assert ("did you mean" in text) is bool(meant)


@pytest.mark.parametrize(
    ("again", "words"),
    [
        (["--front", "3240 lb"], "--front: is given twice, 1980 lb and 3240 lb: leave one out"),
        (["--engine", "200 lb", "--engine", "20 lb"], "--engine: is given twice, 200 lb and 20 lb"),
        (["--coil", "front: 260 lb/in", "--coil", "front: 190 lb/in"], "--coil is given twice for the same place, 260 lb/in and 190 lb/in"),
        (["--set", "front.stop.gap=3 in", "--set", "front.stop.gap=2 in"], "--set front.stop.gap is given twice for the same place, 3 in and 2 in"),
    ],
)  # fmt: skip
def test_what_is_given_twice_is_not_silently_the_last(again, words, tmp_path, capsys):
    code, text = said(capsys, "new", tmp_path / "a.yaml", *TICKET, *again)
    assert code == 2
    assert words in text
    assert not (tmp_path / "a.yaml").exists()


def test_what_is_given_twice_alike_or_for_one_axle_after_both_is_taken(tmp_path, capsys):
    given = ["--front", TICKET[TICKET.index("--front") + 1], "--pressure", "32 psi", "--pressure", "rear: 28 psi"]
    code, _ = said(capsys, "new", tmp_path / "a.yaml", *TICKET, *given)
    assert code == 0
    text = (tmp_path / "a.yaml").read_text(encoding="utf-8")
    assert "pressure: 32 psi" in text
    assert "pressure: 28 psi" in text


@pytest.mark.parametrize(("place", "odd"), [("-30 in", False), ("-300 in", True), ("92 in", False), ("920 in", True)])
def test_a_load_outside_of_the_truck_is_hardly_meant(place, odd, capsys):
    truck = SCENARIOS / "vehicles" / "hut_supply_truck.yaml"
    _, text = said(capsys, "loads", truck, "--load", f"parts=20 lb, {place}, 25 in")
    assert ("it would be outside of the truck" in text) is odd


def test_a_spring_by_a_name_that_is_not_there_is_told_which_are(tmp_path, capsys):
    (tmp_path / "s.yaml").write_text(
        f"kind: scenario\nname: s\nvehicle: {SCENARIOS / 'vehicles' / 'hut_supply_truck.yaml'}\nrun: {{kind: drop, height: 50 mm}}\n"
        "setups:\n  a:\n    rear.springs.coil.rate: 190 lb/in\n    front.tyre.rate: 190 lb\n    front.stop.gap: 12\n",
        encoding="utf-8",
    )  # fmt: skip
    code, text = said(capsys, "check", tmp_path / "s.yaml")
    assert code == 2
    assert "try: it has 'pack'" in text
    lines = [int(line.split(":")[1]) for line in text.splitlines() if line.startswith(str(tmp_path / "s.yaml"))]
    assert lines == [7, 8, 9]


def test_problems_come_in_the_order_of_their_files_and_lines():
    every = [
        Problem("c", "b.yaml", 2, 1),
        Problem("b", "a.yaml", 9, 1),
        Problem("d", "b.yaml", 1, 4),
        Problem("a", "a.yaml", 3, 1),
    ]
    found = [(one.file, one.line) for one in InputError(every).problems]
    # The file that is spoken of first stays first.
    assert found == [("b.yaml", 1), ("b.yaml", 2), ("a.yaml", 3), ("a.yaml", 9)]
