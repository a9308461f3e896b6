"""What is missing for the figures of heat, current and gas."""

from collections.abc import Iterator

from weldlog.engine.electrics import Current
from weldlog.engine.findings import Case, NotAssessed
from weldlog.engine.measured import thickness_mm
from weldlog.engine.runs import (
    LoggedRun,
    alternating_current,
    amps_of,
    arc_energy,
    en_share,
    is_ac,
    missing,
    travel_speed,
    unlike_runs,
)


def gaps(case: Case) -> Iterator[NotAssessed]:
    """Name each figure that could not be worked out, and the members that it lacks."""
    facts, found = case.facts, case.figures
    if facts.run_list:
        current = alternating_current(facts)
        for place, run in enumerate(unlike_runs(facts)):
            yield from _of_run(run, current, f"run_list[{place}].")
    elif found.travel_speed_mm_s is None or found.arc_energy_kj_mm is None:
        yield from _of_run(facts, alternating_current(facts))
    if found.dc_component_a is None and is_ac(facts):
        wanted = {"current_a": facts.current_a, "ac.en_percent": en_share(facts)}
        yield NotAssessed("direct-current component", missing(wanted))
    if found.gas_used_l is None:
        yield _gas_used(case)
    if found.bulk_rise_upper_bound_k is None:
        yield _bulk_rise(case)


def _of_run(run: LoggedRun, current: Current | None, at: str = "") -> Iterator[NotAssessed]:
    speed: dict[str, float | None] = {}
    if travel_speed(run) is None:
        speed = {"weld_length_mm": run.weld_length_mm, "arc_time_s": run.arc_time_s}
        yield NotAssessed("travel speed", missing(speed, at))
    if arc_energy(run, current) is None:
        meters = {"current_a": amps_of(run, current), "voltage_v": run.voltage_v}
        yield NotAssessed("arc energy and heat input", missing(meters | speed, at))


def _gas_used(case: Case) -> NotAssessed:
    facts = case.facts
    wanted = {
        "gas_flow_l_min": facts.gas_flow_l_min,
        "arc_time_s": case.figures.arc_time_s,
        "preflow_s": facts.preflow_s,
        "postflow_s": facts.postflow_s,
    }
    return NotAssessed("gas used", missing(wanted))


def _bulk_rise(case: Case) -> NotAssessed:
    facts, found = case.facts, case.figures
    energies = [each.arc_energy_kj_mm for each in found.runs or (found,)]
    wanted = {
        "plate_length_mm": facts.plate_length_mm,
        "plate_width_mm": facts.plate_width_mm,
        "base_metals.thickness_mm": thickness_mm(facts),
        "weld_length_mm": facts.weld_length_mm,
        "arc_energy_kj": None if None in energies else found.arc_energy_kj_mm,
    }
    return NotAssessed("warming of the whole coupon", missing(wanted))
