"""What cannot be read as YAML: named for what it looks like, at the line that a person has to mend."""

import pytest

import sim
from sim.describe.files.not_yaml import looks_like_table
from sim.describe.files.reader import read

TABLES = [
    "distance;height\n0,0;0,01\n0,1;0,02\n",
    "Operator: a friend\ntime,force\n0.1,2\n0.2,3\n",
    "# from the rig\n0.1\t2.5\n0.2\t3.5\n",
    "run;speed;force\na;0.1;200\na;0.2;300\n",
]


@pytest.mark.parametrize("text", TABLES)
def test_a_table_is_called_one_and_says_where_it_goes(text, tmp_path):
    path = tmp_path / "profile.csv"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(sim.InputError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert "looks like a table (CSV)" in problem.message
    for words in ("jounce road", "jounce dyno", "kind: survey", "kind: measured", "profile.csv"):
        assert words in problem.suggestion


@pytest.mark.parametrize(
    "text",
    [
        "kind: vehicle\nname: x\n",
        "items: [1, 2,\n  3, 4,\n  5, 6]\n",
        "rows:\n  - 1, 2\n  - 3, 4\n",
        "note: a, b\nname: c, d\n",
        "just words, and more\nof them, here\n",
    ],
)
def test_what_is_no_table_is_not_called_one(text):
    assert not looks_like_table(text)


@pytest.mark.parametrize(
    ("text", "line", "given"),
    [
        # The parser goes on over remarks before it is sure.
        ("kind: vehicle\nname: x\nwheelbase 92 in   # taped\n# a remark\n\nfront:\n  tyre: {}\n", 3, "wheelbase 92 in   # taped"),
        ("kind: vehicle\nfront:\n  tyre\n    size: 33x12.50R15\n", 3, "tyre"),
        ("kind: vehicle\nfront:\n  wheelbase 92 in\n  # a remark\n  tyre: {}\n", 3, "wheelbase 92 in"),
    ],
)  # fmt: skip
def test_a_missing_colon_is_said_at_the_line_that_lacks_it(text, line, given, tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(sim.InputError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert (problem.line, problem.given) == (line, given)
    assert "no colon" in problem.message


@pytest.mark.parametrize(
    "text",
    [
        "kind: vehicle\nname: a: b\n",
        # A value may go on in the next line.
        "note: words\n  that go on\n   name: b\n",
    ],
)
def test_no_other_line_is_blamed(text, tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(sim.InputError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert problem.line == text.count("\n")
    assert "this is not YAML" in problem.message


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("kind: scenario\nsetups:\n  stock:\n    front: 1\n   rear: 2\n", 5, ("indented by 3 spaces", "0 or 2 or 4 spaces", "give it 4 spaces to stand beside 'front: 1'")),
        ("kind: scenario\nsetups:\n  stock:\n\tfront: 1\n", 4, ("indented with a tab", "with spaces")),
    ],
)  # fmt: skip
def test_an_indentation_that_fits_nowhere_is_said_in_spaces(text, line, said, tmp_path):
    path = tmp_path / "truck.yaml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(sim.InputError) as caught:
        read(path)
    (problem,) = caught.value.problems
    assert problem.line == line
    for words in said:
        assert words in f"{problem.message}; {problem.allowed}; {problem.suggestion}"
    assert "YAML" not in problem.message
