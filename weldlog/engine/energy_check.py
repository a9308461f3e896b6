"""The energy and the power that were shown, against volts, current and time, and each other."""

from collections.abc import Iterable, Iterator, Set
from typing import Final, NamedTuple

from weldlog.engine.electrics import Current
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Finding, Rule, Severity
from weldlog.engine.runs import (
    LoggedRun,
    alternating_current,
    amps_of,
    time_with_arc_s,
    unlike_runs,
    usable,
)
from weldlog.engine.sources import Sourced
from weldlog.engine.written import in_units

METERS_DIFFER: Final = Sourced(0.30, "heat-S7")
"""How far volts times amps may be off, either way, where the current pulses."""
READINGS_DIFFER_SOFT: Final = Sourced(0.05, "practice")
READINGS_DIFFER_HARD: Final = Sourced(0.20, "practice")

ENERGY_DISAGREES = Rule(
    id="entry-energy-disagrees",
    severity="warn",
    says="Check the entry: volts, amps and arc time give about {derived_text}, the machine's "
    "energy was logged as {logged_text}. Meters explain up to about 30 %; the figures use the "
    "energy. Check it, the volts, the current and the arc time.",
    source="heat-S7",
    fields=("arc_energy_kj", "voltage_v", "current_a", "arc_time_s"),
)
POWER_DISAGREES = Rule(
    id="entry-power-disagrees",
    severity="warn",
    says="Check the entry: volts and amps give about {derived_text}, the machine's mean power was "
    "logged as {logged_text}. Meters explain up to about 30 %. Check it, the volts and the "
    "current.",
    source="heat-S7",
    fields=("mean_power_kw", "voltage_v", "current_a"),
)
READINGS_DISAGREE = Rule(
    id="entry-energy-and-power",
    severity="warn",
    says="Check the entry: mean power over the arc time gives {derived_text}, the machine's energy "
    "was logged as {logged_text}. The figures use the energy. Check both and the arc time.",
    source="practice",
    fields=("arc_energy_kj", "mean_power_kw", "arc_time_s"),
)
RULES: Final = (ENERGY_DISAGREES, POWER_DISAGREES, READINGS_DISAGREE)


class Readings(NamedTuple):
    """What tells the energy of one run: readings, meters and time [kJ, kW, kW, s]."""

    energy_kj: float | None
    power_kw: float | None
    volts_amps_kw: float | None
    time_s: float | None


def check(facts: Facts, questioned: Set[str]) -> Iterator[Finding]:
    """Hold the readings of energy and power against each other and against the meters.

    Of one run the first disagreement is told. Volts that nobody read are held against nothing.
    """
    stated: Iterable[tuple[str, LoggedRun]] = (("", facts),)
    if facts.run_list:
        stated = [(f"run_list[{n}].", run) for n, run in enumerate(unlike_runs(facts))]
    for at, run in stated:
        if run.arc_energy_kj is not None or run.mean_power_kw is not None:
            told = (_finding(at, *each) for each in _apart(run, alternating_current(facts)))
            first = next(told, None)
            if first and questioned.isdisjoint(first.fields):
                yield first


def _apart(
    run: LoggedRun, current: Current | None
) -> Iterator[tuple[Rule, float, float, str, Severity]]:
    """Return what disagrees: the rule, what was logged, what follows, the unit, how loudly."""
    energy, power, meters, time = _readings(run, current)
    if energy and power and time:
        differ = abs(energy / (power * time) - 1)
        if differ > READINGS_DIFFER_SOFT.value:
            loud: Severity = "stop" if differ > READINGS_DIFFER_HARD.value else "warn"
            yield READINGS_DISAGREE, energy, power * time, "kJ", loud
    if energy and meters and time and _off(energy, meters * time):
        yield ENERGY_DISAGREES, energy, meters * time, "kJ", "warn"
    if power and meters and _off(power, meters):
        yield POWER_DISAGREES, power, meters, "kW", "warn"


def _readings(run: LoggedRun, current: Current | None) -> Readings:
    volts = usable(run.voltage_v) if run.voltage_read != "assumed" else None
    amps = usable(amps_of(run, current))
    meters = usable(volts * amps / 1000) if volts and amps else None
    energy, power = usable(run.arc_energy_kj), usable(run.mean_power_kw)
    return Readings(energy, power, meters, time_with_arc_s(run))


def _off(shown: float, worked_out: float) -> bool:
    return abs(shown / worked_out - 1) > METERS_DIFFER.value


def _finding(
    at: str, rule: Rule, logged: float, derived: float, unit: str, severity: Severity
) -> Finding:
    return rule.found(
        severity=severity,
        fields=tuple(at + name for name in rule.fields),
        measured=logged,
        limit=derived,
        logged=logged,
        derived=derived,
        logged_text=in_units(logged, unit),
        derived_text=in_units(derived, unit, unlike=logged),
    )
