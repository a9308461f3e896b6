"""How much metal a coupon says was fed into its weld, and how much the weld holds."""

from weldlog.engine.facts import Facts, Filler
from weldlog.engine.measured import thickness_mm
from weldlog.engine.metal_balance import (
    GrooveShape,
    deposited_area_mm2,
    fillet_area_mm2,
    rod_area_mm2,
    segment_area_mm2,
)
from weldlog.engine.runs import LoggedRun, counted_runs, travel_speed, usable


def filler_diameter(facts: Facts) -> float | None:
    """Return the diameter of the wire or rod [mm], None where it was not logged."""
    return usable(facts.filler.diameter_mm) if isinstance(facts.filler, Filler) else None


def run_deposit_mm2(run: LoggedRun, facts: Facts) -> float | None:
    """Return the cross-section of the metal that one GMAW run added [mm²]."""
    wire, feed, speed = filler_diameter(facts), usable(run.wire_feed_mm_s), travel_speed(run)
    if wire is None or feed is None or speed is None:
        return None
    return usable(deposited_area_mm2(feed, wire, speed))


def filler_area_mm2(facts: Facts) -> float | None:
    """Return the cross-section of the filler of all runs [mm²], None where it was not logged.

    By the wire of GMAW, and by the rod of GTAW that was used up.
    """
    if facts.process == "GTAW":
        rod, used, length = filler_diameter(facts), usable(facts.rod_used_mm), facts.weld_length_mm
        return usable(rod_area_mm2(used, length, rod)) if rod and used and length else None
    stated, times = counted_runs(facts)
    total = 0.0
    for run in stated:
        added = run_deposit_mm2(run, facts)
        if added is None:
            return None
        total += added
    return usable(total * times)


def groove_of(facts: Facts) -> GrooveShape | None:
    """Return the groove as it was prepared, None where its log lacks something of it."""
    thickness, gap = thickness_mm(facts), facts.root_gap_mm
    if thickness is None or gap is None:
        return None
    if facts.weld == "square_groove":
        return GrooveShape(thickness, gap)
    angle = facts.groove.angle_deg if facts.groove else None
    face = facts.groove.root_face_mm if facts.groove else None
    if facts.weld != "v_groove" or angle is None or face is None or angle >= 180:
        return None
    return GrooveShape(thickness, gap, angle, face)


def measured_area_mm2(facts: Facts) -> float | None:
    """Return the cross-section of the metal that a weld holds beside the plates [mm²].

    A fillet by its legs, and its convexity where that was measured; a groove by its preparation,
    and its cap where width and height were measured.
    """
    if facts.weld == "fillet" or (facts.weld is None and facts.fillet):
        return _fillet_area(facts)
    groove = groove_of(facts)
    if groove is None:
        return None
    width = facts.groove.weld_width_mm if facts.groove else None
    excess = facts.groove.excess_weld_metal_mm if facts.groove else None
    return usable(groove.area_mm2 + (segment_area_mm2(width, excess) if width and excess else 0.0))


def _fillet_area(facts: Facts) -> float | None:
    fillet = facts.fillet
    if fillet is None or not fillet.leg_1_mm or not fillet.leg_2_mm:
        return None
    return usable(fillet_area_mm2(fillet.leg_1_mm, fillet.leg_2_mm, fillet.convexity_mm or 0.0))
