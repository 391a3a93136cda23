"""What a new law claims, it keeps; and nobody outside a part's own folder asks of which kind it is."""

import re
from pathlib import Path

from tests.promise.test_promise import LAW

ROOT = Path(__file__).parents[2]


def test_the_law_keeps_what_it_claims():
    """The same measure as of the laws in the list."""
    from tests.describe.parts.claims import broken
    from tests.promise.new.parabolic import Parabolic

    assert broken(Parabolic.model_validate(LAW)) == []


def test_nobody_asks_of_which_kind_a_law_or_a_run_is():
    """Which law, run, guide, spring or shape something is, is known in its own folder alone; others ask it what they want to know."""
    from sim.describe.parts.dampers.laws import LAWS
    from sim.describe.parts.guides import GUIDES
    from sim.describe.parts.springs import SPRINGS
    from sim.describe.roads import SHAPES
    from sim.describe.runs import RUNS

    names = "|".join(each.__name__ for group in (LAWS, GUIDES, SPRINGS, SHAPES, RUNS) for each in group)
    part = "law|run|guide|spring|shape|item|stage"
    asked = re.compile(
        rf"isinstance\((?!loaded\b)[^()]*\b({names})\b|\b({part})\.kind (==|!=|in|not in) |\[(\w+\.)*({part})\.kind\]|hasattr\((\w+\.)*({part}),"
    )
    assert asked.search("if isinstance(damper.valving, Valves | Knee):")
    assert asked.search("HELD[part.guide.kind]")
    own = (
        "describe/parts/dampers",
        "describe/parts/guides",
        "describe/parts/springs",
        "describe/roads",
        "describe/runs",
    )
    found = [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()}"
        for path in (ROOT / "sim").rglob("*.py")
        if not path.relative_to(ROOT / "sim").as_posix().startswith(own)
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if asked.search(line)
    ]
    assert found == []
