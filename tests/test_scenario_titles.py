"""What the titles of every shipped scenario say, against the figures of its CSV, by a few lines of their own."""

import re

import pytest
import yaml

from tests.synthetic import SCENARIOS
from tests.title_words import (
    BLOCKS,
    ENDS,
    checked,
    judged_by,
    loads,
    named,
    noticed,
    reads,
    told_blocks,
    undecided,
)
from tests.told import told_by

pytestmark = pytest.mark.long

NAMES = [
    path.stem
    for path in sorted(SCENARIOS.glob("*.yaml"))
    if yaml.safe_load(path.read_text(encoding="utf-8"))["run"]["kind"] != "track"
]

SLOW = ("which_single_change", "what_to_measure_first", "lean_on_ripples", "one_drilled_washer", "harsh_on_ripples")
"""Scenarios with doubts by the hundred draws, or of many set-ups."""


@pytest.fixture(
    scope="module", params=[pytest.param(name, marks=pytest.mark.hours) if name in SLOW else name for name in NAMES]
)
def told(request, tmp_path_factory):
    return told_by(SCENARIOS / f"{request.param}.yaml", tmp_path_factory.mktemp(request.param))


def without_damping(told, text):
    """Return a title without its sentence on damping past what is usual, whose ratios are those of usual.csv; there is one where there should be."""
    said = re.search(r" ?“([^”]*)” is (firmly damped|stiff)(?: and stiff)?: ratio (.*?), usual 0.20 to 0.40\.?$", text)
    if said is None:
        return text
    setup = named(told, said[1])
    ends = dict((axle, number) for number, axle in re.findall(r"(\d\.\d\d) over the (\w+) axle", said[3]))
    assert ends
    for axle, number in ends.items():
        ratio = told.damping[setup, axle]
        assert ratio > 0.4, text
        assert reads(ratio, number), text
        assert told.damping[named_reference(told, text), axle] <= 0.4, text
    return text[: said.start()]


def without_swings(told, text):
    """Return a title without its sentence on how the reference's axle hops, whose sizes are those of the CSV; there is one where it hops."""
    hops = re.search(r"(?:^|\. )With “([^”]*)” the (\w+) axle hops: it winds up by", text)
    said = re.search(
        r"\. With “([^”]*)” its pinion swings to and fro by ([\d.]+) deg, (\d+) times a second, for ([\d.]+) s\.?$",
        text,
    )
    assert bool(hops) == bool(said), text
    if said is None:
        return text
    assert said[1] == hops[1], text
    for what, number in zip(("swing to and fro", "swings a second", "how long"), said.groups()[1:], strict=True):
        assert reads(told.figures[f"{hops[2].capitalize()} hop: {what}"][named(told, said[1])], number), (what, text)
    return text[: said.start()]


def without_others(told, text):
    """Return a title without what it says of choices that do as much, and of other loads that go the same way: blocks by the CSV's figures."""
    for said in re.finditer(r"\. (“[^”]*”(?: and (?:“[^”]*”|\d+ others))?) (?:does|do) as much", text):
        one, other = re.search("Against “(.*?)”, “(.*?)”", text).groups()
        for name in re.findall("“(.*?)”", said[1]):
            for block in BLOCKS[told.kind]:
                ways = [set(ways_of(told, block, named(told, one), named(told, two))) for two in (other, name)]
                assert ways[0] == ways[1], (block, text)
        text = text.replace(said[0], "", 1)
    if said := re.search(r"\. With (?:every other load|(\d+) other loads?) [a-z, -]+ go the same way", text):
        one, other = (named(told, each) for each in re.search("Against “(.*?)”, “(.*?)”", text).groups())
        loads_of = [name for name in told.setups if told.bare[name] == told.bare[other] and name != other]
        alike = [
            name
            for name in loads_of
            if all(
                set(ways_of(told, block, judged_by(told, name, one), name)) == set(ways_of(told, block, one, other))
                for block in BLOCKS[told.kind]
            )
        ]
        assert len(alike) == (int(said[1]) if said[1] else len(loads_of)), text
        text = text.replace(said[0], "", 1)
    return text


def named_reference(told, text):
    """Return what the set-up of a title is judged against."""
    return named(told, re.search("Against “(.*?)”", text)[1])


def test_the_verdict(told):
    text = told.titles.get("verdict")
    if text is None or len(told.setups) == 1:
        pytest.skip("no verdict is drawn")
    text = without_others(told, without_damping(told, without_swings(told, text)))
    if re.search("Only the load differs|Better with|None is better", text):
        assert any(told.load.values()), text
    parts = re.split(r"(?=Against “)|(?<=Only the load differs: )(?=against “)", text)[1:]
    if len(parts) > 1:
        check_of_several_loads(told, text, parts)
    for part in parts[1:]:
        check_against(told, part.strip().removesuffix("."))
    found = re.search(r"Against “(.*?)”, “(.*?)”:? (.*?)(?:; (.*?))?(?:\. “(.*?)” (.*))?$", text)
    if parts:
        check_against(told, parts[0].strip().removesuffix("."))
        return
    if found is None and "Nothing is judged" in text:
        # As the words say, flagged ones alone are left: each is said so with what it does, and none is praised.
        flagged = "(flagged)" in text and (
            "the other one is flagged" in text
            or "all other choices are flagged" in text
            or "every set-up is flagged" in text
        )
        assert flagged, text
        assert told.judged <= {"not judged"}, text
        return
    if found is None and "coincides with" in text:
        reference = named(told, re.search("coincides? with “(.*?)”", text)[1])
        who = re.search("“([^”]*)” coincides", text)
        names = (
            [named(told, who[1])]
            if who
            else [name for name in told.damped if name != reference and told.load[name] == told.load[reference]]
        )
        assert len(names) > bool(not who), text
        rows = [row for block in BLOCKS[told.kind].values() for label, _ in block if (row := told.figures.get(label))]
        assert all(
            row.get(name) == pytest.approx(row.get(reference), rel=1e-3, abs=0.01) for row in rows for name in names
        ), text
        return
    if found is None and "too close to call" in text:
        # What is not known of the truck decides; its bands are checked in the tests of doubt.
        assert re.search(r"“.*?” against “.*?”: (?:grip|ride|travel|settling)", text), text
        return
    if found is None:
        found = re.search(r"(?:“([^”]*?)”|[Ww]hich set-up.*?) hardly matters: .* are the same as with “(.*?)”", text)
        assert found, text
        reference = named(told, found[2])
        spoken_of = (
            [named(told, found[1])]
            if found[1]
            else [name for name in told.damped if name not in (reference, *loads(told, reference))]
        )
        blocks = BLOCKS[told.kind]
        assert not any(
            noticed(told, block, judged_by(told, name, reference), name) for name in spoken_of for block in blocks
        ), text
        return
    raise AssertionError(f"not understood: {text}")


def check_of_several_loads(told, text, parts):
    """Check with which loads a title says that a choice is better: each part is of one load."""
    reference = named(told, re.match(r"Against “(.*?)”", parts[0])[1])
    better = re.search(
        r"(One choice is better with every load|One choice is better with one load, worse with none|No choice is better with every load)\. Against",
        text,
    )
    if better is None:
        return
    pairs = [tuple(named(told, one) for one in re.match(r"Against “(.*?)”, “(.*?)”", part).groups()) for part in parts]
    assert all(one == judged_by(told, two, reference) for one, two in pairs), text
    assert len({str(told.load[two]) for _, two in pairs}) == len(pairs), text
    assert len({str(told.bare[two]) for _, two in pairs}) == 1, text
    ways = [
        {way for block in BLOCKS[told.kind] for way in ways_of(told, block, one, two)} for one, two in pairs
    ]  # fmt: skip
    said = better[1]
    assert (said == "One choice is better with every load") == all(way == {"better"} for way in ways), (ways, text)
    if said == "One choice is better with one load, worse with none":
        assert not any("worse" in way for way in ways), (ways, text)
        assert any("better" in way for way in ways), (ways, text)


MORE_IS_BETTER = ("bump travel left", "droop at ride height")


def ways_of(told, block, one, other):
    """Return which ways the figures of a block differ by what a person would notice: better, worse."""
    for label, _ in BLOCKS[told.kind][block]:
        if noticed(told, block, one, other, label):
            more = told.figures[label][other] > told.figures[label][one]
            yield "better" if more == label.endswith(MORE_IS_BETTER) else "worse"


def check_against(told, text):
    """Check one sentence "Against X, Y does this; that is the same", and what a second set-up beside it does."""
    found = re.search(r"^[Aa]gainst “(.*?)”, “(.*?)”:? (.*?)(?:; (.*?))?(?:\. “(.*?)” (.*))?$", text)
    assert found, text
    if re.fullmatch(r"(?:grip|ride|travel|settling|,| |and)+ (?:is|are) the same", found[3]):
        reference, setup = named(told, found[1]), named(told, found[2])
        for block in BLOCKS[told.kind]:
            assert block in found[3] or block not in told_blocks(told), text
            assert not noticed(told, block, reference, setup), (block, text)
        return
    reference, setup = named(told, found[1]), named(told, found[2])
    assert reference in told.damped
    checked(told, reference, setup, found[3])
    clauses = (found[4] or "").split("; ")
    clauses = [clause for clause in clauses if not clause.endswith("not known")]
    same, close = (
        [block for clause in clauses if ("too close to call" in clause) is wanted for block in re.findall(r"grip|ride|travel|settling|(?<!front )(?<!rear )wind-up", clause)]
        for wanted in (False, True)
    )  # fmt: skip
    unknown = re.findall(
        "grip|ride|travel|settling|wind-up", " ".join(re.findall(r"; ([^;]*) (?:is|are) not known", text))
    )
    for block in (each for each in BLOCKS[told.kind] if each not in unknown):
        # "Too close to call" is for numbers in doubt alone, and only where no figure of the block is plainly apart.
        assert noticed(told, block, reference, setup) == (block not in same and block not in close), (block, text)
        assert block not in close or undecided(told, block, setup), (block, text)
    if found[5]:
        checked(told, reference, named(told, found[5]), found[6])


def test_what_is_said_first(told):
    text = told.titles.get("verdict")
    if text is None or len(told.setups) == 1:
        pytest.skip("no verdict is drawn")
    first = re.split(
        r"Against “|[Ww]hich set-up|Only the load|Better with|None is better|Whatever the load|“[^”]*” hardly", text
    )[0]
    into = {
        (name, end_) for name in told.setups for end_ in ENDS if told.figures[f"{end_} bump travel left"].get(name, 1.0) < 0.0
    }  # fmt: skip
    assert bool(into) == ("bump stops" in first), text
    # One part a group of set-ups: "who does this, that and runs into its front and rear bump stops".
    for part in first.rstrip(". ").split("; "):
        meets = re.search(r"runs into its (front and rear|front|rear) bump stops", part)
        if meets is None:
            continue
        who, ends = part[: meets.start()], meets[1]
        names = [named(told, one) for one in re.findall("“(.*?)”", who)]
        if who.lower().startswith("every set-up"):
            names = [name for name in told.setups if name not in names]
        if more := re.search(r"and (\d+) others", who):
            # The others have no name in the title: they are those that do the same.
            same = [
                name for name in told.setups if all((name, end_.capitalize()) in into for end_ in ends.split(" and "))
            ]
            assert len(same) == len(names) + int(more[1]), text
            names = same
        for end_ in ends.split(" and "):
            assert {(name, end_.capitalize()) for name in names} <= into, text
            into -= {(name, end_.capitalize()) for name in names}
    # Titles have room for two groups; only then may one be left out.
    assert not into or "another limit too" in first, (into, text)


PAGES = {
    "tyre_load": (r"the (front|rear) tyres (?:are on the ground|keep at least) ([\d.]+) %", r"([\d.]+) %",
                  lambda m: (f"{m[1].capitalize()} tyre load: lowest, share of rest", lambda v: v) if "keep" in m[0] else
                            (f"{m[1].capitalize()} tyres: time off the ground", lambda v: 100.0 - v), "more"),
    "axle_travel": (r"the (front|rear) axle keeps (-?[\d.]+) mm", r"(-?[\d.]+) mm",
                    lambda m: (f"{m[1].capitalize()} bump travel left", lambda v: v), "more"),
    "felt": (r"the ride at (driver) is ([\d.]+) m/s²", r"([\d.]+) m/s²", lambda m: ("Ride at driver: upward weighted RMS", lambda v: v), "less"),
    "comfort": (r"the ride at (driver) is ([\d.]+) m/s²", r"([\d.]+) m/s²",
                lambda m: ("Ride at driver: all together, weighted RMS (axles give)", lambda v: v), "less"),
    "wind_up": (r"the (front|rear) (?:pinion winds (?:up|down)|axle still swings) by ([\d.]+) deg", r"([\d.]+) deg",
                lambda m: (f"{m[1].capitalize()} wind-up{': still swinging at the end' if 'still' in m[0] else ', pinion up' if ' up by' in m[0] else ', pinion down'}", lambda v: v), "less"),
    "bounce_and_pitch": (r"the body has stopped (bouncing|pitching) ([\d.]+) s", r"([\d.]+) s\b",
                         lambda m: (f"{'Bounce' if m[1] == 'bouncing' else 'Pitch'}: settling time", lambda v: v), "less"),
}  # fmt: skip
"""What a page's title says, how its further figures look, which row that is, and which way is better."""


@pytest.mark.parametrize("page", PAGES)
def test_other_titles(told, page):
    text = told.titles.get(page, "")
    says, short, of, better = PAGES[page]
    match = re.search(says, text)
    if match is None or len(told.setups) == 1:
        pytest.skip("nothing of the kind is said")
    label, turned = of(match)
    row = {name: turned(value) for name, value in told.figures[label].items()}
    decimals = len(match[2].partition(".")[2])
    said = [(match[2], text[: match.start()])]
    middle = "".join(re.findall(r"; between them [^;]*", text))
    text = text.replace(middle, "") if middle else text
    for name, number in re.findall(r"“([^”]*)” \(([\d.]+)", middle):
        value = row[named(told, name)]
        assert reads(value, number), (middle, name)
        assert min(row.values()) < value < max(row.values()), (middle, name)
    for part in text[match.end() :].split("; with ")[1:]:
        number = re.search(short, part)
        said.append((number[1] if number else "inf", part))
    judged = [row[name] for name in told.damped if name in row]
    judged = judged if len(judged) > 1 else list(row.values())
    ends = (max(judged), min(judged)) if better == "more" else (min(judged), max(judged))
    for place, (number, words) in enumerate(said):
        value = float(number)
        names = [named(told, one) for one in re.findall("“(.*?)”", words)]
        if place == 0 and "every set-up" in words:
            names = [name for name in told.damped if name not in names]
        for name in names:
            assert round(row[name], decimals) == pytest.approx(value, abs=1.1 * 10.0**-decimals), (text, name)
        # Without dampers on an axle a set-up is said beside those that have them, and is no end of their range.
        if place < 2 and not (names and not set(names) & set(told.damped)):
            assert ends[place] == pytest.approx(value, abs=1.1 * 10.0**-decimals) or ends[place] == value, text
    if len(said) == 1:
        assert round(ends[0], decimals) == pytest.approx(round(ends[1], decimals), abs=1.1 * 10.0**-decimals), text
