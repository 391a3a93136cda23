"""Values with a minus, and units outside of their quotes: refused with how they are written."""

import pytest

from sim.cli import main


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--front", "-2in"], 'write --front="-2in"'),
        (["--front", "-2in", "--rear", "1 in"], 'write --front="-2in"'),
        (["--rear", "-.5in"], 'write --rear="-.5in"'),
        (["--front", "-2", "in"], 'write a number and its unit in quotes, --front="-2 in"'),
        (["--front", "2", "in"], 'write a number and its unit in quotes, --front="2 in"'),
        (["--front"], 'expected one argument: write --front "2 in"'),
    ],
)
def test_how_a_height_is_written_is_said(words, said, capsys):
    with pytest.raises(SystemExit):
        main(["lift", "my_truck.yaml", *words])
    assert said in capsys.readouterr().err


def test_of_another_word_nothing_is_guessed(capsys):
    with pytest.raises(SystemExit):
        main(["lift", "my_truck.yaml", "--front", "2 in", "--wheels", "big"])
    assert "in quotes" not in capsys.readouterr().err
