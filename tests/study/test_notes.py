"""Notes of sweeps and tunings: one file a question, one command at a time, nothing in them trusted, nothing written through a link."""

import json
import os
import threading
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sim
import sim.study.sweep.points as module
from sim.cli import main
from sim.errors import OutputError
from sim.machine.locks import HeldError, locked
from sim.study.notes import Notes, name_of
from sim.study.sweep.axes import axis
from sim.study.sweep.sweep import sweep

SCENARIO = Path(__file__).parents[2] / "scenarios" / "push_on_the_bumper.yaml"
MEASURES = ["front_body_settling_time", "acceleration_rms_driver"]


def noted(path, entries, key="key"):
    with Notes(path, key) as notes:
        for entry in entries:
            notes.add(entry)
    return path


def read(path, key="key"):
    with Notes(path, key) as notes:
        return notes.entries


ENTRIES = [{"at": "a|0", "values": {"x": 0.1}}, {"at": "b|0", "why": "“no”"}, [1, [2.5]]]


def test_what_was_noted_is_read_back(tmp_path):
    path = noted(tmp_path / "n" / "notes", ENTRIES)
    assert read(path) == ENTRIES
    noted(path, ["more"])
    assert read(path) == [*ENTRIES, "more"]
    assert [file.name for file in path.parent.iterdir()] == ["notes"]


def test_another_key_begins_anew_and_has_another_name(tmp_path):
    path = noted(tmp_path / "notes", ENTRIES)
    assert read(path, "other") == []
    assert name_of("run", "a" * 64, "points") != name_of("run", "b" * 64, "points")


@pytest.mark.parametrize("place", range(4))
def test_a_damaged_line_is_left_out_and_the_others_count(tmp_path, place):
    """Any byte of a line turned into another; the head is what the others are under, so without it nothing counts."""
    path = noted(tmp_path / "notes", ENTRIES)
    lines = path.read_bytes().splitlines(keepends=True)
    for number in range(len(lines[place]) - 1):
        damaged = bytearray(lines[place])
        damaged[number] ^= 1
        path.write_bytes(b"".join([*lines[:place], bytes(damaged), *lines[place + 1 :]]))
        assert read(path) == ([] if place == 0 else ENTRIES[: place - 1] + ENTRIES[place:])
        noted(path, ["more"])
        assert read(path)[-1] == "more"


def test_every_truncation_gives_whole_lines(tmp_path):
    path = noted(tmp_path / "notes", ENTRIES)
    whole = path.read_bytes()
    for size in range(len(whole)):
        path.write_bytes(whole[:size])
        kept = max(whole[:size].count(b"\n") - 1, 0)
        assert read(path) == ENTRIES[:kept]
        assert path.read_bytes().endswith(b"\n")


@pytest.mark.parametrize(
    "content",
    [b"", b"\n\n", b"\xff\xfe\x00", bytes(range(256)) * 40, b"[" * 100_000, b'{"sweep": "key"}\n', b"key\n[[1]]\n",
     b'{"key": "key"}\n{"at": 1}\n'],
)  # fmt: skip
def test_a_foreign_file_counts_for_nothing(tmp_path, content):
    (tmp_path / "notes").write_bytes(content)
    assert read(tmp_path / "notes") == []
    assert read(noted(tmp_path / "notes", ENTRIES)) == ENTRIES


@pytest.mark.parametrize("link", ["symlink_to", "hardlink_to"])
def test_nothing_is_written_through_a_link(tmp_path, link):
    """A note that is a link to another file: that file stays as it is, even if it looks like notes of this very key."""
    mine = noted(tmp_path / "mine", ENTRIES)
    before = mine.read_bytes()
    getattr(tmp_path / "notes", link)(mine)
    assert read(tmp_path / "notes") == []
    noted(tmp_path / "notes", ["more"])
    assert mine.read_bytes() == before
    assert not (tmp_path / "notes").is_symlink()


def test_a_link_as_the_lock_is_not_followed(tmp_path):
    (tmp_path / "notes.lock").symlink_to(tmp_path / "made by it")
    with pytest.raises(OSError, match="link"):
        read(tmp_path / "notes")
    assert not (tmp_path / "made by it").exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="the system has no pipes with names")
def test_a_pipe_or_a_folder_there_is_no_hang(tmp_path):
    os.mkfifo(tmp_path / "notes")
    assert read(tmp_path / "notes") == []
    (tmp_path / "folder").mkdir()
    with pytest.raises(OSError, match="directory"):
        read(tmp_path / "folder")


def test_two_commands_at_the_same_work_are_told(tmp_path):
    with Notes(tmp_path / "notes", "key") as notes:
        with pytest.raises(OutputError, match="another jounce command"):
            read(tmp_path / "notes")
        notes.add("kept")
    assert read(tmp_path / "notes") == ["kept"]


def test_whoever_waits_gets_the_lock_when_it_is_let_go(tmp_path):
    path, waiting, got = tmp_path / "lock", threading.Event(), []

    def second():
        with locked(path, waiting.set) as held:
            got.append(held)

    thread = threading.Thread(target=second)
    with locked(path) as held:
        assert held
        with pytest.raises(HeldError), locked(path):
            pytest.fail("held twice")
        thread.start()
        waiting.wait()
        assert not got
    thread.join()
    assert got == [True]
    assert not path.exists()


def test_sweeps_of_other_ranges_leave_each_others_notes_alone(tmp_path, capsys, monkeypatch):
    """A stopped long sweep, then a short one over the same input: the long one goes on with its own points, to its own answer."""
    given = ["sweep", str(SCENARIO), "--measure", MEASURES[0], "--workers", "1", "--setup", "bare springs"]
    long = [*given, "--vary", "front.springs.coil.rate", "30 N/mm", "42 N/mm", "33"]
    short = [*given, "--vary", "front.springs.coil.rate", "50 N/mm", "60 N/mm", "3"]
    assert main([*long, "--outputs", str(tmp_path / "whole")]) == 0
    wanted = (tmp_path / "whole" / "push_on_the_bumper_by_rate" / "swept.csv").read_bytes()
    plain, ran = module.Points.solved, []

    def stopped(own, part):
        if len(ran) == 1:
            raise KeyboardInterrupt
        ran.append(len(part))
        return plain(own, part)

    out = tmp_path / "out"
    monkeypatch.setattr(module.Points, "solved", stopped)
    assert main([*long, "--outputs", str(out)]) == 130
    monkeypatch.setattr(module.Points, "solved", plain)
    assert main([*short, "--outputs", str(out)]) == 0
    monkeypatch.setattr(module.Points, "solved", lambda own, part: ran.append(len(part)) or plain(own, part))
    assert main([*long, "--outputs", str(out)]) == 0
    assert ran == [16, 16, 1]
    assert (out / "push_on_the_bumper_by_rate" / "swept.csv").read_bytes() == wanted
    assert [path.name for path in out.iterdir()] == ["push_on_the_bumper_by_rate"]


def test_a_sweep_begun_while_another_runs_does_not_mix_with_it(tmp_path, monkeypatch):
    """Two sweeps of one folder and input, of other ranges, one begun in the middle of the other; each has its own answer."""
    scenario = sim.load(SCENARIO)
    setup = next(iter(scenario.setups))
    scenario = replace(scenario, setups={setup: scenario.setups[setup]})
    first, second = (
        axis("front.springs.coil.rate", *ends, "17") for ends in (("30 N/mm", "42 N/mm"), ("50 N/mm", "60 N/mm"))
    )

    def notes(key):
        return tmp_path / name_of("run", key, "points")

    wanted = [sweep(scenario, [one], MEASURES, tmp_path / "alone", 1).values[setup] for one in (first, second)]
    between = []

    def tell(done, of):
        if 0 < done < of and not between:
            between.append(sweep(scenario, [second], MEASURES, notes, 1).values[setup])

    found = [sweep(scenario, [first], MEASURES, notes, 1, tell).values[setup], *between]
    for right, row in zip(wanted, found, strict=True):
        for name in MEASURES:
            assert np.array_equal(right[name], row[name], equal_nan=True)
    again = sweep(scenario, [first], MEASURES, notes, 1, lambda done, of: between.append(done))
    assert between[1:] == [17]  # all was noted under its own name
    assert np.array_equal(again.values[setup][MEASURES[0]], wanted[0][MEASURES[0]], equal_nan=True)


def test_a_note_of_another_form_is_left_out(tmp_path):
    """With the right key and checksum, and yet not what a sweep notes."""
    scenario = sim.load(SCENARIO)
    coil = axis("front.springs.coil.rate", "30 N/mm", "42 N/mm", "2")
    whole = sweep(scenario, [coil], MEASURES, tmp_path / "notes", 1)
    key = json.loads((tmp_path / "notes").read_text().splitlines()[0].partition(" ")[2])["key"]
    setup = next(iter(scenario.setups))
    (tmp_path / "notes").unlink()
    odd = [1, [], {"at": 3}, {"at": f"{setup}|0"}, {"at": f"{setup}|1", "values": {MEASURES[0]: "much"}}, {"at": f"{setup}|1", "values": 3}]  # fmt: skip
    noted(tmp_path / "notes", odd, key)
    again = sweep(scenario, [coil], MEASURES, tmp_path / "notes", 1)
    for name in MEASURES:
        assert np.array_equal(again.values[setup][name], whole.values[setup][name], equal_nan=True)


def test_the_same_sweep_twice_at_once_is_told(tmp_path, capsys, monkeypatch):
    given = ["sweep", str(SCENARIO), "--measure", MEASURES[0], "--workers", "1", "--outputs", str(tmp_path),
             "--vary", "front.springs.coil.rate", "30 N/mm", "42 N/mm", "2"]  # fmt: skip
    codes: list[int | None] = []
    plain = module.Points.solved

    def solved(own, part):
        if not codes:
            codes.append(None)
            codes[0] = main(given)
        return plain(own, part)

    monkeypatch.setattr(module.Points, "solved", solved)
    assert main(given) == 0
    assert codes == [4]
    assert "another jounce command is at the very same work" in capsys.readouterr().err
