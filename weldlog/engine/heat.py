"""The heat family: the figures of every run, how far they can be trusted, what is missing.

The thermal efficiency of a process is relative to submerged arc = 1: a factor to compare with, not
a measured share. On aluminium with AC the true share may lie anywhere from 0.3 to 0.8.
"""

from collections.abc import Iterator
from functools import lru_cache
from typing import Any, Final

from weldlog.engine.alloys import find
from weldlog.engine.condensation import condensation_humidity_percent
from weldlog.engine.conduction import bulk_rise_k
from weldlog.engine.electrics import Current, conventional_load_voltage, tungsten_share
from weldlog.engine.energy import gas_used_l, heat_input
from weldlog.engine.facts import Facts, Process
from weldlog.engine.figures import RunFigures
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.heat_gaps import gaps
from weldlog.engine.measured import thickness_mm
from weldlog.engine.runs import (
    LoggedRun,
    alternating_current,
    arc_energy,
    en_share,
    is_ac,
    runs,
    time_with_arc_s,
    total_energy_kj,
    travel_speed,
    unlike_runs,
    usable,
)
from weldlog.engine.sources import Sourced
from weldlog.engine.stock import series
from weldlog.engine.tables import rows
from weldlog.engine.written import NO_BREAK_SPACE, in_units, plain

THERMAL_EFFICIENCY: Final[dict[str, Sourced[float]]] = {
    row["process"]: Sourced(float(row["factor"]), row["source"]) for row in rows("efficiencies.tsv")
}
LARGE_RISE_K: Final = 100.0
"""Warming of the whole coupon, no heat lost, from which it is told to cool [K]: a coupon from a
warm room may then be past the 120 degrees C that it should have between runs; common practice."""
LARGEST_RISE_K: Final = 640.0
"""From 20 degrees C to where pure aluminum, the last to melt, melts [K]: what is more was lost on
the way, and the bound ends here (heat-S41 gives 660 degrees C)."""

AVERAGED_METERS = Rule(
    id="heat-averaged-meters",
    severity="advise",
    says="Pulsed current on ordinary meters: the arc energy may be off by up to about 30 %, either "
    "way. If the machine shows the energy in kJ or the mean power in kW, log that instead.",
    source="heat-S7",
    fields=("transfer", "current_a", "voltage_v"),
)
ASSUMED_VOLTS = Rule(
    id="heat-assumed-volts",
    severity="advise",
    says="The volts were assumed, not read, so the arc energy is an estimate. Read them at the arc "
    "or on the display next time.",
    source="memory-iec-60974-1",
    fields=("voltage_v", "voltage_read"),
)
NO_VOLTS = Rule(
    id="heat-no-volts",
    severity="advise",
    says="No arc volts were logged, so there is no arc energy. Read them at the arc or on the "
    "display. Where there is no meter, about {volts_text}, at which power sources are tested with "
    "{current_text}, may be logged as assumed, never as read.",
    source="memory-iec-60974-1",
    fields=("current_a", "voltage_v"),
)
STOPS = Rule(
    id="heat-stops",
    severity="advise",
    says="You stopped {times}. The arc time is the time with the arc on only: take the "
    "pauses off it, or the travel speed comes out too low and the arc energy too high.",
    source="practice",
    fields=("stops", "arc_time_s"),
)
WEAVE = Rule(
    id="heat-weave",
    severity="advise",
    says="You weaved. Travel speed is measured along the joint, not along the path of the torch: "
    "if you are not sure, log the length of the bead and the arc time instead.",
    source="practice",
    fields=("weave_mm", "travel_speed_mm_s"),
)
BULK_RISE = Rule(
    id="heat-bulk-rise",
    severity="advise",
    says="If none of its heat had been lost, this weld could have warmed the whole coupon by up to "
    "{rise_text}. Let it cool before the next run, and do not touch it to find out: hot aluminum "
    "looks like cold.",
    source="practice",
    fields=("plate_length_mm", "plate_width_mm", "base_metals.thickness_mm"),
)
SOFTENED_ZONE = Rule(
    id="heat-softened-zone",
    severity="advise",
    says="Treat {alloy} in a T6 temper as softened for 25 mm (1 in) on either side of the weld, "
    "however well it was made: welding heat undoes that temper. Do not count on the full strength "
    "of the plate there.",
    source="heat-S43",
    fields=("base_metals.alloy", "base_metals.temper"),
)
RULES: Final = (
    AVERAGED_METERS,
    ASSUMED_VOLTS,
    NO_VOLTS,
    STOPS,
    WEAVE,
    BULK_RISE,
    SOFTENED_ZONE,
)


def figures(facts: Facts) -> dict[str, Any]:
    """Return the members of ``Figures`` of this family; ``None`` where something is missing.

    With ``run_list`` the figures are those of the run with the largest heat input.
    """
    current = alternating_current(facts)
    of_runs = tuple(run_figures(run, facts.process, current) for run in unlike_runs(facts))
    main = _hottest(facts, of_runs)
    energy, on = arc_energy(main, current), time_with_arc_s(main)
    efficiency = THERMAL_EFFICIENCY[facts.process]
    return {
        "travel_speed_mm_s": travel_speed(main),
        "arc_energy_kj_mm": energy.kj_mm if energy else None,
        "heat_input_kj_mm": heat_input(energy.kj_mm, efficiency.value) if energy else None,
        "thermal_efficiency": efficiency.value,
        "thermal_efficiency_source": efficiency.source,
        "energy_method": energy.method if energy else None,
        "mean_current_a": current.mean_a if current else None,
        "rms_current_a": current.rms_a if current else None,
        "dc_component_a": _dc_component(facts, current),
        "tungsten_heat_share_percent": _tungsten_heat_share(facts),
        "arc_time_s": on,
        "gas_used_l": _gas_used(facts, on),
        "bulk_rise_upper_bound_k": _bulk_rise(facts, current),
        "condensation_humidity_percent": _condensation(facts),
        "runs": of_runs,
    }


def run_figures(run: LoggedRun, process: Process, current: Current | None = None) -> RunFigures:
    """Work out the figures of one run; ``current`` is the AC current where it was logged."""
    energy = arc_energy(run, current)
    k = THERMAL_EFFICIENCY[process].value
    return RunFigures(
        travel_speed_mm_s=travel_speed(run),
        arc_energy_kj_mm=energy.kj_mm if energy else None,
        heat_input_kj_mm=heat_input(energy.kj_mm, k) if energy else None,
    )


def main_run(facts: Facts) -> LoggedRun:
    """Return the run whose figures stand for the coupon: the one with the largest heat input."""
    if not facts.run_list:
        return facts
    return _hottest(facts, figures(facts)["runs"])


def _hottest(facts: Facts, of_runs: tuple[RunFigures, ...]) -> LoggedRun:
    if not of_runs:
        return facts
    heats = [run.heat_input_kj_mm or 0.0 for run in of_runs]
    return unlike_runs(facts)[heats.index(max(heats))]


def _dc_component(facts: Facts, current: Current | None) -> float | None:
    return current.dc_component_a if current and en_share(facts) is not None else None


def _tungsten_heat_share(facts: Facts) -> float | None:
    """Return the share of the heat in the tungsten by the teaching model [percent]."""
    ac, share = facts.ac, en_share(facts)
    if facts.process != "GTAW" or ac is None or share is None or not is_ac(facts):
        return None
    if ac.en_current_a and ac.ep_current_a:
        return 100 * tungsten_share(share, ac.en_current_a, ac.ep_current_a)
    return 100 * tungsten_share(share)


def _gas_used(facts: Facts, arc_time: float | None) -> float | None:
    flow, before, after = facts.gas_flow_l_min, facts.preflow_s, facts.postflow_s
    if flow is None or before is None or after is None or arc_time is None:
        return None
    return usable(gas_used_l(flow, arc_time, before, after))


def _bulk_rise(facts: Facts, current: Current | None) -> float | None:
    """Return how much the coupon warms when no heat is lost, at most until it melts [K].

    The volume is that of one plate, so that the bound holds for a joint of two as well.
    """
    length, width = usable(facts.plate_length_mm), usable(facts.plate_width_mm)
    thickness = usable(thickness_mm(facts)) if length and width else None
    if not (length and width and thickness):
        return None
    energy = total_energy_kj(facts, current)
    if energy is None:
        return None
    heat_kj = heat_input(energy, THERMAL_EFFICIENCY[facts.process].value)
    rise = usable(bulk_rise_k(heat_kj, length * width * thickness))
    return min(rise, LARGEST_RISE_K) if rise else None


def _condensation(facts: Facts) -> float | None:
    if facts.air_c is None or facts.metal_c is None:
        return None
    return condensation_humidity_percent(facts.air_c, facts.metal_c)


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Say how far the figures can be trusted, what the heat did, and what is missing."""
    yield from _caveats(case)
    yield from _warming(case)
    yield from gaps(case)


def _caveats(case: Case) -> Iterator[Finding]:
    facts = case.facts
    if case.figures.energy_method == "averages":
        if facts.transfer == "pulsed":
            yield AVERAGED_METERS.found()
        if any(run.voltage_read == "assumed" for _, run in runs(facts)):
            yield ASSUMED_VOLTS.found()
    elif facts.voltage_v is None and facts.current_a and case.figures.arc_energy_kj_mm is None:
        yield _no_volts(facts.process, facts.current_a)
    if facts.stops and facts.arc_time_s:
        times = {1: "once", 2: "twice"}.get(facts.stops, f"{facts.stops} times")
        yield STOPS.found(measured=facts.stops, stops=facts.stops, times=times)
    if facts.weave_mm and facts.travel_speed_mm_s:
        yield WEAVE.found(measured=facts.weave_mm)


def _no_volts(process: Process, current_a: float) -> Finding:
    volts = conventional_load_voltage(process, current_a)
    return NO_VOLTS.found(
        measured=current_a,
        volts=volts,
        volts_text=in_units(volts, "V"),
        current_text=in_units(current_a, "A"),
    )


def _warming(case: Case) -> Iterator[Finding]:
    rise = case.figures.bulk_rise_upper_bound_k
    if rise is not None and rise >= LARGE_RISE_K:
        yield BULK_RISE.found(measured=rise, limit=LARGE_RISE_K, rise_text=_rise_text(rise))
    for side in case.facts.base_metals or ():
        softened = _softened(side.alloy, side.temper)
        if softened:
            yield softened
            return


def _rise_text(rise_k: float) -> str:
    """Write a rise with two figures, in both units; a step of a degree is one kelvin."""
    space = NO_BREAK_SPACE
    rise = f"{plain(rise_k, 2)}{space}°C ({plain(round(1.8 * rise_k, -1), 3)}{space}°F)"
    return f"about {rise}" if rise_k < LARGEST_RISE_K else f"{rise}, where it would melt"


@lru_cache(maxsize=512)
def _softened(alloy: str | None, temper: str | None) -> Finding | None:
    """Speak of the soft zone where a side is 6xxx in a T6 temper, however that was typed."""
    typed = f"{alloy or ''} {temper or ''}".strip().upper()
    if series(alloy) != "6" or "T6" not in typed:
        return None
    known = find(alloy or "")
    return SOFTENED_ZONE.found(measured=typed, alloy=known.designation if known else "6xxx")
