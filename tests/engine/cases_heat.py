"""For each heat rule: a coupon that makes it fire, and one that keeps it quiet."""

from typing import Any

AVERAGES = {"current_a": 130, "voltage_v": 20, "travel_speed_mm_s": 10}
PULSED = {"process": "GMAW", "transfer": "pulsed", "weld_length_mm": 150, **AVERAGES}
GTAW = {"process": "GTAW", "current_a": 135, "voltage_v": 14, "travel_speed_mm_s": 5}
TIMED = {"process": "GTAW", "weld_length_mm": 150, "arc_time_s": 30}
METERS = {"process": "GTAW", "current_a": 135, "travel_speed_mm_s": 5}
# Coupon H6 of the heat notes: it warms by 195 K at most.
SMALL = GTAW | {
    "weld_length_mm": 150,
    "plate_length_mm": 150,
    "plate_width_mm": 150,
    "base_metals": [{"thickness_mm": 3.2}],
}


def plate(alloy: str, temper: str) -> dict[str, Any]:
    """Return a coupon of one metal."""
    return {"process": "GTAW", "base_metals": [{"alloy": alloy, "temper": temper}]}


CASES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "heat-averaged-meters": (PULSED, PULSED | {"arc_energy_kj": 40}),
    "heat-assumed-volts": (GTAW | {"voltage_read": "assumed"}, GTAW | {"voltage_read": "at_arc"}),
    "heat-no-volts": (METERS, METERS | {"mean_power_kw": 1.9}),
    "heat-stops": (TIMED | {"stops": 1}, TIMED | {"stops": 0}),
    "heat-weave": (GTAW | {"weave_mm": 4}, TIMED | {"weave_mm": 4}),
    "heat-bulk-rise": (SMALL, SMALL | {"plate_width_mm": 400}),
    "heat-softened-zone": (plate("6061", "T6"), plate("5052", "H32")),
}
