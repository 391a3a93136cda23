"""Springs to wind, against handbook examples and the parts of the model that are checked elsewhere."""

import re

import pytest

from sim.cli import main
from sim.describe.files.vehicles import vehicle_from
from sim.describe.parts.springs import Coil, LeafPack
from sim.errors import RunError
from sim.linear.standing import stand
from sim.study.spring_design import added_leaf, coil, helper, pack
from sim.study.spring_order import spring_orders

LBF, INCH = 4.4482216152605, 0.0254  # NIST SP 811, appendix B.8


def test_a_coil_of_shigleys_example():
    """Ch. 10, example 10-1: .037 in wire, mean .400 in, 10.5 turns that work, 4.131 lbf/in (M, recomputed with G = 11.85 Mpsi; here 11.5)."""
    rate = 4.1311 * LBF / INCH
    made = coil(1.0, 0.03, rate, 0.400 * INCH, 0.001, 0.037 * INCH)
    # turns go as the modulus does
    assert made.active == pytest.approx(10.5 * (79.3e9 / 6.894757e9) / 11.85, rel=2e-3)


def test_stress_and_rate_of_a_coil():
    """12 mm wire, 100 mm, 6 turns: 34257.6 N/m; 519.94 MPa under 3 kN with Wahl's factor (recomputed from the formulas of Shigley, ch. 10)."""
    made = coil(3000.0, 0.30, 34257.6, 0.100, 0.05, 0.012)
    assert made.active == pytest.approx(6.0, rel=1e-5)
    assert made.stress_ride == pytest.approx(519.94e6, rel=1e-4)
    assert made.free == pytest.approx(0.30 + 3000 / 34257.6)
    assert made.solid == pytest.approx(8.0 * 0.012, rel=1e-5)
    assert made.stress_bump / made.stress_ride == pytest.approx((3000 + 34257.6 * 0.05) / 3000)


def test_the_coil_that_is_found_is_one_of_the_model():
    """190 lb/in for 1000 lbf at 12 in: read as a part it has the rate, and it neither binds nor is overloaded."""
    made = coil(1000 * LBF, 12 * INCH, 190 * LBF / INCH, 5.2 * INCH, 4 * INCH)
    assert made.problems == ()
    place = {"body": {"behind_front_axle": "0 m", "above_ground": "1 m"}, "axle": {"ahead": "0 m", "above": "0 m"}}
    part = Coil.model_validate(
        {
            "kind": "coil", "wire_diameter": f"{made.wire!r} m", "coil_diameter": f"{made.across!r} m", "active_coils": made.active, **place,
        }
    )  # fmt: skip
    assert part.rate_n_per_m == pytest.approx(190 * LBF / INCH)
    assert made.bump - made.solid >= 0.15 * (made.free - made.bump)
    assert made.stress_bump <= made.bears


def test_a_coil_that_cannot_be_is_said():
    with pytest.raises(RunError, match="A wider coil"):
        coil(20e3, 0.15, 60e3, 0.080, 0.10)
    assert any("solid" in one for one in coil(5e3, 0.15, 33e3, 0.13, 0.12, 0.018).problems)


def test_packs_of_the_textbooks():
    """Khurmi's exercise: 7 leaves, 2 full, 65 x 9 mm, 1046.67 mm: 185.1 N/mm at E 210 GPa, 32.41 mm under 6 kN (inputs seen, recomputed);
    leaves nipped alike 6 W l / (n b t²), W 3 kN and l 523.33 mm (Khurmi): 255.6 MPa."""
    made = pack(6000.0, 7, 2, 0.065, 1.1 - 0.16 / 3, 0.08, thickness=0.009)
    assert made.rate * 210 / 207 == pytest.approx(185.1e3, rel=1e-3)
    assert made.camber * 207 / 210 == pytest.approx(32.41e-3, rel=1e-3)
    assert made.stress_ride == pytest.approx(255.6e6, rel=1e-3)
    thinner = pack(6000.0, 7, 2, 0.065, 1.1 - 0.16 / 3, 0.08, rate=182e3)
    assert thinner.thickness == pytest.approx(0.009)


def test_one_leaf_more_is_the_pack_of_the_model_with_one_leaf_more():
    def part(leaves):
        return LeafPack.model_validate(
            {"kind": "leaf_pack", "leaves": leaves, "leaf_width": "60 mm", "leaf_thickness": "7 mm", "length": "1.1 m"}
        ).rate_n_per_m  # fmt: skip

    rate, up = added_leaf(part(5), 0.060, 0.007, 1.1, 0.05)
    assert rate == pytest.approx(part(6))
    # it pushes with its rate times what it is bent by, and both springs share the rise
    own = part(6) - part(5)
    assert up * part(6) == pytest.approx(own * 0.05)


@pytest.mark.parametrize("loaded", [True, False])
def test_an_added_leaf_written_into_a_file_as_it_is_told_gives_the_rise(loaded, capsys):
    """By hand: E b t³/(3 l³) of the leaf is 36.7 lb/in, 2 in of it lift a pack of 155 by 0.38 in; 840 lb on 191.7 are 4.38 in, 4.76 with that."""
    truck = vehicle_from({
        "weighed": {"front": "2980 lb", "rear": "2260 lb"}, "wheelbase": "102 in", "front": {"springs": {"coil": {"rate": "170 lb/in"}}},
        "rear": {"springs": {"pack": {"rate": "155 lb/in"}}},
    })  # fmt: skip
    order = next(one for one in spring_orders(truck, {}) if one.name == "pack")
    words = [
        "add-a-leaf",
        "--rate",
        "155 lb/in",
        "--width",
        "2.5 in",
        "--thickness",
        "0.25 in",
        "--length",
        "44 in",
        "--extra",
        "2 in",
    ]
    words += ["--load", f"{order.places['ride'].force!r} N"] if loaded else []
    assert main(["spring", *words, "--units", "inch"]) == 0
    said = capsys.readouterr().out
    rise = float(re.search(r"comes up by +([\d.]+) in", said)[1])
    assert rise == pytest.approx(2.0 * 36.66 / 191.66, abs=0.005)
    rate, arch = re.search(r"rate: ([\d.]+ lb/in), free_camber: ([\d.]+)", said).groups()
    camber = float(arch) if loaded else float(arch) * order.free / INCH + rise
    assert camber == pytest.approx(order.places["ride"].force / LBF / 191.66 + rise, abs=0.01)
    leaf = truck.changed({"rear.springs.pack.rate": rate, "rear.springs.pack.free_camber": f"{camber} in"})
    assert stand(leaf).axles["rear"].frame_up / INCH == pytest.approx(rise, abs=0.02)


def test_a_helper_meets_its_stop_without_a_jump():
    assert helper(30e3, 60e3, 0.10, 2999.0)[0] == pytest.approx(2999 / 30e3)
    assert helper(30e3, 60e3, 0.10, 3001.0)[0] == pytest.approx(0.10 + 1 / 90e3)
    assert helper(30e3, 60e3, 0.10, 12e3) == (pytest.approx(0.2), 90e3)


GOOD = [
    ["coil", "--load", "1000 lb", "--length", "12 in", "--rate", "190 lb/in", "--across", "5.2 in", "--travel", "4 in"],
    ["pack", "--load", "600 kg", "--leaves", "7", "--full", "2", "--width", "60 mm", "--length", "1.35 m", "--rate", "42 N/mm", "--travel", "60 mm"],
    ["add-a-leaf", "--rate", "230 lb/in", "--width", "2.5 in", "--thickness", "0.28 in", "--length", "44 in", "--extra", "2 in"],
    ["helper", "--rate", "150 lb/in", "--helper", "300 lb/in", "--gap", "6 in", "--load", "1400 lb"],
]  # fmt: skip


@pytest.mark.parametrize("words", GOOD, ids=lambda words: words[0])
def test_commands_and_their_nonsense(words, capsys):
    assert main(["spring", *words]) == 0
    said = capsys.readouterr()
    assert "CAUTION" in said.err
    assert "in)" in said.out
    for number in range(2, len(words), 2):
        for rubbish in ("", "3", "-3 in", "0 lb/in", "nan", "1e99 m", "1e-9 in", "9e6 lb/in", "1000000 lb"):
            given = list(words)
            given[number] = rubbish
            joined = [f"{option}={value}" for option, value in zip(given[1::2], given[2::2], strict=True)]
            assert main(["spring", given[0], *joined]) in (0, 2, 3)
            assert "bug" not in capsys.readouterr().err


def test_a_pack_s_stress_stands_beside_what_leaves_bear(capsys):
    """By hand: 6 x 490 lbf x 28 in / (6 x 2.5 in x 0.31² in²) is 57 kpsi, and 1000 MPa are 145 kpsi (6.894757 MPa, NIST SP 811)."""
    words = [
        "--load",
        "980lb",
        "--leaves",
        "6",
        "--width",
        "2.5in",
        "--thickness",
        "0.31in",
        "--length",
        "56in",
        "--travel",
        "4in",
    ]
    assert main(["spring", "pack", *words, "--units", "inch"]) == 0
    ride, bears = 6 * 490 * 28 / (6 * 2.5 * 0.31**2) / 1e3, 1000 / 6.894757
    assert re.search(
        rf"full bump +{ride:.0f} kpsi, \d+ kpsi; leaves bear some {bears:.0f} kpsi", capsys.readouterr().out
    )


METRIC = re.compile(r"\d (mm|m|N|kg|N/mm|MPa)\b")


@pytest.mark.parametrize(
    "words", [*GOOD, [*GOOD[0], "--wire", "0.9 in"], [*GOOD[0][:-1], "11 in"]], ids=lambda words: words[0]
)
def test_inch_units_are_kept(words, capsys):
    assert main(["spring", *words, "--units", "inch"]) in (0, 2, 3)
    said = capsys.readouterr()
    assert re.search(r"\d (in|lb/in|lbf)\b", said.out + said.err)
    assert not METRIC.search(said.out + said.err)


@pytest.mark.parametrize(
    "words",
    [[*GOOD[0], "--wire", "4 in"], [*GOOD[1], "--thickness", "7 mm"], [*GOOD[1][:4], "1", *GOOD[1][5:]], GOOD[1][:-4] + GOOD[1][-2:]],
)  # fmt: skip
def test_what_does_not_go_together_is_refused(words, capsys):
    assert main(["spring", *words]) == 2
    assert "bug" not in capsys.readouterr().err


@pytest.mark.parametrize(
    "given",
    [
        ["pack", "--load", "590 lb", "--leaves", "7", "--width", "0.25 in", "--length", "41.5 in", "--thickness", "2.5 in", "--travel", "4.3 in"],
        ["add-a-leaf", "--rate", "230 lb/in", "--width", "0.28 in", "--thickness", "2.5 in", "--length", "44 in", "--extra", "2 in"],
    ],
    ids=lambda given: given[0],
)  # fmt: skip
def test_width_and_thickness_that_are_crossed_make_no_spring(given, capsys):
    assert main(["spring", *given]) == 2
    out, err = capsys.readouterr()
    assert "lb/in" not in out
    assert f"jounce spring {given[0]}: a leaf is wider than thick: are width and thickness crossed?" in err


def test_a_rate_of_the_next_half_millimetre_says_so_and_an_exact_one_does_not(capsys):
    """By hand: 220 lb/in asks for 5.43 mm (to the cube), the next are 5.5 mm, and give (5.5/5.43)^3 of it."""
    given = [
        "spring",
        "pack",
        "--load",
        "590 lb",
        "--leaves",
        "7",
        "--full",
        "2",
        "--width",
        "2.5 in",
        "--length",
        "41.5 in",
        "--travel",
        "4.3 in",
    ]
    assert main([*given, "--rate", "220 lb/in", "--units", "inch"]) == 0
    line = next(line for line in capsys.readouterr().out.splitlines() if line.startswith("rate"))
    assert line.endswith(", of the next half millimetre of thickness; wanted 220.0 lb/in")
    exact = float(line.split()[1])
    # Within half a per cent it is the wanted one.
    assert main([*given, "--rate", f"{0.999 * exact} lb/in", "--units", "inch"]) == 0
    assert "wanted" not in capsys.readouterr().out
