"""For each heat rule: a coupon that makes it fire, and one that keeps it quiet."""

from typing import Any

AVERAGES = {"current_a": 130, "voltage_v": 20, "travel_speed_mm_s": 10}
PULSED = {"process": "GMAW", "transfer": "pulsed", "weld_length_mm": 150, **AVERAGES}
GTAW = {"process": "GTAW", "current_a": 135, "voltage_v": 14, "travel_speed_mm_s": 5}
TIMED = {"process": "GTAW", "weld_length_mm": 150, "arc_time_s": 30}

CASES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "heat-averaged-meters": (PULSED, PULSED | {"arc_energy_kj": 40}),
    "heat-assumed-volts": (GTAW | {"voltage_read": "assumed"}, GTAW | {"voltage_read": "at_arc"}),
    "heat-stops": (TIMED | {"stops": 1}, TIMED | {"stops": 0}),
    "heat-weave": (GTAW | {"weave_mm": 4}, TIMED | {"weave_mm": 4}),
}
