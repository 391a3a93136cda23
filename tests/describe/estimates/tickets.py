"""Trucks as a shop measures them, from nothing at all to all that a tape gives."""

import copy

from sim.describe.estimates.as_measured import TRIGGER


def axle():
    return {
        "tyre": {"outside_diameter": "33 in"},
        "springs": {"coil": {"rate": "190 lb/in"}},
        "dampers": {"main": {"length_extended": "23.5 in", "length_collapsed": "14.25 in"}},
    }


TICKET = {
    "kind": "vehicle", "name": "Ticket", "wheelbase": "92 in", TRIGGER: {"front": "2450 lb", "rear": "1780 lb"},
    "front": axle(), "rear": axle(),
}  # fmt: skip
LEAVES = {
    "leaves": 7, "full_length_leaves": 2, "leaf_width": "63 mm", "leaf_thickness": "7 mm",
    "halves": {"ahead": "560 mm", "behind": "610 mm"},
}  # fmt: skip

TRUCKS = {
    "the ticket, coils and dampers": TICKET,
    "nothing at all": {TRIGGER: None},
    "weights alone": {TRIGGER: {"front": "1235 kg", "rear": "939 kg"}},
    "metric, leaf packs by their leaves": {
        TRIGGER: {"front": "1100 kg", "rear": "900 kg", "aboard": ["driver", "half a tank"]}, "wheelbase": "2.6 m",
        "front": {"springs": {"pack": copy.deepcopy(LEAVES)}, "tyre": {"size": "7.50-16", "pressure": "3 bar"}},
        "rear": {"springs": {"pack": {key: LEAVES[key] for key in LEAVES if key != "full_length_leaves"}}, "axle_height": "385 mm", "frame_height": "620 mm"},
    },
    "packs of which one half was taped": {
        TRIGGER: {"front": "1100 kg", "rear": "900 kg"}, "wheelbase": "2.6 m",
        "front": {"springs": {"pack": {**LEAVES, "length": "1300 mm", "halves": {"ahead": "560 mm"}}}},
        "rear": {"springs": {"pack": {"rate": "40 N/mm", "halves": {"behind": "610 mm"}}}},
    },
    "a coil by its wire, four dampers, one axle lifted": {
        TRIGGER: {"front": "2450 lb", "rear": "1780 lb", "lifted": {"axle": "rear", "by": "24 in", "other": "2580 lb"}},
        "overall_length": "12 ft 10 in", "wheelbase": "92 in",
        "front": {
            "springs": {"coil": {"wire_diameter": "0.61 in", "coil_diameter": "5.1 in", "active_coils": 7.5}},
            "dampers": {"main": {"count": 4, "valving": "firm", "length_at_ride": "19 in", "construction": "monotube"}},
            "stop": {"height": "2.5 in"}, "strap": "none",
        },
    },
}  # fmt: skip
