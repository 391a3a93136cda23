"""Whether a damper fits, and what cures it: the same answer of `check`, `stand`, `loads` and `sheet`."""

import json
import re

import pytest

from sim.cli import main

TRUCK = [
    "--front", "1510 kg", "--rear", "1240 kg", "--wheelbase", "2650 mm", "--tyre", "255/85R16", "--coil", "front: 42.24 N/mm",
    "--leaf", "rear: 6, 63.5 mm, 7.5 mm, 1270 mm, held 120 mm", "--collapsed", "front: 360 mm", "--collapsed", "rear: 375 mm",
    "--extended", "front: 590 mm", "--extended", "rear: 620 mm",
]  # fmt: skip


@pytest.fixture
def truck(tmp_path, capsys):
    """Return a truck without a strap in front whose stops' squeeze and mounts nobody measured: the rear may be solid by what they say."""
    path = tmp_path / "farm.yaml"
    assert main(["new", str(path), *TRUCK]) == 0
    given = path.read_text(encoding="utf-8")
    said = {"stop": (("front", "75 mm"), ("rear", "85 mm")), "ride": (("front", "475 mm"), ("rear", "500 mm"))}
    front, rear = given.split("\nrear:")
    parts = []
    for text, (axle, gap), (_, ride) in zip((front, rear), said["stop"], said["ride"], strict=True):
        taped = text.replace("      length_extended:", f"      length_at_ride: {ride}\n      length_extended:", 1)
        strap = "  strap:\n    length: none\n" if axle == "front" else ""
        parts.append(f"{taped.rstrip()}\n  stop:\n    gap: {gap}\n{strap}")
    path.write_text("\nrear:".join(parts), encoding="utf-8")
    capsys.readouterr()
    return path


def answered(capsys, *given):
    main([*given, "--json"])
    return json.loads(capsys.readouterr().out)


def test_an_end_that_estimates_leave_open_is_may_everywhere(truck, tmp_path, capsys):
    notices = {command: answered(capsys, command, str(truck))["notices"] for command in ("check", "stand", "loads")}
    said = {
        command: [text for text in texts if "may be short, with the housing" in text]
        for command, texts in notices.items()
    }
    assert len(said["check"]) == 1
    assert said["check"] == said["stand"] == said["loads"]
    assert "rear damper 'main'" in said["check"][0]
    assert "the height of the bump stop" in said["check"][0]
    sheet = answered(capsys, "sheet", str(truck), "--outputs", str(tmp_path / "out"))
    fits = {row["damper"]: row["fits"] for row in sheet["rows"]["dampers"]}
    assert fits["rear.main"].startswith("may not fit, as far as it is estimated: measure the height of the bump stop")
    sentences = " ".join(flag["sentence"] for flag in sheet["flags"])
    assert "may be solid before its bump stop is fully squeezed" in sentences
    loads = answered(capsys, "loads", str(truck))
    (row,) = [row for row in loads["rows"]["loads"] if (row["loads"], row["axle"]) == ("as it is", "rear")]
    assert "damper 'main' may be solid before the squeezed bump stop" in row["verdict"]


def test_a_damper_that_estimates_leave_solid_as_the_truck_stands_is_may_in_few_words_too(truck, capsys):
    """The stop's height is estimated at 40 mm, 12 mm more or less: some mm that a damper lacks by it are open, some centimetres are not."""
    text = truck.read_text(encoding="utf-8")
    before, rear = text.split("\nrear:")
    (row,) = (float(one) for one in re.findall(r"gap: ([\d.]+) mm", rear))
    words = []
    for more in (8, 16, 48):
        truck.write_text(
            f"{before}\nrear:{rear.replace(f'gap: {row:g} mm', f'gap: {row + more:g} mm')}", encoding="utf-8"
        )
        flags = [
            one["sentence"]
            for one in answered(capsys, "stand", str(truck))["flags"]
            if "rear damper 'main'" in one["sentence"] and "solid" in one["sentence"]
        ]
        rows = answered(capsys, "loads", str(truck))["rows"]["loads"]
        (own,) = [one["verdict"] for one in rows if (one["loads"], one["axle"]) == ("as it is", "rear")]
        for flag in flags:
            words.append("may" if "may be solid before its bump stop" in flag else "is")
            assert (
                f"rear damper 'main' {words[-1]}{' be' if words[-1] == 'may' else ''} solid before its bump stop is squeezed"
                in own
            )
    # The farther, the surer; both come.
    assert words == sorted(words, reverse=True)
    assert set(words) == {"may", "is"}


def test_a_missing_strap_has_one_cure_everywhere(truck, tmp_path, capsys):
    """What `stand` and `check` flag is what the sheet orders: the same place at which the strap is taut."""
    cures = set()
    for command in ("check", "stand"):
        (flag,) = answered(capsys, command, str(truck))["flags"]
        cures.add(flag["sentence"].split("Fit a limit strap that is ")[1])
    sheet = answered(capsys, "sheet", str(truck), "--outputs", str(tmp_path / "out"))
    (note,) = [
        text
        for row in sheet["rows"]["dampers"]
        if row["damper"] == "front.main"
        for text in row["notes"]
        if "Fit a limit" in text
    ]
    cures.add(note.split("Fit a limit strap that is ")[1])
    assert len(cures) == 1
    (cure,) = cures
    (fits,) = [row["fits"] for row in sheet["rows"]["dampers"] if row["damper"] == "front.main"]
    taut = cure.split(" of droop")[0]
    assert taut in fits
    # The stop's height decides nothing in droop.
    (wrong,) = [flag["sentence"] for flag in sheet["flags"] if "limit strap that is not there" in flag["sentence"]]
    assert "bump stop" not in wrong
    assert taut in next(row["what"] for row in [{"what": wrong}])
    parts = json.dumps(sheet["rows"]["parts"])
    assert "limit straps" in parts
    assert taut in parts
