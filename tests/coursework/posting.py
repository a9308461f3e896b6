"""What a browser sends from the page that logs a coupon."""

import uuid

CLEANED = {
    "cleaning_answer": "done",
    "step_degrease_place": "1",
    "step_degrease_at": "9:58",
    "step_degrease_agent": "acetone",
    "step_dry_place": "2",
    "step_dry_at": "10:00",
    "step_remove_oxide_place": "3",
    "step_remove_oxide_at": "10:02",
    "step_remove_oxide_tool": "stainless_hand_brush",
    "step_remove_oxide_tool_kept_for": "aluminium_only",
}


def typed_coupon(**changes: str) -> dict[str, str]:
    """Return a whole form as a student fills it in, in shop units."""
    typed = {
        "client_id": str(uuid.uuid4()),
        "alloy": "5052",
        "temper": "H32",
        "metal_0_thickness_mm": "3,2",
        "metal_0_thickness_mm_unit": "mm",
        "filler": "5356",
        "filler_diameter_mm": "2.4",
        "filler_diameter_mm_unit": "mm",
        "filler_condition": "wiped",
        "polarity": "AC",
        "current_a": "135",
        "voltage_v": "14",
        "voltage_read": "display",
        "shielding_gas": "argon",
        "gas_flow_l_min": "17",
        "gas_flow_l_min_unit": "CFH",
        "arc_started_at": "10:10",
        "arc_time_s": "0:36",
        "weld_length_mm": "6",
        "weld_length_mm_unit": "in",
        "crater_filled": "yes",
        "look_answer": "none",
        "fillet_leg_1_mm": "4.2",
        "fillet_leg_2_mm": "3,9",
        "predicted_level": "3",
    }
    return {**typed, **CLEANED, **changes}
