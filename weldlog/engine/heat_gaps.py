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
    total_energy_kj,
    travel_speed,
    unlike_runs,
)


def gaps(case: Case) -> Iterator[NotAssessed]:
    """Name each figure that could not be worked out, and the members that it lacks."""
    facts, found = case.facts, case.figures
    current = alternating_current(facts)
    if facts.run_list:
        for place, run in enumerate(unlike_runs(facts)):
            yield from _of_run(run, current, f"run_list[{place}].")
    else:
        yield from _of_run(facts, current)
    if is_ac(facts) and found.dc_component_a is None:
        wanted = {"current_a": facts.current_a, "ac.en_percent": en_share(facts)}
        yield NotAssessed("direct-current component", missing(wanted))
    if found.gas_used_l is None:
        yield _gas_used(case)
    if found.bulk_rise_upper_bound_k is None:
        yield _bulk_rise(case, current)


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


def _bulk_rise(case: Case, current: Current | None) -> NotAssessed:
    facts = case.facts
    wanted = {
        "plate_length_mm": facts.plate_length_mm,
        "plate_width_mm": facts.plate_width_mm,
        "base_metals.thickness_mm": thickness_mm(facts),
        "weld_length_mm": facts.weld_length_mm,
        "arc_energy_kj": total_energy_kj(facts, current),
    }
    return NotAssessed("warming of the whole coupon", missing(wanted))
