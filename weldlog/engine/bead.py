"""The bead family: does the filler that was fed match the weld that was measured?

Nothing is rejected by it. Printed settings are themselves not sure of their metal to better than a
factor of four in area, which is a factor of two in the leg, so that a weld far off is asked about:
a unit, the size of the wire or the count of runs is then the likelier cause. Whether the wire feed
suits the current is asked by the entry family; legs, throat, convexity and cap are judged by the
limits of the inspection family; a hollow face is spoken of by the filler family.
"""

from collections.abc import Iterator
from typing import Any, Final

from weldlog.engine.bead_gaps import gaps
from weldlog.engine.facts import NO_FILLER, Facts
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.heat import main_run
from weldlog.engine.metal import (
    filler_area_mm2,
    filler_diameter,
    measured_area_mm2,
    run_deposit_mm2,
)
from weldlog.engine.metal_balance import (
    AREA_SOFT,
    DEPOSITION_EFFICIENCY,
    LEG_HARD,
    LEG_SOFT,
    burn_off_mm3_per_a_s,
    fillet_leg_mm,
    rod_length_mm,
)
from weldlog.engine.plausibility import band
from weldlog.engine.runs import LoggedRun, counted_runs, travel_speed, usable
from weldlog.engine.written import in_units

LEG_AGAINST_WIRE = Rule(
    id="bead-leg-against-wire",
    severity="warn",
    says="The wire feed and the travel speed that you logged make a fillet with legs of about "
    "{expected_text}, but the legs that you measured are about {measured_text}. Check wire feed, "
    "travel speed, wire size and the count of runs, or measure the legs again.",
    source="heat-S25",
    fields=("fillet.leg_1_mm", "fillet.leg_2_mm", "wire_feed_mm_s", "filler.diameter_mm", "runs"),
)
LEG_FAR_FROM_WIRE = Rule(
    id="bead-leg-far-from-wire",
    severity="warn",
    says="The wire feed and the travel speed that you logged make a fillet with legs of about "
    "{expected_text}, but the legs that you measured are about {measured_text}. A wrong unit, "
    "another wire size or several runs logged as one would explain that: how many runs did you "
    "weld?",
    source="heat-S25",
    fields=LEG_AGAINST_WIRE.fields,
)
ROD_AGAINST_WELD = Rule(
    id="bead-rod-against-weld",
    severity="warn",
    says="You logged {used_text} of rod, and a weld of this size takes about {needed_text}. Check "
    "the length and the diameter of the rod and the legs; stubs that were left over do not count.",
    source="practice",
    fields=("rod_used_mm", "filler.diameter_mm", "fillet.leg_1_mm", "fillet.leg_2_mm"),
)
RULES: Final = (LEG_AGAINST_WIRE, LEG_FAR_FROM_WIRE, ROD_AGAINST_WELD)


def figures(facts: Facts) -> dict[str, Any]:
    """Return the members of ``Figures`` of this family; ``None`` where something is missing.

    With ``run_list`` the figures of one run are those of the run with the largest heat input.
    """
    measured = measured_area_mm2(facts)
    if facts.process == "GTAW":
        return {"measured_area_mm2": measured, "rod_length_mm": _rod_length(facts, measured)}
    run = main_run(facts)
    return {
        "measured_area_mm2": measured,
        "deposited_area_mm2": run_deposit_mm2(run, facts),
        "deposition_efficiency": DEPOSITION_EFFICIENCY.value,
        "deposition_efficiency_source": DEPOSITION_EFFICIENCY.source,
        "expected_leg_mm": _expected_leg(facts),
        "burn_off_mm3_per_a_s": _burn_off(run, facts),
    }


def _expected_leg(facts: Facts) -> float | None:
    """Return the leg of the flat fillet that the wire makes [mm]; only of what may be a fillet."""
    if facts.weld not in (None, "fillet") or facts.joint in ("butt", "bead_on_plate", "edge"):
        return None
    area = filler_area_mm2(facts)
    return fillet_leg_mm(area) if area else None


def _burn_off(run: LoggedRun, facts: Facts) -> float | None:
    wire, feed, current = filler_diameter(facts), usable(run.wire_feed_mm_s), usable(run.current_a)
    if wire is None or feed is None or current is None:
        return None
    return usable(burn_off_mm3_per_a_s(feed, wire, current))


def _rod_length(facts: Facts, area_mm2: float | None) -> float | None:
    rod, length = filler_diameter(facts), usable(facts.weld_length_mm)
    if area_mm2 is None or rod is None or length is None:
        return None
    return usable(rod_length_mm(area_mm2, length, rod))


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Hold the filler against the weld, and say what is missing for the metal balance."""
    if case.facts.filler is NO_FILLER:
        return
    yield from _leg_against_wire(case)
    yield from _rod_against_weld(case)
    yield from gaps(case)


def _leg_against_wire(case: Case) -> Iterator[Finding | NotAssessed]:
    expected, area = case.figures.expected_leg_mm, case.figures.measured_area_mm2
    if expected is None or area is None:
        return
    measured = fillet_leg_mm(area)
    ratio = measured / expected
    if LEG_SOFT[0] <= ratio <= LEG_SOFT[1] or _questioned(case.facts):
        return
    far = not LEG_HARD[0] <= ratio <= LEG_HARD[1]
    limits = LEG_HARD if far else LEG_SOFT
    yield (LEG_FAR_FROM_WIRE if far else LEG_AGAINST_WIRE).found(
        measured=measured,
        limit=expected * limits[ratio > 1],
        expected=expected,
        expected_text=in_units(expected, "mm"),
        measured_text=in_units(measured, "mm"),
    )
    if ratio > 1 and case.facts.runs is None and not case.facts.run_list:
        yield NotAssessed("metal of all runs", ("runs",))


def _questioned(facts: Facts) -> bool:
    """Return whether a number is unusual alone: the entry family asks about it then."""
    wire = filler_diameter(facts)
    logged = [("filler.diameter_mm", wire)] if wire else []
    for run in counted_runs(facts)[0]:
        logged.append(("wire_feed_mm_s", run.wire_feed_mm_s or 0.0))
        logged.append(("travel_speed_mm_s", travel_speed(run) or 0.0))
    bands = ((band(facts.process, member), value) for member, value in logged)
    return any(usual and not usual.is_usual(value) for usual, value in bands)


def _rod_against_weld(case: Case) -> Iterator[Finding]:
    """Only of a fillet: how much of a groove is cap and root is seldom measured."""
    used, needed = case.facts.rod_used_mm, case.figures.rod_length_mm
    if not used or needed is None or case.facts.weld not in (None, "fillet"):
        return
    low, high = AREA_SOFT
    if not low <= used / needed <= high:
        yield ROD_AGAINST_WELD.found(
            measured=used,
            limit=needed * (low if used < needed else high),
            used=used,
            needed=needed,
            used_text=in_units(used, "mm"),
            needed_text=in_units(needed, "mm"),
        )
