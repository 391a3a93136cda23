"""One rule for coils and leaf packs: a set-up of another rate keeps the length without load, and stands where that holds it."""

import re
from pathlib import Path

import pytest
import yaml

from sim.cli import main
from sim.describe.files.vehicles import vehicle_from
from sim.describe.shown import shown_in
from sim.linear.standing import stand
from sim.study.lengths_kept import lengths_kept
from sim.study.lift import lifted
from sim.study.parts_list import parts_list
from sim.study.spring_order import spring_orders

G, INCH, LBF = 9.80665, 0.0254, 4.4482216152605  # ISO 80000-3, NIST SP 811
LB_IN = LBF / INCH
TRUCK = {
    "weighed": {"front": "2980 lb", "rear": "2260 lb"}, "wheelbase": "102 in", "front": {"springs": {"coil": {"rate": "170 lb/in"}}},
    "rear": {"springs": {"pack": {"leaves": 5, "leaf_width": "2.5 in", "leaf_thickness": "1/4 in", "halves": {"ahead": "23 in", "behind": "25 in"}}}},
}  # fmt: skip


def up(vehicle, axle):
    return stand(vehicle).axles[axle].frame_up / INCH


def arch(vehicle):
    """Arch [in] of the pack that holds the truck as measured: what it carries, less what gas carries, over its rate."""
    axle = stand(vehicle).axles["rear"]
    gas = sum(d.count * d.push[0] for d in vehicle.rear.dampers.values())
    return (axle.sprung_mass * G - gas) / 2.0 / vehicle.rear.springs["pack"].rate_n_per_m / INCH


@pytest.mark.parametrize(
    ("changes", "stiffer"),
    [({"rate": "191.7 lb/in"}, 191.7 / 155.53), ({"leaves": 6}, 13 / 11), ({"leaves": 4}, 9 / 11)],
)
def test_a_stiffer_pack_of_the_same_arch_lifts(changes, stiffer):
    """By hand: an arch of f carries k f; a pack k' of that arch carries the same load at f (1 - k/k') more height. 1.02 in of 5.4 in."""
    truck = vehicle_from(TRUCK)
    changed = truck.changed({f"rear.springs.pack.{key}": value for key, value in changes.items()})
    rise = arch(truck) * (1.0 - 1.0 / stiffer)
    # Nose up by 1.2 in on 102 in, the body's 3880 lb go back by 0.4 in: 15 lb more on two packs of 127 lb/in are 0.06 in.
    assert up(changed, "rear") == pytest.approx(rise, abs=0.06)
    order = next(one for one in spring_orders(changed, {}) if one.name == "pack")
    assert order.free / INCH == pytest.approx(arch(truck), abs=0.03)
    # one that writes that arch is the same set-up
    same = changed.changed({"rear.springs.pack.free_camber": f"{order.free!r} m"})
    assert up(same, "rear") == pytest.approx(up(changed, "rear"), abs=1e-6)


def test_a_stiffer_coil_of_the_same_length_lifts():
    """By hand F (1/k - 1/k') of what one coil carries."""
    truck = vehicle_from(TRUCK)
    changed = truck.changed({"front.springs.coil.rate": "204 lb/in"})
    axle = stand(truck).axles["front"]
    gas = sum(d.count * d.push[0] for d in truck.front.dampers.values())
    load = (axle.sprung_mass * G - gas) / 2.0
    assert up(changed, "front") == pytest.approx(load * (1 / 170 - 1 / 204) / LB_IN / INCH, abs=0.04)


def test_a_block_under_a_stiffer_pack_lifts_on_top():
    truck = vehicle_from(TRUCK)
    both = truck.changed({"rear.springs.pack.leaves": 6, "rear.springs.pack.block": "2 in"})
    leaves = truck.changed({"rear.springs.pack.leaves": 6})
    assert up(both, "rear") - up(leaves, "rear") == pytest.approx(2.0, abs=0.05)
    order = next(one for one in spring_orders(both, {}) if one.name == "pack")
    # what is ordered is that arch, and no less of it for the block
    assert order.arch / INCH == pytest.approx(arch(truck), abs=0.06)


def test_what_was_ordered_for_a_height_stands_there():
    """A lift writes an arch: it holds that height, also of another rate's pack, to the millimetre that springs are ordered to."""
    truck = vehicle_from(TRUCK)
    assert up(truck.changed(lifted(truck, {"rear": 3.0 * INCH}).changes), "rear") == pytest.approx(3.0, abs=0.05)
    stiffer = truck.changed({"rear.springs.pack.rate": "191.7 lb/in"})
    assert up(stiffer.changed(lifted(stiffer, {"rear": 2.0 * INCH}).changes), "rear") == pytest.approx(2.0, abs=0.05)
    # the sheet of a rate alone orders for the height as measured: less arch, by the rates
    order = next(one for one in spring_orders(stiffer, {}) if one.name == "pack")
    assert order.keeps
    assert order.wanted == 0.0
    assert order.order / INCH == pytest.approx(arch(truck) * 155.53 / 191.7, abs=0.05)
    assert up(stiffer.changed({"rear.springs.pack.free_camber": f"{order.order!r} m"}), "rear") == pytest.approx(
        0.0, abs=0.03
    )


def test_it_is_said_with_what_keeps_the_height():
    truck = vehicle_from(TRUCK)
    setup = truck.changed({"rear.springs.pack.rate": "191.7 lb/in", "front.springs.coil.rate": "204 lb/in"})
    with shown_in("inch"):
        coils, packs = lengths_kept(setup)
    assert "front coils 'coil' are 20 % stiffer and keep the free length" in coils
    assert "rear leaf packs 'pack' are 23 % stiffer and keep the arch of those before" in packs
    rise, less = (
        float(value)
        for value in re.findall(r"([\d.]+) in (?:higher|, or)|, ([\d.]+) in, or", packs)
        for value in value
        if value
    )
    assert rise == pytest.approx(arch(truck) * (1 - 155.53 / 191.7), abs=0.02)
    assert less == pytest.approx(arch(truck) * 155.53 / 191.7, abs=0.03)
    kept = truck.changed({"rear.springs.pack.rate": "191.7 lb/in", "rear.springs.pack.free_camber": f"{less} in"})
    assert up(kept, "rear") == pytest.approx(0.0, abs=0.03)
    assert not list(lengths_kept(kept))
    assert not list(lengths_kept(truck))


def test_stand_and_sheet_say_it(tmp_path, capsys):
    (tmp_path / "leaves.yaml").write_text(
        f"kind: scenario\nname: Leaves\nvehicle: {Path.cwd()}/scenarios/vehicles/hut_supply_truck.yaml\n"
        "run: {kind: drop, height: 50 mm}\nsetups:\n  as it is:\n  stiffer:\n    rear.springs.pack.rate: 60 N/mm\n",
        encoding="utf-8",
    )
    main(["stand", str(tmp_path / "leaves.yaml"), "--no-doubt"])
    # 82.8 mm of arch less 42/60 of it
    assert re.search(
        r"NOTICE: set-up 'stiffer': rear leaf packs 'pack' are 43 % stiffer.*some 24\.8 mm .*higher",
        capsys.readouterr().err,
    )
    main(["sheet", str(tmp_path / "leaves.yaml"), "--setup", "stiffer", "--out", str(tmp_path)])
    said = capsys.readouterr().out
    assert "as long without load as the one before, as in this set-up, it stands 2" in said
    assert "arms or guide" not in said


def test_another_pack_is_no_other_guide():
    """The pack is what guides the axle: it is ordered as a pack, and nothing else with it but its U-bolts."""
    setup = vehicle_from(TRUCK).changed({"rear.springs.pack.leaves": 6})
    made = parts_list(setup, spring_orders(setup, {}), [], {})
    assert {part.kind for part in made.order if part.axle == "rear"} == {"leaf pack", "U-bolt"}


def test_a_comparison_says_which_set_up_stands_higher_for_it(tmp_path, capsys):
    """The height is a part of what is compared: 191.7 for 155.53 lb/in under the same load."""
    (tmp_path / "truck.yaml").write_text(yaml.safe_dump({"kind": "vehicle", **TRUCK}))
    file = tmp_path / "packs.yaml"
    file.write_text(
        yaml.safe_dump(
            {
                "kind": "scenario",
                "name": "Packs",
                "vehicle": "truck.yaml",
                "setups": {"as it is": {}, "stiffer": {"rear.springs.pack.rate": "191.7 lb/in"}},
                "run": {
                    "kind": "push",
                    "over": "rear",
                    "force": "200 lbf",
                    "press": "1 s",
                    "hold": "1 s",
                    "watch": "3 s",
                },
            },
            sort_keys=False,
        )
    )
    assert main(["compare", str(file), "--no-plots", "--no-doubt", "--outputs", str(tmp_path / "out"), "--units", "inch"]) == 0  # fmt: skip
    (said,) = (line for line in capsys.readouterr().err.splitlines() if "keep the arch" in line)
    assert said.startswith("NOTICE: set-up 'stiffer': rear leaf packs 'pack' are 23 % stiffer")
    rise = float(re.search(r"some ([\d.]+) in higher", said).group(1))
    assert rise == pytest.approx(arch(vehicle_from(TRUCK)) * (1 - 155.53 / 191.7), abs=0.02)
