"""Of what `jounce new` planned all of it together is ordered, which is said; and a plan without a value is refused with an example."""

import pytest

from sim.cli import main

TRUCK = ["--front", "1510 kg", "--rear", "1240 kg", "--wheelbase", "2650 mm", "--lift", "40 mm"]


@pytest.mark.parametrize(
    ("plans", "taken"),
    [
        (["--cargo", "300 kg"], "all of it"),
        pytest.param([], "lifted 40 mm in front and 40 mm behind", marks=pytest.mark.hours),
    ],
)
def test_all_that_is_planned_is_ordered_and_said(plans, taken, tmp_path, capsys):
    assert main(["new", str(tmp_path / "own.yaml"), *TRUCK, *plans]) == 0
    given = ["sheet", str(tmp_path / "own_planned.yaml"), "--outputs", str(tmp_path / "out")]
    capsys.readouterr()
    main(given)
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith(f"For “{taken}”: ")
    assert f"Taken without --setup: “{taken}”. --setup chooses another: “as it is”" in out
    main([*given, "--setup", "as it is"])
    out = " ".join(capsys.readouterr().out.split())
    assert out.startswith("For “as it is”: ")
    assert "Taken without" not in out


def test_other_scenarios_keep_their_first(tmp_path, capsys):
    main(["sheet", "scenarios/right_length.yaml", "--outputs", str(tmp_path)])
    assert "Taken without --setup: “as it was”" in " ".join(capsys.readouterr().out.split())


@pytest.mark.parametrize(
    ("option", "example"),
    [("--winch", '--winch "165 lb"'), ("--cargo", '--cargo "660 lb"'), ("--front", '--front "2450 lb"')],
)
def test_an_option_without_its_value_is_refused_with_an_example(option, example, tmp_path, capsys):
    with pytest.raises(SystemExit) as left:
        main(["new", str(tmp_path / "own.yaml"), option])
    assert left.value.code == 2
    assert f"expected one argument: write {example}" in capsys.readouterr().err
