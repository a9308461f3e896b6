"""For each bead rule: a coupon that makes it fire, and one that keeps it quiet.

1.2 mm wire at 9 m/min and 500 mm/min makes a flat leg of 6.28 mm (identity, heat_CV25); a leg of
3.2 mm over 150 mm takes 170 mm of a 2.4 mm rod (identity, heat_CV32).
"""

from typing import Any

WIRE: dict[str, Any] = {
    "process": "GMAW",
    "weld": "fillet",
    "filler": {"designation": "5356", "diameter_mm": 1.2},
    "wire_feed_mm_s": 150,
    "travel_speed_mm_s": 500 / 60,
}
ROD: dict[str, Any] = {
    "process": "GTAW",
    "weld": "fillet",
    "filler": {"designation": "5356", "diameter_mm": 2.4},
    "weld_length_mm": 150,
    "fillet": {"leg_1_mm": 3.2, "leg_2_mm": 3.2},
}


def legs(leg_mm: float) -> dict[str, Any]:
    """Return a fillet with equal legs."""
    return {"fillet": {"leg_1_mm": leg_mm, "leg_2_mm": leg_mm}}


CASES: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "bead-leg-against-wire": (WIRE | legs(4), WIRE | legs(6)),
    "bead-leg-far-from-wire": (WIRE | legs(13), WIRE | legs(9)),
    "bead-rod-against-weld": (ROD | {"rod_used_mm": 600}, ROD | {"rod_used_mm": 200}),
}
