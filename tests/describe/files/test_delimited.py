"""Files of other people's machines through both doors, a surveyed road and a damper's test: letters, delimiters, marks, no text."""

import json
from pathlib import Path

import numpy as np
import pytest
from pydantic import TypeAdapter, ValidationError

from sim.cli import main
from sim.describe.files.delimited import read_lines
from sim.describe.parts.dampers.laws import Law
from sim.describe.roads.course import Course

STATION = [0.0, 0.4, 1.1, 1.5, 2.6, 3.0]
HEIGHT = [0.0, 12.0, 12.5, -10.0, 31.25, 20.0]
SPEED = [0.05, 0.13, 0.26, 0.52]
BUMP = [130.0, 260.5, 390.0, 610.0]
REBOUND = [350.0, 640.0, 930.25, 1300.0]

ENCODINGS = {
    "utf-8": "utf-8",
    "utf-8 with its mark": "utf-8-sig",
    "utf-16, low byte first": "utf-16-le",
    "utf-16, high byte first": "utf-16-be",
    "Western Windows": "cp1252",
    "Western ISO": "latin-1",
}

FORMS = [(",", "."), (";", "."), (";", ","), ("\t", "."), ("\t", ","), (" ", "."), (" ", ",")]


def rows_of(head, columns, delimiter, decimal):
    rows = [delimiter.join(f"{value:g}".replace(".", decimal) for value in row) for row in zip(*columns, strict=True)]
    return "\n".join(["# Prüfung 7, Öl 20 °C", delimiter.join(head), *rows]) + "\n"


def survey(delimiter=";", decimal=","):
    return rows_of(("distance_m", "height_mm"), (STATION, HEIGHT), delimiter, decimal)


def bench(delimiter=";", decimal=","):
    return rows_of(("speed_m/s", "bump_N", "rebound_N"), (SPEED, BUMP, REBOUND), delimiter, decimal)


def encoded(text, encoding):
    mark = {"utf-16-le": "\ufeff", "utf-16-be": "\ufeff"}.get(encoding, "")
    return (mark + text).encode(encoding)


def road(folder, raw):
    (folder / "field.csv").write_bytes(raw)
    data = {"kind": "course", "name": "surveyed", "items": [{"kind": "survey", "file": "field.csv"}]}
    return Course.model_validate(data, context={"folder": folder})


def damper(folder, raw):
    (folder / "field.csv").write_bytes(raw)
    return TypeAdapter(Law).validate_python({"kind": "measured", "file": "field.csv"}, context={"folders": (folder,)})


DOORS = {"survey": (road, survey), "damper": (damper, bench)}


def holds_what_was_written(made):
    if isinstance(made, Course):
        return np.allclose(made.height(np.array(STATION)), np.array(HEIGHT) / 1e3, rtol=0.0, atol=1e-12)
    found = made.reduced
    return (
        np.allclose(found.compression.speed, SPEED) and np.allclose(found.compression.force, BUMP)
        and np.allclose(found.rebound.speed, SPEED) and np.allclose(found.rebound.force, REBOUND)
    )  # fmt: skip


@pytest.mark.parametrize("encoding", ENCODINGS.values(), ids=ENCODINGS)
@pytest.mark.parametrize("door", DOORS)
def test_letters_of_every_system(door, encoding, tmp_path):
    read, text = DOORS[door]
    assert holds_what_was_written(read(tmp_path, encoded(text(), encoding)))


@pytest.mark.parametrize("door", DOORS)
def test_a_byte_of_no_western_letter_blurs_a_note_not_the_numbers(door, tmp_path):
    """0x81 has no letter in cp1252 (Unicode's table CP1252.TXT); it is ü where DOS wrote it."""
    read, text = DOORS[door]
    raw = text().encode("cp1252").replace(b"\xfc", b"\x81")
    assert b"\x81" in raw
    assert holds_what_was_written(read(tmp_path, raw))


@pytest.mark.parametrize(("delimiter", "decimal"), FORMS)
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("door", DOORS)
def test_delimiters_marks_and_ends_of_lines(door, ending, delimiter, decimal, tmp_path):
    read, text = DOORS[door]
    written = text(delimiter, decimal).replace("\n", ending) + "\x1a"  # with which old systems end a file
    assert holds_what_was_written(read(tmp_path, written.encode("utf-16")))


def test_empty_rows_of_a_spreadsheet_are_no_data(tmp_path):
    for read, text in DOORS.values():
        assert holds_what_was_written(read(tmp_path, text().encode() + b";;;\n;;\n\xc2\xa0\n"))


def test_a_mark_far_down_is_found(tmp_path):
    """A flat start says nothing of the decimal mark."""
    rows = [f"{d};0" for d in range(3000)] + ["3000;0,5", "3001;1,5"]
    course = road(tmp_path, "\n".join(["distance [m];height [mm]", *rows]).encode())
    assert course.height(np.array([3001.0]))[0] == pytest.approx(1.5e-3)


def test_notes_and_other_columns_beside_the_numbers(tmp_path):
    text = "id,when,height [mm],note,distance [m]\n" + "".join(
        f"P{n},2020-05-0{n + 1},{h},{'stone; big' if n % 2 else ''},{d}\n"
        for n, (d, h) in enumerate(zip(STATION, HEIGHT, strict=True))
    )
    assert holds_what_was_written(road(tmp_path, text.encode()))


def test_lines_keep_the_numbers_that_an_editor_shows(tmp_path):
    file = tmp_path / "field.csv"
    file.write_bytes("# a\x0cb\u2028c\r\n\r\n1;2\r3;4\n".encode())
    assert read_lines(file, "field.csv") == [(3, "1;2"), (4, "3;4")]


BAD = {
    "empty": (b"", "is empty"),
    "its mark alone": (b"\xef\xbb\xbf", "is empty"),
    "comments alone": (b"# a\n\n# b\n", "is empty"),
    "zero byte": (b"speed [m/s],force [N]\r\n0,1\r\n1,\x00\r\n", "is not text: its line 3 holds the byte 00"),
    "control byte": (b"a,b\n0,1\n\x02", "is not text: its line 3 holds the byte 02"),
    "utf-16 without its mark": ("distance,height\n".encode("utf-16-le"), "is not text: its line 1 holds the byte 00"),
    "utf-16 cut off": ("a,b\n0,1\n".encode("utf-16")[:-1], "is not text: .* its line 2 breaks off at 0A"),
    "workbook": (b"PK\x03\x04\x14\x00", "is not text but a workbook .* line 1 begins with 50 4B 03 04"),
    "old workbook": (b"\xd0\xcf\x11\xe0\xa1", "is not text but a workbook"),
    "picture": (b"\x89PNG\r\n\x1a\n", "is not text but a picture"),
    "page": (b"%PDF-1.7\n", "is not text but a PDF"),
}


@pytest.mark.parametrize(("raw", "said"), BAD.values(), ids=BAD)
@pytest.mark.parametrize("door", DOORS)
def test_what_is_no_text_is_refused_alike(door, raw, said, tmp_path):
    with pytest.raises(ValidationError, match=rf"field\.csv {said}"):
        DOORS[door][0](tmp_path, raw)


def test_commands_read_utf_16_and_keep_its_text(tmp_path, capsys):
    (tmp_path / "bench.csv").write_bytes(bench().encode("utf-16"))
    assert main(["dyno", str(tmp_path / "bench.csv"), "--outputs", str(tmp_path)]) == 0
    assert "cells parted by semicolon, decimal comma" in capsys.readouterr().out
    (tmp_path / "track.csv").write_bytes(
        rows_of(("x_m", "z_mm"), (np.arange(20.0), np.zeros(20)), "\t", ",").encode("utf-16")
    )
    (tmp_path / "track.yaml").write_text(
        "kind: course\nname: Track\nitems: [{kind: survey, file: track.csv}]\n", encoding="utf-8"
    )
    assert main(["road", str(tmp_path / "track.yaml"), "--outputs", str(tmp_path)]) == 0
    record = json.loads((tmp_path / "track_road" / "record.json").read_text(encoding="utf-8"))
    assert record["sources"]["track.csv"]["text"].startswith("# Prüfung 7, Öl 20 °C\nx_m\tz_mm\n0\t0\n")


@pytest.mark.parametrize("raw", [b"PK\x03\x04", b"speed,force\n\x00"])
def test_commands_refuse_what_is_no_text(raw, tmp_path, capsys):
    (tmp_path / "field.csv").write_bytes(raw)
    (tmp_path / "track.yaml").write_text(
        "kind: course\nname: Track\nitems: [{kind: survey, file: field.csv}]\n", encoding="utf-8"
    )
    for command, file in (("dyno", "field.csv"), ("road", "track.yaml")):
        assert main([command, str(Path(tmp_path, file)), "--outputs", str(tmp_path / "out")]) == 2
        error = capsys.readouterr().err
        assert "field.csv is not text" in error
        assert "Traceback" not in error
    assert not (tmp_path / "out").exists()
