"""The file that the page writes: copies, changes from outside, names."""

import re

import pytest

from sim.cli import main
from sim.cli.question_list import GATE, PLANNED, is_asked, items
from sim.describe.estimates.fields import fields, with_text
from sim.describe.files.reader import read
from sim.errors import OutputError
from sim.show.pages.local.paper import (
    ChangedOutsideError,
    Paper,
    TakenError,
    as_changes,
    file_stem,
    typed_edits,
    written_new,
)

TEXT = "# of the shop\nkind: vehicle\nname: Old truck  # as called\nwheelbase: 2.95 m\n"


@pytest.fixture
def paper(tmp_path):
    path = tmp_path / "old_truck.yaml"
    path.write_text(TEXT, encoding="utf-8")
    return Paper(path, tmp_path)


def test_a_save_keeps_a_copy_of_what_was_there(paper):
    mark, copy = paper.saved({("wheelbase",): "116 in"}, paper.mark())
    assert paper.path.read_text(encoding="utf-8") == TEXT.replace("2.95 m", "116 in")
    assert (paper.folder / copy).read_text(encoding="utf-8") == TEXT
    assert mark == paper.mark()
    _, again = paper.saved({("wheelbase",): "117 in"}, mark)
    assert again != copy
    assert (paper.folder / again).read_text(encoding="utf-8") == TEXT.replace("2.95 m", "116 in")


def test_a_file_that_somebody_else_changed_is_left_alone(paper):
    mark = paper.mark()
    paper.path.write_text(TEXT.replace("Old", "Older"), encoding="utf-8")
    with pytest.raises(ChangedOutsideError, match="changed by another program"):
        paper.saved({("wheelbase",): "116 in"}, mark)
    assert "Older" in paper.path.read_text(encoding="utf-8")
    assert [one.name for one in paper.folder.iterdir()] == ["old_truck.yaml"]


def test_a_file_that_was_taken_away_is_not_brought_back_by_a_save(paper):
    mark = paper.mark()
    paper.path.unlink()
    with pytest.raises(ChangedOutsideError):
        paper.saved({("wheelbase",): "116 in"}, mark)
    assert list(paper.folder.iterdir()) == []


def test_a_new_truck_gets_a_file_of_its_name_and_takes_nobodys_place(tmp_path):
    paper = Paper(None, tmp_path)
    paper.saved({("name",): "Müller's <old> 4x4"}, "", "Müller's <old> 4x4")
    assert paper.path.name == "muller_s_old_4x4.yaml"
    assert read(paper.path).data == {"kind": "vehicle", "name": "Müller's <old> 4x4", "weighed": {}}
    before = paper.path.read_bytes()
    other = Paper(None, tmp_path)
    with pytest.raises(TakenError, match="choose another name"):
        other.saved({("wheelbase",): "3 m"}, "", "Müller's <old> 4x4")
    assert other.path is None
    assert paper.path.read_bytes() == before
    assert "#" in before.decode()


def test_nothing_is_half_written_where_a_folder_takes_no_file(tmp_path):
    paper = Paper(None, tmp_path / "is not there")
    with pytest.raises(OutputError, match="cannot be written"):
        paper.saved({}, "", "x")
    assert paper.path is None


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "/etc/x", "..", "", "  ", "a/b\\c", "x" * 300, "\x00", "C:\\truck", "人"]
)
def test_a_name_leads_to_a_file_of_this_folder(tmp_path, name):
    stem = file_stem(name)
    assert re.fullmatch(r"[a-z0-9_]{1,60}", stem)
    assert written_new(tmp_path, name, "a: 1\n").parent == tmp_path


def test_what_is_typed_is_taken_as_a_file_is_read():
    typed = {
        "name": "12",
        "front.dampers.main.count": " 4 ",
        "wheelbase": "  116\n in ",
        "note": " ",
        "rows": [{"speed": "1 m/s"}],
    }
    assert typed_edits(typed) == {
        ("name",): "12", ("front", "dampers", "main", "count"): 4, ("wheelbase",): "116 in", ("note",): None,
        ("rows",): [{"speed": "1 m/s"}],
    }  # fmt: skip
    assert as_changes({"rear.dampers": "", "front.dampers.main.count": "4"}) == {
        "rear.dampers": "none", "front.dampers.main.count": 4,
    }  # fmt: skip


TICKET = {
    "name": "Ticket truck", "weighed.front": "2450 lb", "weighed.rear": "1780 lb", "weighed.aboard": "driver, half a tank", "wheelbase": "92 in",
    "front.tyre.outside_diameter": '33"', "front.springs": "coils", "front.springs.coil.rate": "190 lb/in", "front.dampers.main.count": "2",
    "front.dampers.main.length_extended": "23.5 in", "front.dampers.main.length_collapsed": "14.25 in",
}  # fmt: skip


def test_a_new_truck_is_written_as_the_command_writes_it(tmp_path, capsys, monkeypatch):
    """The same answers give the same file to the letter, from the form and from questions in a terminal."""
    monkeypatch.setattr("sys.stdin", Typed(TICKET))
    assert main(["new", str(tmp_path / "asked.yaml"), "--questions", "--name", TICKET["name"]]) == 0
    Paper(None, tmp_path).saved(typed_edits(TICKET), "", TICKET["name"])
    text = (tmp_path / "ticket_truck.yaml").read_text(encoding="utf-8")
    assert text == (tmp_path / "asked.yaml").read_text(encoding="utf-8")
    assert "# given" in text
    assert "#     rate: about" in text
    assert "docs/measure/tyre.md" in text


def test_a_number_typed_after_the_first_save_takes_the_place_of_its_estimate(tmp_path):
    paper = Paper(None, tmp_path)
    mark, _ = paper.saved(typed_edits(TICKET), "", TICKET["name"])
    assert re.search(r"^#     rate: about", paper.text(), re.MULTILINE)
    mark, _ = paper.saved(typed_edits({"front.tyre.rate": "1500 lb/in", "front.stop.gap": "3 in"}), mark)
    text = paper.text()
    assert re.search(r"^    rate: 1500 lb/in +# given$", text, re.MULTILINE)
    assert re.search(r"^  stop:\n(?:#.*\n)*    gap: 3 in +# given$", text, re.MULTILINE)
    front = text.split("\nfront:")[1].split("\nrear:")[0]
    assert not re.search(r"^#     (rate|gap): about", front.split("  guide:")[0], re.MULTILINE)
    # Taken out again the estimate is back.
    paper.saved(typed_edits({"front.tyre.rate": "", "front.stop.gap": ""}), mark)
    again = tmp_path / "again"
    again.mkdir()
    new = Paper(None, again)
    new.saved(typed_edits(TICKET), "", TICKET["name"])
    assert paper.text() == new.text()


class Typed:
    """A terminal in which somebody answers by the question that he reads: those that are not in `answers` are skipped."""

    def __init__(self, answers):
        own = dict(answers)
        # Where one question takes two boxes of the form.
        own["front.tyre.size"] = own.pop("front.tyre.outside_diameter")
        self.answers = own
        self.items = iter(items())
        self.agreed = set()

    def isatty(self):
        return True

    def readline(self):
        """Return the answer to the question that comes now, by the rules of the list of questions."""
        for item in self.items:
            field = item.field
            if not all(head in self.agreed for head in item.behind):
                continue
            if field.kind == GATE:
                self.agreed.add(field.path)
                return "y\n"
            if field.step == PLANNED or is_asked(field, self.data(), KNOWN):
                return f"{self.answers.get(field.path, '')}\n"
        return ""

    def data(self):
        data = {}
        for field in fields():
            if field.path in self.answers:
                data = with_text(data, field, self.answers[field.path])
        return data


KNOWN = {field.path: field for field in fields()}
