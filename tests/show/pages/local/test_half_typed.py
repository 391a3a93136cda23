"""The step for engine, gears and shafts: half of it filled in holds nothing up, a wrong number is said at its box, and the file is the one that pulls away."""

import pytest
import yaml

import sim
from sim.describe.files.reader import read
from sim.describe.files.runs import run_at
from sim.describe.parts.driveline import Driveline, Engine, Shafts
from sim.describe.parts.slip import Slip
from sim.errors import InputError, NeededError
from sim.integrate.preview import preview
from sim.show.pages.local.answers import answer, as_edited, see_launch, vehicle_of
from sim.show.pages.local.at_boxes import at_boxes
from sim.show.pages.local.changeable import ENGINE as ENGINE_AND_GEARS
from sim.show.pages.local.changeable import changeable
from sim.show.pages.local.courses import Courses
from sim.show.pages.local.fields import form
from sim.show.pages.local.half_typed import NEEDED, begun, boxes_of, said_of, standing_vehicle
from sim.show.pages.local.paper import Paper, typed_edits
from sim.show.pages.local.torque_points import points_of, points_text
from sim.show.pages.local.trials import Trials
from sim.show.pages.rows import POWER, SECTIONS
from tests.show.pages.local.test_server import folder, truck  # noqa: F401
from tests.show.pages.local.test_trials import asked, unpacked

SHOP = {"weighed.front": "2450 lb", "weighed.rear": "1780 lb", "wheelbase": "92 in", "front.springs": "coils"}
POWERED = {
    "driveline.engine.torque": "245 N m at 900 rpm, 310 N m at 1600 rpm", "driveline.engine.limit": "3900 rpm",
    "driveline.engine.inertia": "0.28 kg m^2", "driveline.gear": "3.6", "driveline.transfer": "2.4",
    "rear.shafts.final_drive": "4.3", "rear.shafts.rate": "11 kN m/rad",
    "front.tyre.spin_inertia": "2.1 kg m^2", "rear.tyre.spin_inertia": "2.1 kg m^2",
    "front.tyre.slip.stiffness": "16", "rear.tyre.slip.stiffness": "16",
}  # fmt: skip
LAUNCH = """\
kind: scenario
name: Away
vehicle: my_truck.yaml
run: {kind: launch, surface: {friction: 0.85, sliding: 0.62, peak_at: 13 %}, watch: 1 s}
setups: {as it is: }
"""


@pytest.fixture
def paper(tmp_path):
    return Paper(None, tmp_path)


def typed(paper, edits):
    return as_edited(paper.document(), typed_edits(edits))


def lines_of(data):
    return next(step for step in form(data) if step.section.name == POWER).lines


def test_every_truck_has_the_boxes_of_what_a_launch_needs(paper, truck):  # noqa: F811
    for data in (paper.document().data, read(truck).data):
        paths = {cell.path for line in lines_of(data) for cell in line.cells}
        every = {cell.path for step in form(data) for line in step.lines for cell in line.cells}
        assert {".".join((*part, *key)) for part, keys in NEEDED.items() for key in keys} <= every
        needed = {".".join((*part, *key)) for part, keys in NEEDED.items() if part[0] != "outline" for key in keys}
        assert needed | {"front.tyre.spin_inertia", "rear.tyre.spin_inertia"} <= paths
        assert all(line.how for line in lines_of(data))
    shown = {cell.path: cell.value for line in lines_of(read(truck).data) for cell in line.cells}
    assert shown["driveline.gear"] == "3.6"
    assert shown["driveline.engine.torque"].startswith("245 N m at 900 rpm, 310 N m at 1600 rpm")


ENGINE = {"torque": "300 N m", "limit": "4000 rpm", "inertia": "0.3 kg m^2"}
WHOLE = {
    "engine": (Engine, ENGINE), "driveline": (Driveline, {"engine": ENGINE, "gear": 3.0}),
    "shafts": (Shafts, {"final_drive": 4.0, "rate": "1 kN m/rad"}), "slip": (Slip, {"stiffness": 16}),
}  # fmt: skip


def test_what_is_grey_is_what_the_file_takes_by_itself():
    section = next(one for one in SECTIONS if one.name == POWER)
    taken = {row.keys.rpartition(".")[2]: row for row in section.rows if row.taken}
    assert set(taken) == {"idle", "drag", "transfer", "damping", "relaxation_length"}
    for key, row in taken.items():
        model, filled = WHOLE[row.keys.split(".")[-2]]
        written = float(row.taken) if row.taken.isdecimal() else row.taken
        own = getattr(model.model_validate({**filled, key: written}), key)
        # 764 rpm is 80 rad/s to three digits.
        assert own == pytest.approx(getattr(model.model_validate(filled), key), rel=1e-3)


def test_half_of_a_driveline_holds_nothing_up_and_says_what_is_still_needed(paper):
    said = answer(typed(paper, {**SHOP, "driveline.engine.torque": "310 N m"}))
    assert said["problems"] == []
    assert said["scene"] is not None
    needed = [row["where"] for row in said["notices"] if row["text"].startswith("Needed too")]
    assert needed == ["driveline.engine.limit", "driveline.engine.inertia", "driveline.gear"]
    assert vehicle_of(typed(paper, {**SHOP, "driveline.gear": "3.6"})).driveline is None


@pytest.mark.parametrize(
    ("path", "text", "where", "words"),
    [
        ("driveline.engine.torque", "much", "driveline.engine.torque", "is written as a number with its unit"),
        ("driveline.engine.torque", "310", "driveline.engine.torque", "needs a unit"),
        ("driveline.engine.torque", "245 N m at 900 rpm, 310 at 1600 rpm", "driveline.engine.torque", "point 2: the number 310 needs a unit"),
        ("driveline.engine.torque", "245 N m at 900 rpm, 310 N m at 800 rpm", "driveline.engine", "rising speeds"),
        ("driveline.engine.limit", "70 rpm", "driveline.engine.limit", "above idle"),
        ("driveline.engine.idle", "-800 rpm", "driveline.engine.idle", "more than 0"),
        ("driveline.engine.inertia", "0 kg m^2", "driveline.engine.inertia", "more than 0"),
        ("driveline.gear", "-1", "driveline.gear", "more than 0"),
        ("driveline.gear", "3.6 mm", "driveline.gear", "without a unit"),
        ("driveline.transfer", "40", "driveline.transfer", "not be more than 20"),
        ("driveline.drive", "all", "driveline.drive", "rear"),
        ("driveline.centre", "open", "driveline.drive", "drive: both"),
        ("rear.shafts.final_drive", "0", "rear.shafts.final_drive", "more than 0"),
        ("rear.shafts.rate", "11 kN", "rear.shafts.rate", "not an angular rate"),
        ("front.tyre.spin_inertia", "2 kg", "front.tyre.spin_inertia", "kg"),
        ("front.tyre.slip.stiffness", "900", "front.tyre.slip.stiffness", "not be more than 80"),
        ("rear.brakes.torque", "3400", "rear.brakes.torque", "needs a unit"),
    ],
)  # fmt: skip
def test_a_wrong_number_is_said_at_its_box_though_the_rest_is_not_filled_in(paper, path, text, where, words):
    said = answer(typed(paper, {**SHOP, path: text}))
    rows = {row["where"]: f"{row['message']} {row['allowed']}" for row in said["problems"]}
    assert where in rows
    assert words in rows[where]
    # Nothing is said of boxes that nobody typed in, but those that this one does not go with.
    assert set(rows) <= {where, "driveline.engine.idle", "driveline.centre", "driveline.engine.limit"}


def test_what_is_typed_makes_a_truck_that_pulls_away_and_goes_through_its_file(paper):
    with pytest.raises(NeededError) as lacks:
        _launched(paper, SHOP)
    boxes = boxes_of({}, lacks.value.missing)
    assert set(boxes) == set(POWERED) - {"driveline.transfer"}
    wholly = {**SHOP, **POWERED}
    run = _launched(paper, wholly)
    assert run.drive.speed_m_per_s[-1] > 0.5
    mark, _ = paper.saved(typed_edits(wholly), "", "My truck")
    data = yaml.safe_load(paper.text())
    assert data["driveline"]["engine"]["torque"] == points_of(POWERED["driveline.engine.torque"])
    shown = {cell.path: cell.value for line in lines_of(read(paper.path).data) for cell in line.cells}
    assert {path: shown[path] for path in POWERED} == POWERED
    # One number in its place: its own line alone is another.
    before = paper.text().splitlines()
    paper.saved(typed_edits({"driveline.gear": "3.9"}), mark)
    assert [line for line in paper.text().splitlines() if line not in before] == [f"{'  gear: 3.9':<48}# given"]


def _launched(paper, edits):
    path = paper.folder / "away.yaml"
    path.write_text(LAUNCH, encoding="utf-8")
    return preview(vehicle_of(typed(paper, edits)), run_at(read(path), paper.folder, []))


def test_a_whole_file_keeps_its_comments_and_its_order(truck):  # noqa: F811
    paper = Paper(truck, truck.parent)
    before = truck.read_text(encoding="utf-8")
    assert "  gear: 3.6                   # first\n" in before
    paper.saved(typed_edits({"driveline.gear": "3.9", "front.tyre.slip.stiffness": "12"}), paper.mark())
    expected = before.replace("  gear: 3.6                   # first", "  gear: 3.9                   # first")
    first, rest = expected.split("slip: {stiffness: 16", 1)
    assert truck.read_text(encoding="utf-8") == f"{first}slip: {{stiffness: 12{rest}"
    paper.saved(
        typed_edits({"driveline.engine.torque": "200 lbf ft at 1000 rpm, 220 lbf ft at 2000 rpm"}), paper.mark()
    )
    assert [point.torque for point in sim.load(truck).driveline.engine.torque] == pytest.approx(
        [271.16, 298.28], abs=0.01
    )


def test_what_drives_may_be_typed_before_the_rest():
    missing = ("driveline", "rear.shafts", "front.tyre.spin_inertia")
    both = boxes_of({"driveline": {"drive": "both", "gear": 3.6}}, missing)
    assert "front.shafts.rate" in both
    assert "rear.shafts.rate" in both
    assert "driveline.gear" not in both
    assert both[-1] == "front.tyre.spin_inertia"
    front = boxes_of({"driveline": {"drive": "front"}}, missing)
    assert "rear.shafts.rate" not in front
    assert begun({"driveline": {"centre": "limited_slip"}})[("driveline",)][-1] == ("centre_torque",)
    # A measured tyre needs no stiffness.
    assert begun({"front": {"tyre": {"slip": {"coefficients": [1.0] * 8}}}}) == {}


def test_points_are_read_as_they_are_shown():
    rows = [{"speed": "900 rpm", "torque": "245 N m"}, {"speed": "1,600 rpm", "torque": "310 N m"}]
    assert points_of(points_text(rows)) == rows
    assert points_of("310 N m") is None
    assert points_text("310 N m") == points_text([1, 2]) == points_text([]) == ""


def test_a_problem_of_a_point_is_at_the_box_of_the_curve(truck):  # noqa: F811
    whole = as_edited(read(truck), typed_edits({"driveline.engine.drag": "20 N m at 900 rpm, 30 lb at 3000 rpm"}))
    _, wrong = standing_vehicle(whole)
    assert [row["where"] for row in at_boxes(wrong)] == ["driveline.engine.drag"]


def test_a_set_up_may_change_engine_and_gears_under_a_title_of_their_own(truck):  # noqa: F811
    document = read(truck)
    group = next(one for one in changeable(document, form(document.data)) if one.title == ENGINE_AND_GEARS)
    labels = {one.path: one.label for one in group.changes}
    assert labels["driveline.gear"] == "Gear that is in: ratio"
    assert labels["rear.shafts.rate"] == "Rear: Shafts: rate seen at the wheels"
    assert "rear.tyre.slip.stiffness" in labels
    assert "rear.tyre.rate" not in labels


@pytest.mark.parametrize(
    ("edits", "box"),
    [
        ({"driveline.engine.torque": "310"}, "driveline.engine.torque"),
        ({"driveline.engine.torque": "310 lb"}, "driveline.engine.torque"),
        ({"driveline.gear": "three"}, "driveline.gear"),
        ({"rear.shafts.rate": "11 kN"}, "rear.shafts.rate"),
        ({"rear.tyre.spin_inertia": "2.1 kg"}, "rear.tyre.spin_inertia"),
        ({"rear.tyre.slip.stiffness": "-16"}, "rear.tyre.slip.stiffness"),
    ],
)
def test_what_is_wrong_for_pulling_away_leaves_the_rest_drawn_and_the_launch_out(paper, edits, box):
    """The picture and the numbers are those of the truck without its driveline, which a standing truck does not read."""
    whole = answer(typed(paper, {**SHOP, **POWERED}))
    document = typed(paper, {**SHOP, **POWERED, **edits})
    said = answer(document)
    assert [one["where"] for one in said["problems"]] == [box]
    assert said["launch_waits"]
    assert not said["refused"]
    assert said["numbers"] == whole["numbers"]
    assert said["scene"] == whole["scene"]
    vehicle_of(document)
    with pytest.raises(InputError):
        see_launch(document)
    see_launch(typed(paper, {**SHOP, **POWERED}))


def test_what_is_wrong_with_the_truck_itself_still_holds_it_up(paper):
    said = answer(typed(paper, {**SHOP, **POWERED, "driveline.gear": "three", "wheelbase": "92 lb"}))
    assert {one["where"] for one in said["problems"]} == {"driveline.gear", "wheelbase"}
    assert said["scene"] is None
    assert not said["launch_waits"]


def test_courses_are_driven_and_a_launch_says_what_it_waits_for(paper, tmp_path):
    document = typed(paper, {**SHOP, **POWERED, "driveline.engine.torque": "310"})
    trials = Trials(Courses(tmp_path))
    rows = [{"name": "as it is", "changes": {}}]
    course, _ = unpacked(trials.run(document, "a", asked(setups=rows)))
    assert course["problems"] == []
    assert course["setups"][0]["problems"] == []
    ground = {"ground": "firm rock", "friction": "0.85", "sliding": "0.62", "watch": "1 s"}
    launch, _ = unpacked(trials.run(document, "a", asked(setups=rows, launch=ground)))
    ((problem),) = launch["problems"]
    assert "310" in problem["message"] + problem.get("given", "")
    assert "orque" in problem["where"]


def test_a_point_of_the_outline_that_is_half_typed_leaves_the_truck_standing(paper):
    one = typed(paper, SHOP | {"outline.under.belly.above_ground": "14 in"})
    vehicle, problems = standing_vehicle(one)
    assert problems == ()
    assert "belly" not in (vehicle.outline.under if vehicle.outline else {})
    (said,) = list(said_of(one.data))
    assert said == ("outline.under.belly.behind_front_axle", "Needed too, or this point is not looked at.")
    both = typed(
        paper, SHOP | {"outline.under.belly.above_ground": "14 in", "outline.under.belly.behind_front_axle": "50 in"}
    )
    assert standing_vehicle(both)[0].outline.under["belly"].above_ground == pytest.approx(14 * 0.0254)
