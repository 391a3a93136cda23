"""Arrays that several processes want are those that each would have worked out, whoever does it and whoever is killed."""

import multiprocessing
from pathlib import Path

import numpy as np
import pytest

from sim import machine
from sim.machine import shared as module
from sim.machine.shared import COUNT, Shared

SHAPE = (2, 50)


def worked_out(number):
    return np.random.default_rng(number).normal(size=SHAPE)


class Counting:
    """Works out the array of a number, and remembers of which ones."""

    def __init__(self):
        self.made = []

    def __call__(self, number):
        self.made.append(number)
        return worked_out(number)


@pytest.fixture
def laps(tmp_path):
    return Shared(tmp_path)


def test_one_works_out_and_the_others_read(laps):
    first, other = Counting(), Counting()
    for number in range(5):
        for make in (first, other):
            assert np.array_equal(laps.get("a", number, SHAPE, make), worked_out(number))
    assert first.made == list(range(5))
    assert other.made == []


def test_series_do_not_meet(laps):
    assert np.array_equal(laps.get("a", 3, SHAPE, worked_out), worked_out(3))
    assert np.array_equal(laps.get("b", 3, SHAPE, lambda number: -worked_out(number)), -worked_out(3))


def test_who_finds_another_at_a_number_does_the_next_one_meanwhile(laps):
    """As if another process had begun with 4 and was killed: nobody waits, all have the right array, and it is there for the next."""
    assert laps._begun("a", 4)
    make = Counting()
    assert np.array_equal(laps.get("a", 4, SHAPE, make), worked_out(4))
    assert make.made == [5, 4]
    again = Counting()
    assert all(np.array_equal(laps.get("a", number, SHAPE, again), worked_out(number)) for number in (4, 5))
    assert again.made == []


def test_the_last_of_a_series_asks_for_none_that_follows(laps):
    laps._begun("a", 0)
    make = Counting()
    assert np.array_equal(laps.get("a", 0, SHAPE, make, ahead=0), worked_out(0))
    assert make.made == [0]


@pytest.mark.parametrize(
    "damage", [lambda text: text[: len(text) // 2], lambda text: b"", lambda text: b"none of ours"]
)
def test_what_is_no_array_is_worked_out_again(laps, damage):
    laps.get("a", 2, SHAPE, worked_out)
    place = laps._place("a", 2)
    place.write_bytes(damage(place.read_bytes()))
    assert np.array_equal(laps.get("a", 2, SHAPE, worked_out), worked_out(2))


def test_no_more_is_kept_than_there_is_room_for(laps, monkeypatch):
    monkeypatch.setattr(module, "MOST_BYTES", 3 * module.UNIT)
    make = Counting()
    for number in [*range(10), *range(10)]:
        assert np.array_equal(laps.get("a", number, SHAPE, make), worked_out(number))
    assert len([file for file in laps.folder.iterdir() if file.name != COUNT]) == 3
    assert make.made == [*range(10), *range(3, 10)]


def test_a_folder_that_cannot_be_written_costs_time_alone(tmp_path):
    gone = Shared(tmp_path / "none")
    assert np.array_equal(gone.get("a", 1, SHAPE, worked_out), worked_out(1))


def test_plain_shares_nothing(laps, monkeypatch):
    monkeypatch.setattr(machine, "PLAIN", True)
    assert np.array_equal(laps.get("a", 1, SHAPE, worked_out), worked_out(1))
    assert not list(laps.folder.iterdir())


def drives(folder, numbers, right):
    laps = Shared(Path(folder))
    with right.get_lock():
        pass  # all begin together
    own = sum(np.array_equal(laps.get("a", number, SHAPE, worked_out), worked_out(number)) for number in range(numbers))
    with right.get_lock():
        right.value += own


def test_processes_at_once_all_read_the_same(tmp_path):
    context = multiprocessing.get_context("spawn")
    right, numbers = context.Value("i", 0), 60
    with right.get_lock():
        others = [context.Process(target=drives, args=(tmp_path, numbers, right), daemon=True) for _ in range(3)]
        for one in others:
            one.start()
    for one in others:
        one.join()
    assert right.value == 3 * numbers
    assert not [file for file in tmp_path.iterdir() if file.name.count(".") > 1]  # none is left half written
