"""What is missing for the figures of the metal balance."""

from collections.abc import Iterator

from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case, NotAssessed
from weldlog.engine.heat import main_run
from weldlog.engine.measured import thickness_mm
from weldlog.engine.metal import filler_area_mm2, filler_diameter
from weldlog.engine.runs import counted_runs, missing, travel_speed, usable


def gaps(case: Case) -> Iterator[NotAssessed]:
    """Name each figure of the metal balance that lacks something, and the members it lacks."""
    facts, found = case.facts, case.figures
    held = _missing_of_area(facts) if found.measured_area_mm2 is None else ()
    if held:
        yield NotAssessed("metal that the weld holds", held)
    if facts.process == "GTAW":
        if found.rod_length_mm is None and facts.weld in ("fillet", "square_groove", "v_groove"):
            yield from _missing_of_rod(facts, held)
        return
    if filler_area_mm2(facts) is None:
        yield NotAssessed("metal that the wire adds", tuple(_missing_of_wire(facts)))
    if found.burn_off_mm3_per_a_s is None:
        run = main_run(facts)
        wanted = {"wire_feed_mm_s": run.wire_feed_mm_s, "current_a": run.current_a}
        yield NotAssessed(
            "wire melted for each amp",
            missing(wanted | {"filler.diameter_mm": filler_diameter(facts)}),
        )


def _missing_of_area(facts: Facts) -> tuple[str, ...]:
    """Return what is missing for the metal of a weld; nothing where that is no question."""
    fillet, groove = facts.fillet, facts.groove
    wanted: dict[str, float | None] = {}
    if facts.weld == "fillet":
        wanted["fillet.leg_1_mm"] = usable(fillet.leg_1_mm) if fillet else None
        wanted["fillet.leg_2_mm"] = usable(fillet.leg_2_mm) if fillet else None
    elif facts.weld in ("square_groove", "v_groove"):
        wanted["base_metals.thickness_mm"] = thickness_mm(facts)
        wanted["root_gap_mm"] = facts.root_gap_mm
    if facts.weld == "v_groove":
        wanted["groove.angle_deg"] = groove.angle_deg if groove else None
        wanted["groove.root_face_mm"] = groove.root_face_mm if groove else None
    return tuple(name for name, value in wanted.items() if value is None)


def _missing_of_rod(facts: Facts, held: tuple[str, ...]) -> Iterator[NotAssessed]:
    wanted = {"filler.diameter_mm": filler_diameter(facts), "weld_length_mm": facts.weld_length_mm}
    lacking = (*held, *(name for name, value in wanted.items() if value is None))
    if lacking:
        yield NotAssessed("rod that the weld takes", lacking)


def _missing_of_wire(facts: Facts) -> Iterator[str]:
    if filler_diameter(facts) is None:
        yield "filler.diameter_mm"
    for place, run in enumerate(counted_runs(facts)[0]):
        at = f"run_list[{place}]." if facts.run_list else ""
        if usable(run.wire_feed_mm_s) is None:
            yield at + "wire_feed_mm_s"
        if travel_speed(run) is None:
            speed = {"weld_length_mm": run.weld_length_mm, "arc_time_s": run.arc_time_s}
            yield from missing(speed, at)
