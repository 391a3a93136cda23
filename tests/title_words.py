"""What the sentences of a verdict's title say of figures: which rows of a CSV they are of, and what of them a person would notice."""

import re

SHARE, FLOOR = 0, 1
# docs/reading-results.md: smallest noticed difference, as a share of the smaller figure, and at least; units of the CSV
RIDE, PERCENT, TRAVEL, HITS, TIME, BOBS = (0.10, 0.02), (0.10, 1.0), (0.0, 6.35), (0.5, 2.0), (0.20, 0.1), (0.0, 0.5)
ANGLE, DISTANCE = (0.10, 0.5), (0.05, 0.5)
ENDS = ("Front", "Rear")
# A rear pinion points forward and a front one back: shafts lift the one and lower the other, brakes the opposite.
WOUND = {"launch": {"Front": "down", "Rear": "up"}, "brake": {"Front": "up", "Rear": "down"}}
HOP = [
    (f"{end} {of}", smallest)
    for of, smallest in (
        ("hop: swing to and fro", ANGLE),
        ("hop: how long", TIME),
        ("wind-up: still swinging at the end", ANGLE),
    )
    for end in ENDS
]
BLOCKS = {
    "course": {
        "grip": [(f"{end} {of}", PERCENT) for of in ("tyre load: variation", "tyres: time off the ground") for end in ENDS],
        "ride": [("Ride at driver: upward weighted RMS", RIDE), ("Ride at driver: worst second", RIDE)],
        "travel": [(f"{end} {of}", TRAVEL) for of in ("bump travel left", "droop at ride height") for end in ENDS] + [(f"{end} bump stop hits", HITS) for end in ENDS],
        "settling": [("Body: settling time", TIME)],
    },
    "push": {
        "travel": [(f"{end} {of}", TRAVEL) for of in ("bump travel left", "droop at ride height") for end in ENDS],
        "settling": [(f"Body over {end.lower()} axle: bobs", BOBS) for end in ENDS] + [("Body: settling time", TIME)],
    },
    "launch": {
        "grip": [(f"{end} {of}", PERCENT) for of in ("wheels: time past 25 % slip", "tyres: unsteady push", "tyres: time off the ground") for end in ENDS],
        "ride": [("Ride at driver: upward weighted RMS", RIDE), ("Ride at driver: worst second", RIDE)],
        "wind-up": [(f"{end} wind-up, pinion {WOUND['launch'][end]}", ANGLE) for end in ENDS] + HOP,
        "travel": [(f"{end} {of}", TRAVEL) for of in ("bump travel left", "droop at ride height") for end in ENDS],
    },
}  # fmt: skip
BLOCKS["brake"] = {
    "grip": [("Stopping distance", DISTANCE), *BLOCKS["launch"]["grip"]],
    "ride": BLOCKS["launch"]["ride"],
    "wind-up": [(f"{end} wind-up, pinion {WOUND['brake'][end]}", ANGLE) for end in ENDS] + HOP,
    "travel": [("Pitch: most nose-down", ANGLE)]
    + [(f"{end} {of}", TRAVEL) for of in ("bump travel left", "droop at ride height") for end in ENDS],
}

CALM = 0.315
"""Ride [m/s²] below which it is not uncomfortable (ISO 2631-1, C.2.3, from memory)."""

MORE = {"less": -1, "smoother": -1, "more": 1, "rougher": 1, "longer": 1}


def ratio(label, way="way"):
    """Return what checks "12 % less" of a row."""
    return lambda m, one, two: (label(m), (MORE[m[way]] * 100.0 * (two / one - 1.0),), (m["n"],))


def both(label):
    """Return what checks "3 times, not 1" of a row."""
    return lambda m, one, two: (label(m), (two, one), (m["n"] or "1", m["of"]))


def end(m):
    return m["end"].capitalize()


N, OF, END = r"(?P<n>[\d.]+)", r"(?P<of>[\d.]+)", r"(?P<end>front|rear)"
CLAUSES = {
    rf"rides {N} % (?P<way>\w+)": ratio(lambda m: "Ride at driver: upward weighted RMS"),
    rf"has a worst second {N} % (?P<way>\w+)": ratio(lambda m: "Ride at driver: worst second"),
    rf"swings the load of the {END} tyres {N} % (?P<way>\w+)": ratio(lambda m: f"{end(m)} tyre load: variation"),
    rf"swings the force of its {END} tyres along the road {N} % (?P<way>\w+)": ratio(lambda m: f"{end(m)} tyres: unsteady push"),
    rf"has the {END} tyres off the ground {N} % of the time, not {OF} %": both(lambda m: f"{end(m)} tyres: time off the ground"),
    rf"leaves {N} mm \([\d.]+ in\) (?P<way>less|more) travel to its {END} bump stops": (
        lambda m, one, two: (f"{end(m)} bump travel left", (MORE[m["way"]] * (two - one), min(one, two) >= 0.0), (m["n"], "1"))
    ),
    rf"squeezes its {END} bump stops {N} mm \([\d.]+ in\) (?P<way>less|more)": (
        lambda m, one, two: (f"{end(m)} bump travel left", (-MORE[m["way"]] * (two - one), max(one, two) <= 0.0), (m["n"], "1"))
    ),
    rf"stays {N} mm \([\d.]+ in\) short of its {END} bump stops, not {OF} mm \([\d.]+ in\) into them": (
        lambda m, one, two: (f"{end(m)} bump travel left", (two, -one), (m["n"], m["of"]))
    ),
    rf"runs {N} mm \([\d.]+ in\) into its {END} bump stops, not {OF} mm \([\d.]+ in\) short of them": (
        lambda m, one, two: (f"{end(m)} bump travel left", (-two, one), (m["n"], m["of"]))
    ),
    rf"has {N} mm \([\d.]+ in\) (?P<way>less|more) {END} droop at ride height": (
        lambda m, one, two: (f"{end(m)} droop at ride height", (MORE[m["way"]] * (two - one),), (m["n"],))
    ),
    # Of a load: the frame comes down, or up, by as much as the droop to a strap that stays.
    rf"stands {N} mm \([\d.]+ in\) (?P<way>lower|higher) (?P<where>in front|behind) \((?:more droop, less bump travel|more bump travel, less droop)\)": (
        lambda m, one, two: (
            f"{'Front' if m['where'] == 'in front' else 'Rear'} droop at ride height",
            ((two - one) * (1 if m["way"] == "lower" else -1),),
            (m["n"],),
        )
    ),
    rf"meets its {END} bump stops (?:{N} times|once), not {OF}": both(lambda m: f"{end(m)} bump stop hits"),
    r"settles in half the time": lambda m, one, two: ("Body: settling time", (two / one,), ("0.5",)),
    rf"settles in {N} % (?P<way>less) time": ratio(lambda m: "Body: settling time"),
    rf"takes {N} % (?P<way>longer) to settle": ratio(lambda m: "Body: settling time"),
    r"takes twice as long to settle": lambda m, one, two: ("Body: settling time", (two / one,), ("2.0",)),
    rf"takes {N} s, not {OF} s, to settle": both(lambda m: "Body: settling time"),
    r"does not settle within the run": lambda m, one, two: ("Body: settling time", (two,), ("inf",)),
    rf"bobs (?:{N} times|once) over the {END} axle, not {OF}": both(lambda m: f"Body over {m['end']} axle: bobs"),
    rf"slips its {END} wheels {N} % of the time, not {OF} %": both(lambda m: f"{end(m)} wheels: time past 25 % slip"),
    rf"winds its {END} axle up {N} % (?P<way>\w+)": ratio(lambda m: f"{end(m)} wind-up, pinion PIN"),
    rf"swings its {END} pinion to and fro {N} % (?P<way>\w+)": ratio(lambda m: f"{end(m)} hop: swing to and fro"),
    rf"does not hop its {END} axle": lambda m, one, two: (f"{end(m)} hop: swing to and fro", (two, one > 0.0), ("0", "1")),
    rf"hops its {END} axle for {N} s, not {OF} s": both(lambda m: f"{end(m)} hop: how long"),
    rf"swings its {END} axle by {N} deg at the end, not {OF} deg": both(lambda m: f"{end(m)} wind-up: still swinging at the end"),
    rf"dives {N} % (?P<way>\w+)": ratio(lambda m: "Pitch: most nose-down"),
}  # fmt: skip
"""What a title says of a figure; which row of the CSV it is, what that comes to, and what was said, to the digits said."""


def named(told, text):
    """Return the set-up that a title names, perhaps cut with an ellipsis."""
    (name,) = [one for one in told.setups if one == text or (text.endswith("…") and one.startswith(text[:-1]))]
    return name


def reads(value, text):
    """Return whether a value reads like that when it is rounded to as many decimals, whichever way a half goes."""
    decimals = len(text.partition(".")[2])
    return value == float(text) or abs(value - float(text)) <= 0.5001 * 10.0**-decimals


def checked(told, reference, setup, sentence):
    """Check every clause of a sentence about a set-up; all of it must be understood."""
    left = sentence
    for pattern, of in CLAUSES.items():
        for match in re.finditer(pattern, sentence):
            label = of(match, 1.0, 1.0)[0]
            label = label.replace("PIN", WOUND.get(told.kind, {}).get(label.partition(" ")[0], ""))
            one, two = told.figures[label][reference], told.figures[label][setup]
            _, values, texts = of(match, one, two)
            assert all(map(reads, values, texts)), (sentence, label, values, texts)
            left = left.replace(match[0], "", 1)
    assert re.fullmatch(r"( |,|and|but)*", left), f"not understood: {left!r} of {sentence!r}"


def judged_by(told, setup, reference):
    """Return what a set-up is judged against: the one that is as the reference but for carrying the same load, else the reference."""
    if told.load[setup] == told.load[reference] or told.bare[setup] == told.bare[reference]:
        return reference
    as_reference = [
        name for name in told.setups if told.bare[name] == told.bare[reference] and told.load[name] == told.load[setup]
    ]
    return as_reference[0] if as_reference else reference


def loads(told, reference):
    """Return the set-ups that are as the reference but for their load."""
    return [name for name in told.setups if name != reference and told.bare[name] == told.bare[reference]]


def told_blocks(told):
    """Return the blocks of which any figure is known."""
    return [block for block, rows in BLOCKS[told.kind].items() if any(told.figures.get(label) for label, _ in rows)]


def noticed(told, block, one, other, only=None):
    """Return whether any figure of a block, or the one of that name, differs by what a person would notice."""
    for label, (share, floor) in BLOCKS[told.kind][block]:
        if only not in (None, label):
            continue
        row = told.figures.get(label, {})
        if one in row and other in row and row[one] != row[other]:
            # What nobody finds uncomfortable counts as the most of it (docs/reading-results.md).
            a, b = (max(row[name], CALM) if (share, floor) == RIDE else row[name] for name in (one, other))
            small = min(abs(a), abs(b))
            if abs(b - a) >= max(floor, share * small) and not told.open.get((label, other), False):
                return True
    return False


def undecided(told, block, other):
    """Return whether the band of any figure of a block holds zero."""
    return any(told.open.get((label, other), False) for label, _ in BLOCKS[told.kind][block])
