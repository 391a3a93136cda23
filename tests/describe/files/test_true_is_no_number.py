"""`true` is no number: refused at its own file and line, with what was given."""

import pytest

from sim.cli import main
from tests.synthetic import SCENARIOS


@pytest.mark.parametrize(("key", "number"), [("count", "4"), ("speed", "26 km/h")])
def test_true_is_refused_where_it_stands(tmp_path, capsys, key, number):
    text = (SCENARIOS / "two_or_four.yaml").read_text(encoding="utf-8")
    for folder in ("vehicles", "courses"):
        text = text.replace(f"{folder}/", f"{SCENARIOS.as_posix()}/{folder}/")
    text = text.replace(f"{key}: {number}", f"{key}: true", 1)
    path = tmp_path / "asked.yaml"
    path.write_text(text, encoding="utf-8")
    line = next(place for place, each in enumerate(text.splitlines(), 1) if f"{key}: true" in each)
    assert main(["check", str(path)]) != 0
    said = "".join(capsys.readouterr())
    assert f"asked.yaml:{line}:" in said
    assert "given: true" in said
    assert "1 problem" in said
