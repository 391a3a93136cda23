"""`jounce sheet` ends the job: the list of parts, and the page that is filled in on the truck; on the screen, as CSV, in the report and for scripts."""

import csv
import json
import re
from math import asin, degrees, hypot
from pathlib import Path

import pytest

from sim.cli import main
from tests.cli.test_sheet import SHOP

pytestmark = pytest.mark.long  # whole commands: seconds each

TRUCK = Path(__file__).parents[2] / "scenarios" / "vehicles" / "hut_supply_truck.yaml"
CARGO = {"mass": "300 kg", "place": {"behind_front_axle": "2.6 m", "above_ground": "1 m"}}
BLANK = "__________"


def sheet(tmp_path, capsys, setups, *more, setup=None):
    """Return the exit code, the folder, and what is printed."""
    path = tmp_path / "work.yaml"
    data = {"kind": "scenario", "name": "work", "vehicle": str(TRUCK), "run": {"kind": "drop", "height": "20 mm"}}
    path.write_text(json.dumps(data | {"setups": setups}), encoding="utf-8")
    chosen = ["--setup", setup] if setup else []
    code = main(["sheet", str(path), *chosen, "--outputs", str(tmp_path / "out"), *more])
    (folder,) = (tmp_path / "out").iterdir()
    return code, folder, capsys.readouterr().out


def rows(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def page(folder):
    return " ".join(re.sub(r"<[^>]+>", " ", (folder / "report.html").read_text(encoding="utf-8")).split())


def test_a_lift_is_read_again_in_csv_on_screen_and_in_the_report(tmp_path, capsys):
    """A spacer of 40 mm under the coils: frame and arm by hand, with and without the cargo of the other set-up."""
    setups = {
        "lifted": {"front.springs.coil.spacer": "40 mm", "rear.springs.pack.block": "40 mm"},
        "cargo": {"loads.cargo": CARGO},
    }
    code, folder, out = sheet(tmp_path, capsys, setups)
    assert code in (0, 3)
    read = {(row["aboard"], row["axle"], row["what"]): row for row in rows(folder / "after_fitting.csv")}
    own, loaded = "Loads as it was measured (driver) (this set-up)", "With cargo"
    frame = read[own, "front", "frame from the ground, against before"]
    assert float(frame["should read, metric"].split()[0]) == pytest.approx(40.0, abs=1.5)
    assert frame["should read, inch"].endswith(" in")
    assert frame["read"] == ""
    assert "another spring" in frame["if not, likely"]
    down = float(read[loaded, "rear", "frame from the ground, against before"]["should read, metric"].split()[0])
    up = float(read[own, "rear", "frame from the ground, against before"]["should read, metric"].split()[0])
    # In words which of both heights it is: a tape from the ground, or the frame over its axle.
    assert re.search(
        r"^  front: on the scale \S+ kg \(\S+ lb\); frame \+\S+ mm \(\+\S+ in\) against before, from the ground; ",
        out,
        re.MULTILINE,
    )
    assert "count the frame over the axle, without that" in (folder / "after_fitting.csv").read_text(encoding="utf-8")
    # 2.6 / 2.95 of 300 kg on 84 N/mm of leaves and 530 N/mm of tyres.
    force = 2.6 / 2.95 * 300 * 9.80665
    assert up - down == pytest.approx(force / 84.0 + force / 530.0, rel=0.06)
    arm, below = hypot(0.98, 0.18), 0.18
    falls = degrees(asin((below + 0.04) / arm) - asin(below / arm))
    said = re.search(
        r"front castor -(\d\.\d) deg against the measured; to have the measured castor back, turn the top of the axle back by (\d\.\d) deg",
        out,
    )
    assert said
    assert said[1] == said[2]
    assert float(said[1]) == pytest.approx(falls, abs=0.15)
    assert "stays as it is: front coils 'coil'" in " ".join(out.split())
    assert re.search(r"^  rear: .*bobs not to be counted: leaf friction holds it", out, re.MULTILINE)
    order = {row["what"]: row["metric"] for row in rows(folder / "parts.csv")}
    assert order["front: 2 coil spacers"].startswith("40.0 mm (1.57 in) thick")
    assert "longer than those fitted" in order["rear: 4 U-bolts with nuts"]
    assert "turn the top of the axle back by" in order["castor, pinion"]
    # On the sheet of the coil, which is not ordered but lifted by a spacer, too.
    coil = {row["what"]: row["metric"] for row in rows(folder / "springs" / "front_coil.csv")}
    assert float(coil["castor then, against the measured, with loads as measured"].split()[0]) == pytest.approx(
        -falls, abs=0.15
    )
    assert float(coil["to have it back, turn the top of the axle back by"].split()[0]) == pytest.approx(falls, abs=0.15)
    text = page(folder)
    for words in (
        "Parts list: what this set-up changes",
        "After fitting. With cargo",
        "if not, likely",
        BLANK,
        "wheel nuts",
    ):
        assert words in text
    assert (folder / "after_fitting.pdf").read_bytes().startswith(b"%PDF")


def test_nothing_to_order(tmp_path, capsys):
    code, folder, out = sheet(tmp_path, capsys, {"as it is": {}})
    assert code == 0
    assert "nothing changes against the truck as measured" in out
    assert "front castor" not in out
    assert "Nothing changes" in page(folder)
    scale, first, *_ = rows(folder / "after_fitting.csv")
    # The hut truck's ticket (docs/your-truck.md): 1235 kg in front.
    assert scale["should read, metric"] == "1235 kg"
    assert scale["95 times in 100, metric"] == ""
    assert first["should read, metric"] == "0.0 mm"
    # Nothing of this truck is in doubt, so there is no band.
    assert first["95 times in 100, metric"] == ""


def test_no_straps_and_dampers_that_do_not_fit_stand_first(tmp_path, capsys):
    bad = {"rear.strap": "none", "front.dampers.main.length_extended": "600 mm"}
    code, folder, out = sheet(tmp_path, capsys, {"bad": bad})
    assert code == 3
    notes = [row["what"] for row in rows(folder / "after_fitting.csv") if row["aboard"] == "note"]
    assert notes[0].startswith("Not to be driven so: front damper 'main' is fully out")
    assert not any(
        "drops to the strap" in row["what"] for row in rows(folder / "after_fitting.csv") if row["axle"] == "rear"
    )
    assert "front: 2 dampers 'main', others than described (they do not fit)" in out
    assert "comes off: rear limit straps" in out


def test_one_system_alone(tmp_path, capsys):
    code, folder, out = sheet(tmp_path, capsys, {"up": {"front.springs.coil.spacer": "40 mm"}}, "--units", "inch")
    assert code in (0, 3)
    after = (folder / "after_fitting.csv").read_text(encoding="utf-8")
    for text in (
        out.partition("parts to order")[2].partition("\n")[2],
        after,
        (folder / "parts.csv").read_text(encoding="utf-8"),
    ):
        assert not re.search(r"\d (mm|N|kg|km)\b", text)
    assert "should read, inch" in after.splitlines()[0]
    assert "metric" not in after.splitlines()[0]


@pytest.mark.hours
def test_only_a_ticket_every_reading_has_a_band(tmp_path, capsys):
    """Of a truck that was weighed and no more nearly all is in doubt; what a band holds has its middle in it."""
    file = tmp_path / "my.yaml"
    assert (
        main(
            [
                "new",
                str(file),
                *SHOP,
                "--coil",
                "front:260 lb/in",
                "--leaf",
                "rear:221 lb/in",
                "--lift",
                "2 in",
                "--cargo",
                "660 lb",
            ]
        )
        == 0
    )
    capsys.readouterr()
    main(
        [
            "sheet",
            str(tmp_path / "my_planned.yaml"),
            "--setup",
            "all of it",
            "--outputs",
            str(tmp_path / "out"),
            "--json",
        ]
    )
    answer = json.loads(capsys.readouterr().out)
    found = answer["rows"]["after_fitting"]
    own = [one for one in found if one["loads"] == ["cargo"]]
    assert len(own) > 12
    banded = {(one["axle"], one["what"]): one["should_read"] for one in own if "between" in one["should_read"]}
    for key in (
        ("front", "frame"),
        ("front", "damper"),
        ("front", "gap"),
        ("front", "turn"),
        ("rear", "frame"),
        ("rear", "frequency"),
    ):
        low, high = banded[key]["between"]
        assert low < banded[key]["value"] < high
    assert {one["kind"] for one in answer["rows"]["parts"]} >= {"coil", "leaf pack", "U-bolt"}
    (folder,) = (tmp_path / "out").iterdir()
    bands = [row["95 times in 100, metric"] for row in rows(folder / "after_fitting.csv")]
    assert sum(" to " in band for band in bands) > 20


def test_heights_that_were_taped_are_read_above_the_ground(tmp_path, capsys):
    file = tmp_path / "my.yaml"
    taped = ["--frame-height", "front:24 in", "--axle-height", "front:15.5 in"]
    assert main(["new", str(file), *SHOP, "--coil", "front:260 lb/in", "--leaf", "rear:221 lb/in", *taped]) == 0
    main(["sheet", str(file), "--outputs", str(tmp_path / "out")])
    capsys.readouterr()
    (folder,) = (tmp_path / "out").iterdir()
    read = {(row["axle"], row["what"]): row for row in rows(folder / "after_fitting.csv")}
    assert read["front", "frame over it, above the ground"]["should read, inch"] == "24.00 in"
    assert read["front", "axle's centre, above the ground"]["should read, inch"] == "15.50 in"
    assert ("rear", "frame from the ground, against before") in read
