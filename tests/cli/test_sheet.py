"""`jounce sheet`: pages, blanks, what does not fit, bad input."""

import csv
import html
import json
import re
import shlex
from pathlib import Path

import pytest

import sim
from sim.cli import main
from sim.cli.sheet import _at_heights
from sim.linear.standing import stand
from tests.describe.parts.dampers import MONOTUBE

pytestmark = pytest.mark.long  # whole commands and studies, over and over: seconds each

SCENARIOS = Path(__file__).parents[2] / "scenarios"


def table(path):
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_the_record_repeats_the_question(tmp_path):
    asked = ["--setup", "two front", "--height", "front=40 mm", "--damping-ratio", "0.35"]
    assert main(["sheet", str(SCENARIOS / "two_or_four.yaml"), *asked, "--outputs", str(tmp_path)]) in (0, 3)
    (record,) = tmp_path.glob("*/record.json")
    said = json.loads(record.read_text(encoding="utf-8"))["to make it again"]
    assert shlex.split(said) == ["jounce", "sheet", "two_or_four.yaml", *asked]


def test_pages_and_numbers(tmp_path, capsys):
    code = main(
        ["sheet", str(SCENARIOS / "two_or_four.yaml"), "--setup", "four valved for four", "--outputs", str(tmp_path)]
    )
    assert code == 0
    folder = tmp_path / "two_or_four_four_valved_for_four_sheet"
    names = {p.name for p in folder.iterdir()}
    sheets = {f"{axle}_main{kind}" for axle in ("front", "rear") for kind in (".pdf", ".png", ".csv", "_forces.csv")}
    pages = {f"{page}{kind}" for page in ("parts", "after_fitting") for kind in (".pdf", ".png", ".csv")}
    assert names == sheets | pages | {"record.json", "report.html", "margins.png", "margins.svg", "springs"}
    assert (folder / "front_main.pdf").read_bytes().startswith(b"%PDF")
    rows = {row["what"]: row for row in table(folder / "front_main.csv")}
    # 0.95 kN s/m to the knee at 0.12 m/s, 0.45 beyond; 2.6 and 0.95 in rebound: by hand.
    assert rows["compression at 0.10 m/s (3.9 in/s)"]["metric"] == "95 N +/- 10 %"
    assert rows["rebound at 0.52 m/s (20.5 in/s)"]["metric"] == "692 N +/- 10 %"
    assert rows["rebound at 0.52 m/s (20.5 in/s)"]["inch"] == "156 lbf +/- 10 %"
    assert rows["stroke"]["metric"] == "335.0 mm"
    for unknown in (
        "oil: grade",
        "oil: volume",
        "rod thread",
        "upper: bush, its angle",
        "gauge at ride length, 20 °C",
    ):
        assert rows[unknown]["metric"] == "__________"  # never invented
    assert rows["crank's rpm for those speeds"]["metric"] == "10, 19, 25, 50, 99, 191"
    assert rows["bore"]["metric"] == "32.0 mm"  # of the tube in the vehicle's file
    assert rows["rod points"]["metric"] == "up"
    assert "4 on the axle" in rows["place, how many on this axle"]["metric"]
    assert "front_main.pdf" in capsys.readouterr().out


def test_valve_parts_fill_what_they_say(tmp_path):
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    start, end = text.index("      valving:\n        kind: knee"), text.index("      body: {behind_front_axle: 130 mm")
    text = text[:start] + f"      valving: {json.dumps(MONOTUBE)}\n" + text[end:]
    text = text.replace("      gas_force: 120 N\n", "")
    (tmp_path / "valves.yaml").write_text(text, encoding="utf-8")
    assert main(["sheet", str(tmp_path / "valves.yaml"), "--outputs", str(tmp_path / "out")]) == 0
    rows = {row["what"]: row for row in table(next((tmp_path / "out").glob("*/front_main.csv")))}
    assert rows["bore"]["metric"] == "40.0 mm"
    assert rows["rod diameter"]["inch"] == "0.55 in"
    assert rows["construction"]["metric"] == "monotube"
    assert (rows["gauge at ride length, 20 °C"]["metric"], rows["push of one at ride length"]["metric"]) == (
        "16.00 bar",
        "246 N",
    )
    said = rows["knees, or what it is written as"]["metric"]
    assert [said.startswith("bleed, then valves; open at "), *re.findall(r"[\d.]+ m/s", said)] == [
        True, "0.03 m/s", "0.07 m/s", "0.52 m/s",
    ]  # fmt: skip


def test_every_load_stands_on_the_sheet(tmp_path, capsys):
    assert main(["sheet", str(SCENARIOS / "will_it_bottom.yaml"), "--outputs", str(tmp_path)]) == 0
    rows = {row["what"]: row for row in table(next(tmp_path.glob("*/rear_main.csv")))}
    empty, full = (float(rows[f"in place: ride{name}"]["metric"].split()[0]) for name in ("", ", 'full load'"))
    assert full < empty - 30.0
    said = capsys.readouterr().out
    assert "stroke left in, out" in said
    assert sum("full load" in line for line in said.splitlines()) >= 2


def test_a_vehicle_alone(tmp_path):
    assert main(["sheet", str(SCENARIOS / "vehicles" / "hut_supply_truck.yaml"), "--outputs", str(tmp_path)]) == 0


def test_what_does_not_fit_is_flagged_and_stands_on_the_sheet(tmp_path, capsys):
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    (tmp_path / "short.yaml").write_text(
        text.replace("length_extended: 720 mm", "length_extended: 650 mm"), encoding="utf-8"
    )
    assert main(["sheet", str(tmp_path / "short.yaml"), "--outputs", str(tmp_path / "out")]) == 3
    assert "becomes the limit strap" in capsys.readouterr().out
    page = next((tmp_path / "out").glob("*/front_main.csv"))
    assert any("becomes the limit strap" in row["what"] for row in table(page))


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (["two_or_four.yaml", "--setup", "two frnt"], "two front"),
        (["two_or_four.yaml", "--setup", "bare springs"], "has no dampers"),
        (["courses/hut_track.yaml"], "a course has no dampers"),
    ],
)
def test_bad_input(given, said, tmp_path, capsys):
    assert main(["sheet", str(SCENARIOS / given[0]), *given[1:], "--outputs", str(tmp_path / "out")]) == 2
    assert said in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_each_fault_belongs_to_the_set_up_of_its_sheet(tmp_path, capsys):
    """Longer straps and short dampers are the second set-up's: the first one's sheet says nothing of them, the second one's does."""
    assert main(["sheet", str(SCENARIOS / "right_length.yaml"), "--outputs", str(tmp_path)]) == 0
    first = table(next(tmp_path.glob("*as_it_was*/front_main.csv")))
    assert not any("becomes the" in row["what"] for row in first)
    # The picture has all set-ups: "every damper" is said of this one alone, as the second one's meets its strap.
    lines = re.findall(r"font-size: 14px[^>]*>([^<]*)<", next(tmp_path.glob("*as_it_was*/margins.svg")).read_text())
    title = html.unescape(" ".join(lines)).replace("\u00a0", " ")
    assert title.startswith("With “as it was” every damper stays within its ends")
    assert "with “lifted, longer straps” becomes the limit strap: 12.3 mm" in title
    given = ["sheet", str(SCENARIOS / "right_length.yaml"), "--setup", "lifted, longer straps"]
    assert main([*given, "--outputs", str(tmp_path)]) == 3
    second = table(next(tmp_path.glob("*straps*/front_main.csv")))
    assert sum("becomes the limit strap" in row["what"] for row in second) == 1
    assert {row["what"]: row["metric"] for row in second}["fits in bump, droop and wind-up"] == "does not fit"
    proposed = {row["what"]: row for row in table(next(tmp_path.glob("*straps*/front_main_proposed.csv")))}
    # Half an inch past the place where the strap is taut, by the sheet itself.
    taut = {row["what"]: row["metric"] for row in second}["in place: limit strap taut, 5 deg of wind-up"]
    extended = proposed["extended, at least"]["metric"]
    assert float(extended.split()[0]) == pytest.approx(float(taut.split()[0]) + 12.7, abs=0.11)
    assert "12.3 mm" in capsys.readouterr().out


def test_a_progressive_damper_is_ordered_as_one(tmp_path):
    text = (SCENARIOS / "vehicles" / "hut_supply_truck.yaml").read_text(encoding="utf-8")
    text = text.replace(
        "compression: {low: 1.9 kN s/m, knee: 0.12 m/s, high: 0.9 kN s/m}",
        "compression: {low: 0.6 kN s/m, knee: 0.12 m/s, high: 1.9 kN s/m}",
    )
    (tmp_path / "truck.yaml").write_text(text, encoding="utf-8")
    assert main(["sheet", str(tmp_path / "truck.yaml"), "--outputs", str(tmp_path / "out")]) in (0, 3)
    rows = {row["what"]: row for row in table(next((tmp_path / "out").glob("*/front_main.csv")))}
    assert rows["shape, by force over speed"]["metric"] == "compression progressive; rebound digressive"


def test_a_spring_is_ordered_for_a_height(tmp_path, capsys):
    given = ["sheet", str(SCENARIOS / "two_or_four.yaml"), "--outputs", str(tmp_path)]
    assert main([*given, "--height", "front=40mm"]) == 0
    rows = {row["what"]: row for row in table(next(tmp_path.glob("*/springs/front_coil.csv")))}
    assert rows["wanted height above the measured one"]["metric"] == "40.0 mm"
    assert abs(float(rows["height that it gives above the measured one"]["metric"].split()[0]) - 40.0) < 0.7
    assert any("spring compressor" in what for what in rows)
    assert "free length" in capsys.readouterr().out
    assert main([*given, "--height", "front=400mm"]) == 2
    assert "past the end of droop" in capsys.readouterr().err


def test_a_height_below_the_measured_one_is_called_so():
    said = _at_heights({"front": -0.0254, "rear": 0.020})
    assert "here: 25.4 mm (1.00 in) below the measured height at the front and 20.0 mm (0.79 in) above" in said


def test_dampers_are_judged_at_the_height_that_springs_are_ordered_for(tmp_path, capsys):
    """By hand a lift draws a damper out by the lift times its motion ratio; the page after fitting, worked out apart, reads the same."""
    file = SCENARIOS / "two_or_four.yaml"
    rides, told = {}, {}
    for height in (0, 40):
        into = tmp_path / str(height)
        asked = ["--height", f"front={height} mm"] if height else []
        main(["sheet", str(file), "--setup", "two front", *asked, "--outputs", str(into)])
        told[height] = " ".join(capsys.readouterr().out.split())
        rows = {row["what"]: row["metric"] for row in table(next(into.glob("*/front_main.csv")))}
        rides[height] = float(rows["in place: ride"].split()[0])
        after = table(next(into.glob("*/after_fitting.csv")))
        read = [
            row["should read, metric"]
            for row in after
            if row["axle"] == "front" and row["what"] == "damper 'main', eye to eye"
        ]
        assert rides[height] == pytest.approx(float(read[0].split()[0]), abs=0.1)
    ratio = stand(sim.load(file).setups["two front"]).axles["front"].dampers[0].motion_ratio
    assert rides[40] - rides[0] == pytest.approx(40.0 * ratio, abs=1.5)
    words = (
        "Dampers, stops and straps are judged with the springs that are ordered here: 40.0 mm (1.57 in) above the "
        "measured height at the front."
    )
    assert words in told[40]
    assert "are judged with the springs" not in told[0]


SHOP = [
    "--front",
    "3120 lb",
    "--rear",
    "2560 lb",
    "--wheelbase",
    "109 in",
    "--extended",
    "25.6 in",
    "--collapsed",
    "15.4 in",
]


@pytest.mark.hours
def test_a_spring_that_rests_on_estimates_is_no_order(tmp_path, capsys):
    """A coil of which only the rate is known, and a pack of which nothing is; then with a free length and a rate from the bench."""
    file, given = tmp_path / "my.yaml", ["--coil", "front:260 lb/in", "--leaf", "rear:"]
    words = {"front": "measure its length at ride, end to end, or its free length", "rear": "measure the rate of one"}
    assert main(["new", str(file), *SHOP, *given]) == 0
    main(["sheet", str(file), "--outputs", str(tmp_path / "out")])
    said = capsys.readouterr().out
    for axle, word in words.items():
        assert re.search(rf"^{axle} spring '\w+': do not order it yet: {word}", said, re.MULTILINE), axle
    assert "Not to be ordered yet: measure the rate" in next(
        (tmp_path / "out").glob("*/springs/rear_pack.csv")
    ).read_text(encoding="utf-8")
    known = ["--set", "front.springs.coil.free_length=16.5 in", "--leaf", "rear:221 lb/in"]
    assert main(["new", str(file), *known]) == 0
    main(["sheet", str(file), "--outputs", str(tmp_path / "out")])
    said = capsys.readouterr().out
    assert "do not order it yet" not in said
    assert re.search(r"^front spring 'coil': to stand at the measured height order ", said, re.MULTILINE)
    assert re.search(r"^front spring 'coil': .* above the measured height over the axle", said, re.MULTILINE)


@pytest.mark.parametrize("wrong", ["front", "side=3mm", "front=3 kg", "front=9m"])
def test_a_height_that_is_none(wrong, tmp_path, capsys):
    assert main(["sheet", str(SCENARIOS / "two_or_four.yaml"), "--height", wrong, "--outputs", str(tmp_path)]) == 2
    assert "front=40mm" in capsys.readouterr().err


def lined_up(page):
    """Return the boxes of a page's texts, and its lines across, in points from its foot."""
    renderer = page.canvas.get_renderer()
    scale = 72.0 / page.dpi
    boxes = [(text, *(scale * value for value in text.get_window_extent(renderer).extents)) for text in page.texts]
    rules = [
        (*(72.0 * page.get_figwidth() * x for x in line.get_xdata()), 72.0 * page.get_figheight() * line.get_ydata()[0])
        for line in page.get_children()
        if hasattr(line, "get_xdata")
    ]
    return boxes, rules


@pytest.mark.parametrize("count", [0, 8, 30, 120])
def test_however_much_is_to_be_said_no_line_touches_another_and_nothing_falls_off_the_paper(count):
    """As large as the sheet's own lines; what one page cannot hold goes on a second, a third, and each says of how many it is."""
    from sim.show.plots.order_sheet import TEXT, pages
    from sim.show.report.sheet import CAUTIONS, Row

    made = [
        Row(f"{n} Section", f"label {k}", "__________" if k % 2 else "12.0 mm")
        for n in range(1, 11)
        for k in range(7 if n < 4 else 8)
    ]
    sheet = pages("Damper order", "a truck", made, [f"warning {n} " + "word " * 22 for n in range(count)])
    assert (len(sheet) > 1) == (count > 0)
    found = []
    for number, page in enumerate(sheet, 1):
        boxes, rules = lined_up(page)
        found += [text.get_text() for text in page.texts]
        if len(sheet) > 1:
            assert f"Damper order (page {number} of {len(sheet)})" in found
        for text, left, low, right, high in boxes:
            assert (left > 0.0) & (right < 8.27 * 72.0) & (low > 0.25 * 72.0) & (high < 11.69 * 72.0), text
            assert text.get_fontsize() >= TEXT >= 8.0
            assert "_" not in text.get_text()
            for other, start, floor, end, top in boxes:
                apart = right <= start or end <= left or high <= floor + 0.1 or top <= low + 0.1
                assert other is text or apart, (text, other)
            # A line to write on, or over a heading, crosses no word.
            assert not [
                rule for rule in rules if rule[0] < right and left < rule[1] and low + 1.0 < rule[2] < high - 1.0
            ]
    whole = " ".join(found)
    for n in range(count):
        assert f"warning {n} word" in whole
    assert whole.count("word") == 22 * count
    assert whole.count("label") == len(made)
    for caution in CAUTIONS:
        assert caution in whole.replace("\u00a0", " ")
    # Every blank has its line, besides those over the headings.
    lines = sum(len(lined_up(page)[1]) for page in sheet)
    assert lines == 11 + sum(row.metric.startswith("_") for row in made)


def lettered(made):
    """Return all texts of a picture, or of the pages of a sheet."""
    return [text for page in (made if isinstance(made, list) else [made]) for text in page.texts]


def test_of_a_truck_mostly_estimated_no_figure_is_cut_and_the_title_promises_nothing(tmp_path, monkeypatch):
    """Every band of doubt and every length left is whole in the pictures; that all fits is said as far as estimates say."""
    from sim.show.plots import order_sheet, save

    given = [
        "--front", "2980 lb", "--rear", "2240 lb", "--wheelbase", "110 in", "--tyre", "35x12.5R15", "--coil", "front: 240 lb/in",
        "--extended", "26 in", "--collapsed", "15.5 in",
    ]  # fmt: skip
    assert main(["new", str(tmp_path / "my.yaml"), *given]) == 0
    pages = {}
    for module in (order_sheet, save):
        monkeypatch.setattr(module, "saved", lambda page, stem: pages.update({stem.name: page}) or [])
    main(["sheet", str(tmp_path / "my.yaml"), "--outputs", str(tmp_path / "out")])
    texts = {name: [text.get_text().replace("\u00a0", " ") for text in lettered(made)] for name, made in pages.items()}
    assert {"front_main", "rear_main", "margins"} <= set(texts)
    assert not [text for each in texts.values() for text in each if "…" in text]
    for name in ("front_main", "rear_main"):
        assert "rebound at 0.52 m/s" in " ".join(texts[name]), name
        assert min(text.get_position()[1] for text in lettered(pages[name])) > 0.02
    lengths = " ".join(texts["margins"])
    assert "As far as estimated lengths say" in lengths
    assert "* Without a limit strap" in lengths
    assert "in)*, ride" in lengths


@pytest.mark.hours
def test_a_damper_that_does_not_exist_is_not_proposed_and_the_picture_speaks_of_what_is_ordered(
    tmp_path, monkeypatch, capsys
):
    """Lifted by 50 mm the rear dampers are too short, with cargo and without: 280 mm of stroke within 371 mm leave 91 mm for eyes and guide,
    and 100 mm are needed (docs/dampers.md)."""
    from sim.show.plots import order_sheet, save

    truck = [
        "--front", "1180 kg", "--rear", "960 kg", "--wheelbase", "2580 mm", "--tyre", "235/85R16", "--coil", "front: 36 N/mm",
        "--leaf", "rear: 6, 63 mm, 7 mm, 1300 mm, held 100 mm", "--extended", "rear: 600 mm", "--collapsed", "rear: 370 mm",
        "--lift", "50 mm", "--cargo", "300 kg",
    ]  # fmt: skip
    assert main(["new", str(tmp_path / "my.yaml"), *truck]) == 0
    pages = {}
    for module in (order_sheet, save):
        monkeypatch.setattr(module, "saved", lambda page, stem: pages.update({stem.name: page}) or [])
    given = [str(tmp_path / "my_planned.yaml"), "--setup", "all of it", "--outputs", str(tmp_path / "out")]
    assert main(["sheet", *given]) == 3
    out = capsys.readouterr().out
    assert "Proposed (it does not fit)" not in out
    assert "No other can be ordered as it is mounted now. No damper is 371 mm" in out
    # With the lift alone it is as far out, which is said, and not its figures once more.
    assert "With “lifted 50 mm in front and 50 mm behind” the rear dampers do not fit either." in " ".join(out.split())
    assert "  the same with 'lifted 50 mm in front and 50 mm behind'\n" in out
    titles = {name: lettered(made)[0].get_text() for name, made in pages.items()}
    assert titles["rear_main_proposed"].startswith("No such damper can be ordered: rear axle")
    whole = " ".join(text.get_text() for text in pages["margins"].texts).replace("\n", " ").replace("\u00a0", " ")
    # Lifted alone it is as far out: the title is of the set-up that is ordered for.
    assert "the rear damper with “all of it” becomes the limit strap" in whole
