"""The heat family: the figures of every run, how far they can be trusted, what is missing.

The thermal efficiency of a process is relative to submerged arc = 1: a factor to compare with, not
a measured share. On aluminium with AC the true share may lie anywhere from 0.3 to 0.8.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

from weldlog.engine.electrics import Current, square_wave
from weldlog.engine.energy import (
    arc_energy_from_averages,
    arc_energy_from_energy,
    arc_energy_from_power,
    arc_time_s,
    gas_used_l,
    heat_input,
    travel_speed_mm_s,
)
from weldlog.engine.facts import Facts, Process, Run
from weldlog.engine.figures import EnergyMethod, Figures, RunFigures
from weldlog.engine.findings import Case, Finding, NotAssessed, Rule
from weldlog.engine.sources import Sourced
from weldlog.engine.tables import rows

THERMAL_EFFICIENCY: Final[dict[str, Sourced[float]]] = {
    row["process"]: Sourced(float(row["factor"]), row["source"]) for row in rows("efficiencies.tsv")
}

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
STOPS = Rule(
    id="heat-stops",
    severity="advise",
    says="You stopped {stops} time(s). The arc time is the time with the arc on only: take the "
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
RULES: Final = (AVERAGED_METERS, ASSUMED_VOLTS, STOPS, WEAVE)

type LoggedRun = Facts | Run


def figures(facts: Facts) -> Figures:
    """Work out the figures of this family; ``None`` where something that it needs is missing.

    With ``run_list`` the figures are those of the run with the largest heat input.
    """
    current = alternating_current(facts)
    runs = tuple(run_figures(run, facts.process, current) for run in _listed(facts))
    main = _main_run(facts, runs)
    energy = arc_energy(main, current)
    run = run_figures(main, facts.process, current)
    on = _arc_time(main)
    return Figures(
        travel_speed_mm_s=run.travel_speed_mm_s,
        arc_energy_kj_mm=run.arc_energy_kj_mm,
        heat_input_kj_mm=run.heat_input_kj_mm,
        thermal_efficiency=THERMAL_EFFICIENCY[facts.process].value,
        energy_method=energy.method if energy else None,
        mean_current_a=current.mean_a if current else None,
        rms_current_a=current.rms_a if current else None,
        dc_component_a=_dc_component(facts, current),
        arc_time_s=on,
        gas_used_l=_gas_used(facts, on),
        runs=runs,
    )


def run_figures(run: LoggedRun, process: Process, current: Current | None = None) -> RunFigures:
    """Work out the figures of one run; ``current`` is the AC current where it was logged."""
    energy = arc_energy(run, current)
    k = THERMAL_EFFICIENCY[process].value
    return RunFigures(
        travel_speed_mm_s=travel_speed(run),
        arc_energy_kj_mm=energy.kj_mm if energy else None,
        heat_input_kj_mm=heat_input(energy.kj_mm, k) if energy else None,
    )


def travel_speed(run: LoggedRun) -> float | None:
    """Return the travel speed as logged, or from length and time [mm/s]."""
    if run.travel_speed_mm_s is not None:
        return _usable(run.travel_speed_mm_s)
    return derived_speed(run)


def derived_speed(run: LoggedRun) -> float | None:
    """Return the travel speed from length and time alone [mm/s]."""
    length, time = _usable(run.weld_length_mm), _usable(run.arc_time_s)
    return _usable(travel_speed_mm_s(length, time)) if length and time else None


@dataclass(frozen=True, slots=True)
class ArcEnergy:
    """The arc energy of a run [kJ/mm] and how it was found."""

    kj_mm: float
    method: EnergyMethod


def arc_energy(run: LoggedRun, current: Current | None = None) -> ArcEnergy | None:
    """Return the arc energy by the best method that was logged, or None.

    An energy reading over the length is best, then mean power over speed, then volts times amps
    over speed. ``current`` stands in where the run states no current of its own.
    """
    length, speed = _usable(run.weld_length_mm), travel_speed(run)
    energy, power = _usable(run.arc_energy_kj), _usable(run.mean_power_kw)
    volts, amps = _usable(run.voltage_v), _usable(_amps(run, current))
    found: tuple[float | None, EnergyMethod] = (None, "averages")
    if energy and length:
        found = (arc_energy_from_energy(energy, length), "energy")
    elif power and speed:
        found = (arc_energy_from_power(power, speed), "power")
    elif volts and amps and speed:
        found = (arc_energy_from_averages(volts, amps, speed), "averages")
    kj_mm = _usable(found[0])
    return ArcEnergy(kj_mm, found[1]) if kj_mm else None


def alternating_current(facts: Facts) -> Current | None:
    """Return the AC current, from the currents of both halves where both are logged.

    Otherwise the logged current, taken as a square wave with equal halves.
    """
    if not _is_ac(facts):
        return None
    ac, share = facts.ac, _en_share(facts)
    if ac and ac.en_current_a and ac.ep_current_a and share is not None:
        return square_wave(share, ac.en_current_a, ac.ep_current_a)
    if not facts.current_a:
        return None
    # With equal halves the balance changes the DC component only.
    return square_wave(0.5 if share is None else share, facts.current_a, facts.current_a)


def _is_ac(facts: Facts) -> bool:
    return facts.polarity == "AC" or (facts.polarity is None and facts.ac is not None)


def _en_share(facts: Facts) -> float | None:
    percent = facts.ac.en_percent if facts.ac else None
    return percent / 100 if percent is not None and 0 <= percent <= 100 else None


def _dc_component(facts: Facts, current: Current | None) -> float | None:
    return current.dc_component_a if current and _en_share(facts) is not None else None


def _usable(value: float | None) -> float | None:
    """Return the value when it is a number above zero that can be divided by."""
    return value if value is not None and 0 < value < math.inf else None


def _amps(run: LoggedRun, current: Current | None) -> float | None:
    if run.current_a is None and current is not None:
        return current.mean_a
    return run.current_a


def _listed(facts: Facts) -> tuple[Run, ...]:
    """Return the unlike runs; the weld is as long for each of them as for the coupon."""
    return tuple(
        replace(run, weld_length_mm=facts.weld_length_mm) if run.weld_length_mm is None else run
        for run in facts.run_list or ()
    )


def _main_run(facts: Facts, runs: tuple[RunFigures, ...]) -> LoggedRun:
    """Return the run whose figures stand for the coupon: the one with the largest heat input."""
    if not runs:
        return facts
    heats = [run.heat_input_kj_mm or 0.0 for run in runs]
    return _listed(facts)[heats.index(max(heats))]


def _arc_time(run: LoggedRun) -> float | None:
    if run.arc_time_s is not None:
        return _usable(run.arc_time_s)
    length, speed = _usable(run.weld_length_mm), travel_speed(run)
    return _usable(arc_time_s(length, speed)) if length and speed else None


def _gas_used(facts: Facts, arc_time: float | None) -> float | None:
    flow, before, after = facts.gas_flow_l_min, facts.preflow_s, facts.postflow_s
    if flow is None or before is None or after is None or arc_time is None:
        return None
    return _usable(gas_used_l(flow, arc_time, before, after))


def runs(facts: Facts) -> Iterator[tuple[str, LoggedRun]]:
    """Return the coupon and its unlike runs, each with the path of its members."""
    yield "", facts
    for place, run in enumerate(facts.run_list or ()):
        yield f"run_list[{place}].", run


def check(case: Case) -> Iterator[Finding | NotAssessed]:
    """Say how far the figures can be trusted, and what is missing for them."""
    yield from _caveats(case)
    yield from _gaps(case)


def _caveats(case: Case) -> Iterator[Finding]:
    facts = case.facts
    if case.figures.energy_method == "averages":
        if facts.transfer == "pulsed":
            yield AVERAGED_METERS.found()
        if any(run.voltage_read == "assumed" for _, run in runs(facts)):
            yield ASSUMED_VOLTS.found()
    if facts.stops and facts.arc_time_s:
        yield STOPS.found(measured=facts.stops, stops=facts.stops)
    if facts.weave_mm and facts.travel_speed_mm_s:
        yield WEAVE.found(measured=facts.weave_mm)


def _gaps(case: Case) -> Iterator[NotAssessed]:
    facts, found = case.facts, case.figures
    current = alternating_current(facts)
    if facts.run_list:
        for place, run in enumerate(_listed(facts)):
            yield from _run_gaps(run, current, f"run_list[{place}].")
    else:
        yield from _run_gaps(facts, current)
    if _is_ac(facts) and found.dc_component_a is None:
        wanted = {"current_a": facts.current_a, "ac.en_percent": _en_share(facts)}
        yield NotAssessed("direct-current component", _missing(wanted))
    if found.gas_used_l is None:
        wanted = {
            "gas_flow_l_min": facts.gas_flow_l_min,
            "arc_time_s": found.arc_time_s,
            "preflow_s": facts.preflow_s,
            "postflow_s": facts.postflow_s,
        }
        yield NotAssessed("gas used", _missing(wanted))


def _run_gaps(run: LoggedRun, current: Current | None, at: str = "") -> Iterator[NotAssessed]:
    speed: dict[str, float | None] = {}
    if travel_speed(run) is None:
        speed = {"weld_length_mm": run.weld_length_mm, "arc_time_s": run.arc_time_s}
        yield NotAssessed("travel speed", _missing(speed, at))
    if arc_energy(run, current) is None:
        meters = {"current_a": _amps(run, current), "voltage_v": run.voltage_v}
        yield NotAssessed("arc energy and heat input", _missing(meters | speed, at))


def _missing(wanted: dict[str, float | None], at: str = "") -> tuple[str, ...]:
    """Return the members without a usable value, or all of them where each has one."""
    lacking = [name for name, value in wanted.items() if value is None] or list(wanted)
    return tuple(at + name for name in lacking)
