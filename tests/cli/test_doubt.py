"""What commands say of numbers in doubt: compare, stand, sweep, sheet."""

import csv
import json
import re
from pathlib import Path

import pytest
import yaml

from sim.cli import main
from tests.study.doubt.cases import FOUR, PUSH, SCENARIOS

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

DOUBTS = {
    "body.mass": "1640 kg +- 20 kg",
    "front.tyre.rate": "220 to 310 N/mm",
    "front.springs.coil.rate": "36 N/mm +- 4 %",
}


def file(folder, doubts=None, setups=None, run=None):
    truck = yaml.safe_load((SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8"))
    for path, written in (DOUBTS if doubts is None else doubts).items():
        *parents, last = path.split(".")
        part = truck
        for step in parents:
            part = part[step]
        part[last] = written
    (folder / "truck.yaml").write_text(yaml.safe_dump(truck, sort_keys=False), encoding="utf-8")
    asked = {"kind": "scenario", "name": "x", "vehicle": "truck.yaml", "run": run or PUSH, "setups": setups or FOUR}
    (folder / "asked.yaml").write_text(yaml.safe_dump(asked, sort_keys=False), encoding="utf-8")
    return folder / "asked.yaml"


def table(path):
    return list(csv.DictReader(path.read_text(encoding="utf-8").splitlines()))


def test_compare_writes_bands_and_says_what_to_measure(tmp_path, capsys):
    scenario = file(tmp_path)
    assert main(["compare", str(scenario), "--no-plots", "--outputs", str(tmp_path / "out")]) in (0, 3)
    text = capsys.readouterr().out
    assert "What 4 numbers in doubt leave open" in text  # three of the truck, one of a set-up
    assert "change from two front" in text
    assert "of the doubt about the differences" in text
    folder = tmp_path / "out" / "asked"
    rows = table(folder / "doubt.csv")
    banded = [row for row in rows if row["two front: low"]]
    assert banded
    for row in banded:
        if "not reached" not in row.values():
            assert float(row["two front: low"]) <= float(row["two front: high"])
            low, high = (float(row[f"no gas: change from two front, {end}"]) for end in ("low", "high"))
            # "yes" for a band that holds zero and no other; one that nobody would notice is the same.
            assert low <= 0.0 <= high or row["no gas: too close to call"] == "no", row
    least = {
        row["measure"]: float(row["smallest noticed"])
        for row in table(folder / "verdict.csv")
        if row["set-up"] == "no gas" and row["smallest noticed"]
    }
    weighed = [row for row in banded if row["measure"] in least and "not reached" not in row.values()]
    assert weighed
    for row in weighed:
        low, high = (float(row[f"no gas: change from two front, {end}"]) for end in ("low", "high"))
        noticed = max(-low, high) >= least[row["measure"]]
        assert row["no gas: too close to call"] == ("yes" if low <= 0.0 <= high and noticed else "no"), row
    record = json.loads((folder / "record.json").read_text(encoding="utf-8"))["doubt"]
    assert set(record["numbers in doubt"]) == {
        *(f"{path}: {written}" for path, written in DOUBTS.items()), "front.springs.coil.rate: 30 N/mm +- 4 %",
    }  # fmt: skip
    shares = [float(row["decides by itself [%]"]) for row in table(folder / "influence.csv")]
    assert shares
    assert all(0.0 <= share <= 100.0 for share in shares)


def test_of_one_set_up_it_is_printed_what_its_figures_lie_within(tmp_path, capsys):
    """As its CSV has it; of a difference from nothing nothing is said."""
    scenario = file(tmp_path, setups={"as it is": None})
    assert main(["compare", str(scenario), "--no-plots", "--units", "metric", "--outputs", str(tmp_path / "out")]) in (
        0,
        3,
    )
    text = capsys.readouterr().out.partition("in doubt leave open")[2]
    assert "lies within" in text
    assert "change from" not in text
    assert "too close to call" not in text
    banded = {row["measure"]: row for row in table(tmp_path / "out" / "asked" / "doubt.csv") if row["as it is: low"]}
    said = re.findall(r"^(\S.*?)(?: \[\S+\])? +\|? +(-?[\d.]+) to (-?[\d.]+)$", text, re.MULTILINE)
    assert len(said) > 3
    for label, *ends in said:
        for end, written in zip(("low", "high"), ends, strict=True):
            step = 10.0 ** -len(written.partition(".")[2])
            assert float(banded[label][f"as it is: {end}"]) == pytest.approx(float(written), abs=0.51 * step), label


def test_json_has_the_bands(tmp_path, capsys):
    scenario = file(tmp_path)
    main(["compare", str(scenario), "--no-plots", "--json", "--outputs", str(tmp_path / "out")])
    said = json.loads(capsys.readouterr().out)["doubt"]
    assert said["reference"] == "two front"
    assert said["numbers"]["body.mass"] == "1640 kg +- 20 kg"
    assert set(said["differences"]) == set(FOUR) - {"two front"}


@pytest.mark.parametrize(("doubts", "options"), [({}, []), (None, ["--no-doubt"])])
def test_without_doubt_no_band_is_said_or_written(tmp_path, capsys, doubts, options):
    setups = {"two front": None, "four": {"front.dampers.main.count": 4}}
    scenario = file(tmp_path, doubts, setups)
    main(["compare", str(scenario), "--no-plots", "--outputs", str(tmp_path / "out"), *options])
    said = capsys.readouterr().out
    folder = tmp_path / "out" / "asked"
    page = (folder / "report.html").read_text(encoding="utf-8")
    if options:
        # Three numbers of DOUBTS are written with a spread: that they were not drawn is said on the screen and in the report.
        assert "Doubt was switched off; 3 numbers are estimated" in said
        assert "Doubt was switched off; 3 numbers are estimated" in page
    else:
        assert "oubt" not in said
    assert ("none is written with how well it is known" in page) == (not options)
    assert not (folder / "doubt.csv").exists()
    assert "doubt" not in json.loads((folder / "record.json").read_text(encoding="utf-8"))


def test_what_nobody_gave_is_said_without_any_doubt(tmp_path, capsys):
    scenario = file(tmp_path, {"rear.tyre": {"radius": "402 mm", "rate": "265 N/mm"}}, {"two front": None})
    main(["compare", str(scenario), "--no-plots", "--outputs", str(tmp_path / "out")])
    said = capsys.readouterr().out.replace("\n", " ")
    assert "Assumed to be nothing, as nobody gave it: tyre damping (rear.tyre.damping)" in said
    record = json.loads((tmp_path / "out" / "asked" / "record.json").read_text(encoding="utf-8"))["doubt"]
    assert record["assumed to be nothing"] == ["rear.tyre.damping", "rear.tyre.contact_length"]


def test_stand_says_between_what(tmp_path, capsys):
    file(tmp_path, {"front.housing.mass": "232 kg +- 23.2 kg"})
    assert main(["stand", str(tmp_path / "truck.yaml"), "--all"]) == 0
    lines = capsys.readouterr().out.splitlines()
    place = next(n for n, line in enumerate(lines) if "unsprung mass" in line)
    # 3.8 kg of damper ends move with the axle; 10 % of the housing either way.
    low, high = (float(word) for word in lines[place + 1].replace("between", "").replace("kg", "").split("to"))
    assert high - low == pytest.approx(46.4, rel=0.05)
    assert low < 232.0 + 3.8 < high


def test_sweep_says_how_sure_its_best_is(tmp_path, capsys):
    scenario = file(tmp_path, None, {"two front": None, "four": {"front.dampers.main.count": 4}})
    main([
        "sweep", str(scenario), "--vary", "front.dampers.main.gas_force", "0 N", "200 N", "3", "--measure", "front_left_to_stop",
        "--workers", "1", "--outputs", str(tmp_path / "out"),
    ])  # fmt: skip
    said = [line for line in capsys.readouterr().out.splitlines() if line.startswith("in doubt")]
    assert len(said) == 2
    assert "as it is" in said[0]
    assert "at its best" in said[1]


def test_a_sheet_says_which_lengths_are_in_doubt(tmp_path, capsys):
    scenario = file(tmp_path, {"front.dampers.main.length_extended": "700 to 712 mm"}, {"two front": None})
    main(["sheet", str(scenario), "--outputs", str(tmp_path / "out")])
    said = " ".join(capsys.readouterr().out.split())
    # 704 mm with a taut strap and the housing wound up: half of the range is past it.
    assert "the room to the extended end is -4 to 8 mm" in said
    assert "so they may run into it" in said
    assert "room to extended" in said
    table = next(Path(tmp_path / "out").rglob("front_main.csv")).read_text(encoding="utf-8")
    assert "in doubt" in table


def test_bad_doubt_is_bad_input_with_its_line(tmp_path, capsys):
    scenario = file(tmp_path, {"body.mass": "1640 kg +- -20 kg", "front.tyre.rate": "310 to 220 N/mm"})
    assert main(["compare", str(scenario), "--outputs", str(tmp_path / "out")]) == 2
    said = capsys.readouterr().err
    assert "without a sign" in said
    assert "runs backwards" in said
    assert "given: 1640 kg +- -20 kg" in said
    assert said.count("truck.yaml:") == 2
    assert not (tmp_path / "out").exists()
