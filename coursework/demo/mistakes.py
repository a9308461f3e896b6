"""What students get wrong: habits that fade over the weeks, accidents, and slips of the pen."""

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any, Final

from coursework.demo.coupons import Looks
from coursework.demo.logbook import Log

type Change = Callable[[Log, random.Random], None]
type Suits = Callable[[Log], bool]


def _always(_log: Log) -> bool:
    return True


def _tig(log: Log) -> bool:
    return bool(log.document["process"] == "GTAW")


def _wire(log: Log) -> bool:
    return not _tig(log)


def _filled(log: Log) -> bool:
    return bool(log.document["filler"])


def _metal(*alloys: str) -> Suits:
    return lambda log: log.metal["alloy"] in alloys and _filled(log)


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing that goes wrong.

    Parameters
    ----------
    name : str
        What it is called here.
    change : callable
        Changes the log.
    brings : dict
        How likely each imperfection becomes.
    often : tuple of float
        A habit: how likely it is with no care, and with every care.
    times : int
        An accident or a slip: how often it happens in the term.
    suits : callable
        Whether it can happen to this coupon.
    """

    name: str
    change: Change
    brings: Looks = field(default_factory=dict)
    often: tuple[float, float] = (0.0, 0.0)
    times: int = 0
    suits: Suits = _always

    def odds(self, care: float) -> float:
        """Return how likely the habit is."""
        early, late = self.often
        return late + (early - late) * (1 - care)


def _state(**members: Any) -> Change:
    return lambda log, _chance: log.state(**members)


def _typed(path: str, quantity: str, number: float, unit: str, digits: int = 0) -> Change:
    return lambda log, _chance: log.measure(path, quantity, number, unit, digits)


def _in_step(step: str, **values: str) -> Change:
    return lambda log, _chance: log.step(step).update(values)


def _did(step: str) -> Suits:
    return lambda log: bool(log.step(step))


def _without(*steps: str) -> Change:
    return lambda log, _chance: log.leave_out(*steps)


# --- cleaning


def _brush_first(log: Log, _chance: random.Random) -> None:
    """Swap brush and wipe; the times of day stay in order."""
    times = [each.get("at") for each in log.steps]
    order = sorted(log.steps, key=lambda each: each["step"] != "remove_oxide")
    for each, at in zip(order, times, strict=True):
        if at:
            each["at"] = at
    log.state(cleaning=order)


def _clean_yesterday(log: Log, chance: random.Random) -> None:
    earlier = timedelta(hours=chance.randint(20, 23))
    for each in log.steps:
        if "at" in each:
            each["at"] = (datetime.fromisoformat(each["at"]) - earlier).isoformat()


def _no_times(log: Log, _chance: random.Random) -> None:
    log.forget("arc_started_at")
    for each in log.steps:
        each.pop("at", None)


def _cold_metal(log: Log, chance: random.Random) -> None:
    log.measure("air_c", "temperature", chance.randint(66, 70), "°F")
    log.measure("metal_c", "temperature", chance.randint(34, 40), "°F")
    log.measure("relative_humidity_percent", "percent", chance.randint(58, 70), "%")


# --- set-up and filler


def _other_filler(log: Log, _chance: random.Random) -> None:
    log.state(filler__designation="4043")


def _no_filler(log: Log, _chance: random.Random) -> None:
    log.state(filler=None)
    log.typed.pop("filler.diameter_mm", None)


def _scrap(log: Log, _chance: random.Random) -> None:
    log.state(base_metals__0__alloy="2024")
    log.state(base_metals__0__temper="T3")


def _warm_service(log: Log, _chance: random.Random) -> None:
    log.state(service__above_65_c=True)


# --- slips of the pen


def _minutes_for_seconds(log: Log, _chance: random.Random) -> None:
    log.measure("arc_time_s", "time", log.document["arc_time_s"] / 60, "s", 2)


def _inches_for_millimeters(log: Log, _chance: random.Random) -> None:
    log.measure("weld_length_mm", "length", log.document["weld_length_mm"] / 25.4, "mm", 1)


def _thickness_in_inches(log: Log, _chance: random.Random) -> None:
    log.measure("base_metals.0.thickness_mm", "length", log.metal["thickness_mm"] / 25.4, "mm", 3)


def _cubic_feet_for_liters(log: Log, chance: random.Random) -> None:
    log.measure("gas_flow_l_min", "gas_flow", chance.randint(16, 18), "L/min")


def _speed_as_well(log: Log, _chance: random.Random) -> None:
    speed = log.document["weld_length_mm"] / log.document["arc_time_s"] * 60 / 25.4
    log.measure("travel_speed_mm_s", "speed", speed * 1.12, "in/min", 1)


def _two_runs_as_one(log: Log, _chance: random.Random) -> None:
    for leg in ("leg_1_mm", "leg_2_mm"):
        log.measure(f"fillet.{leg}", "length", log.document["fillet"][leg] * 1.6, "mm", 1)


# How often each of these happens is made up; that habits fade and accidents do not is the story.

HABITS: Final = (
    Mistake("brushed first", _brush_first, {"2017": 0.45}, often=(0.34, 0.01)),
    Mistake("not dried", _without("dry"), {"2017": 0.3}, often=(0.20, 0.01)),
    Mistake("not degreased", _without("degrease", "dry"), {"2017": 0.6}, often=(0.13, 0.0)),
    Mistake("not brushed", _without("remove_oxide"), {"303": 0.5, "401": 0.2}, often=(0.09, 0.0)),
    Mistake("nothing cleaned", _state(cleaning=[]), {"2017": 0.8, "303": 0.5}, often=(0.05, 0)),
    Mistake("brush of the steel bench", _in_step("remove_oxide", tool_kept_for="shared_with_steel"),
            often=(0.07, 0.0)),
    Mistake("brush of nobody", _in_step("remove_oxide", tool_kept_for="unknown"),
            often=(0.2, 0.03)),
    Mistake("pressed hard", _in_step("remove_oxide", pressure="heavy"), often=(0.16, 0.01)),
    Mistake("rod not wiped", _state(filler__condition="not_wiped"), {"2017": 0.2},
            often=(0.30, 0.04), suits=lambda log: _tig(log) and _filled(log)),
    Mistake("crater open", _state(crater_filled=False), {"104": 0.35}, often=(0.32, 0.04)),
    Mistake("little gas", _typed("gas_flow_l_min", "gas_flow", 9, "CFH"), {"2017": 0.6},
            often=(0.08, 0.01)),
    Mistake("much gas", _typed("gas_flow_l_min", "gas_flow", 65, "CFH"), {"2017": 0.5},
            often=(0.05, 0.0)),
    Mistake("torch leaned", _typed("torch_angle_deg", "angle", 32, "°"), {"5011": 0.4},
            often=(0.10, 0.02)),
    Mistake("tungsten touched", _state(tungsten__touched_pool=True), {"3041": 0.4},
            often=(0.24, 0.04), suits=_tig),
    Mistake("not brushed between runs", _state(interpass_brushed=False), {"401": 0.25},
            often=(0.4, 0.05), suits=lambda log: "runs" in log.document),
    Mistake("volts assumed", _state(voltage_read="assumed"), often=(0.22, 0.03)),
    Mistake("times not logged", _no_times, often=(0.35, 0.15)),
)  # fmt: skip

ACCIDENTS: Final = (
    Mistake("brake cleaner", _in_step("degrease", agent="chlorinated"), times=2,
            suits=_did("degrease")),
    Mistake("carbon-steel brush", _in_step("remove_oxide", tool="carbon_steel_brush",
            tool_kept_for="shared_with_steel"), {"2017": 0.3}, times=4, suits=_did("remove_oxide")),
    Mistake("brass brush", _in_step("remove_oxide", tool="brass_brush"), times=1,
            suits=_did("remove_oxide")),
    Mistake("power wheel", _in_step("remove_oxide", tool="power_wire_wheel"), times=3,
            suits=_did("remove_oxide")),
    Mistake("rubbing alcohol", _in_step("degrease", agent="alcohol"), times=4,
            suits=_did("degrease")),
    Mistake("cleaned yesterday", _clean_yesterday, {"2017": 0.4}, times=4,
            suits=lambda log: "at" in log.step("remove_oxide")),
    Mistake("cold metal", _cold_metal, {"2017": 0.7}, times=3),
    Mistake("paint left", _state(base_metals__0__coating="paint"), {"2017": 0.8}, times=2),
    Mistake("electrode negative", _state(polarity="DCEN"), {"303": 0.9, "401": 0.5}, times=2,
            suits=_tig),
    Mistake("CO2", _state(shielding_gas="co2"), {"2017": 0.9, "602": 0.8}, times=1, suits=_wire),
    Mistake("steel mix", _state(shielding_gas="argon_co2"), {"2017": 0.9, "303": 0.7}, times=1),
    Mistake("4043 on 5083", _other_filler, {"100": 0.4}, times=3, suits=_metal("5083")),
    Mistake("no filler on 6061", _no_filler, {"100": 0.8}, times=2, suits=_metal("6061")),
    Mistake("scrap of 2024", _scrap, {"100": 0.7}, times=2, suits=_metal("6061")),
    Mistake("warm part", _warm_service, times=1, suits=_metal("5083")),
    Mistake("gun dragged", _typed("torch_angle_deg", "angle", -12, "°"), {"L1": 0.95}, times=2,
            suits=_wire),
    Mistake("wet spool", _state(filler__condition="wet"), {"2017": 0.9}, times=1, suits=_wire),
    Mistake("thoriated", _state(tungsten__type="thoriated"), times=2, suits=_tig),
    Mistake("draft", _state(draught=True), {"2017": 0.5}, times=3),
    Mistake("preheated hot", _typed("preheat_c", "temperature", 265, "°F"), times=2),
)  # fmt: skip

SLIPS: Final = (
    Mistake("EP shown", _typed("ac.en_percent", "en_percent", 30, "% EN"), times=3, suits=_tig),
    Mistake("minutes for seconds", _minutes_for_seconds, times=5),
    Mistake("inches for millimeters", _inches_for_millimeters, times=4),
    Mistake("thickness in inches", _thickness_in_inches, times=2),
    Mistake("cubic feet for liters", _cubic_feet_for_liters, times=3, suits=_tig),
    Mistake("volts left at zero", _typed("voltage_v", "voltage", 0, "V"), times=1),
    Mistake("speed as well", _speed_as_well, times=2),
    Mistake("two runs as one", _two_runs_as_one, times=2,
            suits=lambda log: _wire(log) and "fillet" in log.document),
)  # fmt: skip


def habits_of_the_day(log: Log, care: float, chance: random.Random) -> Looks:
    """Let habits show in a log; return what they bring."""
    brought: Looks = {}
    for habit in HABITS:
        if chance.random() < habit.odds(care) and habit.suits(log):
            habit.change(log, chance)
            brought |= habit.brings
    return brought
