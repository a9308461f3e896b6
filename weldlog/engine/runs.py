"""The runs of a coupon: how fast each went, and with what current and energy.

A coupon with unlike runs lists them; like runs are stated once, for one of them.
"""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from weldlog.engine.electrics import Current, square_wave
from weldlog.engine.energy import (
    arc_energy_from_averages,
    arc_energy_from_energy,
    arc_energy_from_power,
    arc_time_s,
    travel_speed_mm_s,
)
from weldlog.engine.facts import Facts, Run
from weldlog.engine.figures import EnergyMethod

type LoggedRun = Facts | Run


def usable(value: float | None) -> float | None:
    """Return the value when it is a number above zero that can be divided by."""
    return value if value is not None and 0 < value < math.inf else None


def runs(facts: Facts) -> Iterator[tuple[str, LoggedRun]]:
    """Return the coupon and its unlike runs, each with the path of its members."""
    yield "", facts
    for place, run in enumerate(facts.run_list or ()):
        yield f"run_list[{place}].", run


def unlike_runs(facts: Facts) -> tuple[Run, ...]:
    """Return the unlike runs; the weld is as long for each of them as for the coupon."""
    if not facts.run_list:
        return ()
    return tuple(
        replace(run, weld_length_mm=facts.weld_length_mm) if run.weld_length_mm is None else run
        for run in facts.run_list
    )


def counted_runs(facts: Facts) -> tuple[tuple[LoggedRun, ...], int]:
    """Return the runs that were stated, and how often each of them was welded."""
    unlike = unlike_runs(facts)
    return (unlike, 1) if unlike else ((facts,), facts.runs or 1)


def travel_speed(run: LoggedRun) -> float | None:
    """Return the travel speed as logged, or from length and time [mm/s]."""
    if run.travel_speed_mm_s is not None:
        return usable(run.travel_speed_mm_s)
    return derived_speed(run)


def derived_speed(run: LoggedRun) -> float | None:
    """Return the travel speed from length and time alone [mm/s]."""
    length, time = usable(run.weld_length_mm), usable(run.arc_time_s)
    return usable(travel_speed_mm_s(length, time)) if length and time else None


def time_with_arc_s(run: LoggedRun) -> float | None:
    """Return the arc time as logged, or from length and travel speed [s]."""
    if run.arc_time_s is not None:
        return usable(run.arc_time_s)
    length, speed = usable(run.weld_length_mm), travel_speed(run)
    return usable(arc_time_s(length, speed)) if length and speed else None


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
    length, speed = usable(run.weld_length_mm), travel_speed(run)
    energy, power = usable(run.arc_energy_kj), usable(run.mean_power_kw)
    volts, amps = usable(run.voltage_v), usable(amps_of(run, current))
    found: tuple[float | None, EnergyMethod] = (None, "averages")
    if energy and length:
        found = (arc_energy_from_energy(energy, length), "energy")
    elif power and speed:
        found = (arc_energy_from_power(power, speed), "power")
    elif volts and amps and speed:
        found = (arc_energy_from_averages(volts, amps, speed), "averages")
    kj_mm = usable(found[0])
    return ArcEnergy(kj_mm, found[1]) if kj_mm else None


def amps_of(run: LoggedRun, current: Current | None) -> float | None:
    """Return the current of a run that every figure uses [A].

    The mean of the AC of the coupon where both halves say it, or where the run states none.
    """
    if current is not None and (run.current_a is None or _has_halves(run)):
        return current.mean_a
    return run.current_a


def _has_halves(run: LoggedRun) -> bool:
    """Return whether both halves of the AC are logged, with their share; a run has none."""
    if not isinstance(run, Facts) or run.ac is None or en_share(run) is None:
        return False
    return bool(run.ac.en_current_a and run.ac.ep_current_a)


def total_energy_kj(facts: Facts, current: Current | None) -> float | None:
    """Return the electrical energy of all runs together [kJ], None where one of them lacks it."""
    stated, times = counted_runs(facts)
    total = 0.0
    for run in stated:
        energy, length = arc_energy(run, current), usable(run.weld_length_mm)
        if energy is None or length is None:
            return None
        total += energy.kj_mm * length
    return usable(total * times)


def alternating_current(facts: Facts) -> Current | None:
    """Return the AC current, from the currents of both halves where both are logged.

    Otherwise the logged current, taken as a square wave with equal halves.
    """
    if not is_ac(facts):
        return None
    ac, share = facts.ac, en_share(facts)
    if ac and ac.en_current_a and ac.ep_current_a and share is not None:
        return square_wave(share, ac.en_current_a, ac.ep_current_a)
    if not facts.current_a:
        return None
    # With equal halves the balance changes the DC component only.
    return square_wave(0.5 if share is None else share, facts.current_a, facts.current_a)


def is_ac(facts: Facts) -> bool:
    """Return whether a coupon was welded on alternating current, said or implied."""
    return facts.polarity == "AC" or (facts.polarity is None and facts.ac is not None)


def en_share(facts: Facts) -> float | None:
    """Return the electrode-negative share of the cycle [0 to 1]."""
    percent = facts.ac.en_percent if facts.ac else None
    return percent / 100 if percent is not None and 0 <= percent <= 100 else None


def missing(wanted: dict[str, float | None], at: str = "") -> tuple[str, ...]:
    """Return the members without a value, or all of them where each has one."""
    lacking = [name for name, value in wanted.items() if value is None] or list(wanted)
    return tuple(at + name for name in lacking)
