"""For each entry rule: a coupon that makes it fire, and one that keeps it quiet.

The quiet ones are printed settings: heat-S19, 3.2 mm butt, and heat-S25, 5 mm fillet.
"""

from typing import Any

Document = dict[str, Any]

GTAW: Document = {
    "process": "GTAW",
    "polarity": "AC",
    "ac": {"en_percent": 70, "frequency_hz": 100},
    "base_metals": [{"thickness_mm": 3.2}],
    "filler": {"designation": "4043", "diameter_mm": 2.4},
    "tungsten": {"diameter_mm": 2.4},
    "current_a": 135,
    "voltage_v": 15,
    "travel_speed_mm_s": 5,
    "gas_flow_l_min": 7,
}
GMAW: Document = {
    "process": "GMAW",
    "base_metals": [{"thickness_mm": 5}],
    "filler": {"designation": "ER5356", "diameter_mm": 1.2},
    "current_a": 190,
    "voltage_v": 22,
    "wire_feed_mm_s": 180,
    "travel_speed_mm_s": 560 / 60,
}
LENGTH_AND_TIME = {"weld_length_mm": 150, "arc_time_s": 30}
RUNS = [{"current_a": 130}, {"current_a": 140}]
HALVES = {"en_percent": 70, "en_current_a": 150, "ep_current_a": 120}

CASES: dict[str, tuple[Document, Document]] = {
    "entry-not-possible": (GTAW | {"current_a": -135}, GTAW),
    "entry-current": (GMAW | {"current_a": 400}, GMAW),
    "entry-voltage": (GTAW | {"voltage_v": 60}, GTAW),
    "entry-mean-power": (GTAW | {"mean_power_kw": 1900}, GTAW | {"mean_power_kw": 1.9}),
    "entry-energy-shown": (GTAW | {"arc_energy_kj": 42000}, GTAW | {"arc_energy_kj": 42}),
    "entry-travel-speed": (GTAW | {"travel_speed_mm_s": 8 / 60}, GTAW),
    "entry-wire-feed": (GMAW | {"wire_feed_mm_s": 25}, GMAW),
    "entry-gas-flow": (GTAW | {"gas_flow_l_min": 17}, GTAW | {"gas_flow_l_min": 3}),
    "entry-ac-frequency": (GTAW | {"ac": {"frequency_hz": 400}}, GTAW),
    "entry-filler-diameter": (
        GTAW | {"filler": {"designation": "4043", "diameter_mm": 0.094}},
        GTAW,
    ),
    "entry-tungsten-diameter": (GTAW | {"tungsten": {"diameter_mm": 0.094}}, GTAW),
    "entry-thickness": (GTAW | {"base_metals": [{"thickness_mm": 0.125}]}, GTAW),
    "entry-leg": (GTAW | {"fillet": {"leg_1_mm": 0.125}}, GTAW | {"fillet": {"leg_1_mm": 3.2}}),
    "entry-temperature": (GTAW | {"preheat_c": 200}, GTAW | {"preheat_c": 125}),
    "entry-volts-and-amps-swapped": (GTAW | {"current_a": 15, "voltage_v": 135}, GTAW),
    "entry-arc-energy": (
        {"process": "GTAW", "arc_energy_kj": 900, "weld_length_mm": 150},
        {"process": "GTAW", "arc_energy_kj": 60, "weld_length_mm": 150},
    ),
    "entry-fillet-without-corner": (
        GTAW | {"joint": "butt", "weld": "fillet"},
        GTAW | {"joint": "tee", "weld": "fillet"},
    ),
    "entry-gmaw-with-tungsten": (GMAW | {"tungsten": {"diameter_mm": 2.4}}, GTAW),
    "entry-gmaw-with-ac": (GMAW | {"ac": {"en_percent": 70}}, GTAW),
    "entry-gtaw-with-transfer": (GTAW | {"transfer": "spray"}, GMAW | {"transfer": "spray"}),
    "entry-gtaw-with-wire-feed": (GTAW | {"wire_feed_mm_s": 180}, GMAW),
    "entry-dc-with-ac": (GTAW | {"polarity": "DCEN"}, GTAW),
    "entry-gmaw-with-rod": (
        GMAW | {"filler": {"designation": "ER5356", "form": "cut_length", "diameter_mm": 1.2}},
        GMAW | {"filler": {"designation": "ER5356", "form": "spool", "diameter_mm": 1.2}},
    ),
    "entry-current-beside-runs": (
        GTAW | {"run_list": RUNS},
        {"process": "GTAW", "run_list": RUNS},
    ),
    "entry-runs-disagree": (
        {"process": "GTAW", "runs": 3, "run_list": RUNS},
        {"process": "GTAW", "runs": 2, "run_list": RUNS},
    ),
    "entry-current-and-halves": (GTAW | {"current_a": 190, "ac": HALVES}, GTAW | {"ac": HALVES}),
    "entry-energy-disagrees": (
        GTAW | LENGTH_AND_TIME | {"arc_energy_kj": 40},
        GTAW | LENGTH_AND_TIME | {"arc_energy_kj": 50},
    ),
    "entry-power-disagrees": (GTAW | {"mean_power_kw": 1.4}, GTAW | {"mean_power_kw": 1.5}),
    "entry-energy-and-power": (
        GTAW | LENGTH_AND_TIME | {"arc_energy_kj": 60, "mean_power_kw": 1.8},
        GTAW | LENGTH_AND_TIME | {"arc_energy_kj": 60, "mean_power_kw": 1.95},
    ),
    "entry-gmaw-current-for-thickness": (GMAW | {"base_metals": [{"thickness_mm": 2}]}, GMAW),
    "entry-en-fraction": (GTAW | {"ac": {"en_percent": 0.7}}, GTAW),
    "entry-en-or-ep": (GTAW | {"ac": {"en_percent": 30}}, GTAW),
    "entry-current-for-thickness": (GTAW | {"base_metals": [{"thickness_mm": 1.6}]}, GTAW),
    "entry-rod-for-thickness": (GTAW | {"base_metals": [{"thickness_mm": 1}]}, GTAW),
    "entry-wire-feed-for-current": (GMAW | {"wire_feed_mm_s": 100}, GMAW),
    "entry-gmaw-without-filler": (GMAW | {"filler": None}, GTAW | {"filler": None}),
    "entry-travel-speed-disagrees": (
        GTAW | {"weld_length_mm": 150, "arc_time_s": 33},
        GTAW | LENGTH_AND_TIME,
    ),
}
