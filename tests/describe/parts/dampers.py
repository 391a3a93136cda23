"""Valve parts that tests share: a monotube and a twin-tube, invented."""

MONOTUBE = {
    "kind": "valves",
    "piston": {
        "diameter": "40 mm", "bleed": {"count": 2, "diameter": "1.5 mm", "length": "3 mm"},
        "compression": [
            {"ports": {"count": 6, "diameter": "3.5 mm"}, "seat_diameter": "22 mm", "preload": "30 N", "rate": "180 N/mm",
             "lift_most": "0.8 mm"},
        ],
        "rebound": [
            {"ports": {"count": 4, "diameter": "3 mm"}, "seat_diameter": "18 mm", "preload": "110 N", "rate": "300 N/mm"},
            {"ports": {"count": 4, "diameter": "3 mm"}, "seat_diameter": "18 mm", "preload": "250 N", "rate": "150 N/mm"},
        ],
    },
    "rod_diameter": "14 mm",
    "tube": {"kind": "monotube", "gas_pressure": "16 bar", "gas_volume": "60 cm^3"},
}  # fmt: skip

TWIN_TUBE = {
    "kind": "valves",
    "piston": {
        "diameter": "1.2 in", "bleed": {"diameter": "1.6 mm", "length": "2 mm"},
        "compression": [{"ports": {"count": 6, "diameter": "3 mm"}, "seat_diameter": "20 mm", "preload": "3 N", "rate": "3 N/mm",
                  "lift_most": "1 mm"}],
        "rebound": [{"ports": {"count": 4, "diameter": "2.5 mm"}, "seat_diameter": "16 mm", "preload": "40 lbf", "rate": "1400 lb/in"}],
    },
    "rod_diameter": "0.5 in",
    "tube": {
        "kind": "twin_tube", "gas_pressure": "5 bar",
        "foot": {
            "bleed": {"diameter": "1 mm"},
            "compression": [{"ports": {"count": 4, "diameter": "2 mm"}, "seat_diameter": "12 mm", "preload": "170 N", "rate": "200 N/mm"}],
            "rebound": [{"ports": {"count": 6, "diameter": "3 mm"}, "seat_diameter": "18 mm", "preload": "1 N", "rate": "1 N/mm"}],
        },
    },
}  # fmt: skip
