"""One coupon as a student of some skill logs it: the set-up, the weld and what it looks like.

What goes wrong by habit or by accident is told in ``mistakes``. All numbers of chance here are
made up; the aims are the windows of the exercise.
"""

import math
import random
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from coursework.demo.logbook import Log
from coursework.models import Exercise
from coursework.models.facts import Document

INCHES: Final = (5.5, 5.75, 6.0, 6.0, 6.0, 6.25)
LITERS_PER_CFH: Final = 0.4719474432


@dataclass(frozen=True, slots=True)
class Hand:
    """How a student works at one time; skill and care go from 0 (beginner) to 1."""

    skill: float
    care: float
    comma: bool = False

    @property
    def slack(self) -> float:
        """What is still missing in skill."""
        return 1 - self.skill


@dataclass(frozen=True, slots=True)
class Task:
    """An exercise and the window of each figure."""

    exercise: Exercise
    windows: dict[str, tuple[float, float]]

    def middle(self, figure: str) -> float:
        """Return what the window of a figure aims at."""
        low, high = self.windows[figure]
        return (low + high) / 2

    @property
    def is_wire(self) -> bool:
        """Whether it is welded with a wire feed."""
        return self.exercise.process == "GMAW"


def tasks_of(exercises: list[Exercise]) -> list[Task]:
    """Return the exercises of a plan with their windows."""
    return [
        Task(each, {window.figure: (window.low, window.high) for window in each.windows.all()})
        for each in exercises
    ]


def log_coupon(task: Task, hand: Hand, arc_at: datetime, chance: random.Random) -> Log:
    """Return the log of a coupon on which nothing went wrong but what the hand cannot do yet."""
    log = Log(comma=hand.comma)
    _metal(log, task.exercise)
    _cleaning(log, arc_at, chance)
    _set_up(log, task, hand, chance)
    _weld(log, task, hand, chance)
    if task.exercise.nominal_leg_mm:
        _legs(log, task.exercise.nominal_leg_mm, hand, chance)
    return log


def _metal(log: Log, exercise: Exercise) -> None:
    for name in ("process", "joint", "weld", "position"):
        log.state(**{name: getattr(exercise, name)})
    log.state(base_metals__0__alloy=exercise.alloy)
    log.state(base_metals__0__temper=exercise.temper)
    log.measure("base_metals.0.thickness_mm", "length", exercise.thickness_mm, "mm", 1)
    log.state(base_metals__0__stored="indoors")
    log.state(base_metals__0__coating="none")
    if not exercise.filler:
        log.state(filler=None)
        return
    wire = exercise.process == "GMAW"
    diameter = 1.2 if wire else 3.2 if exercise.thickness_mm > 4 else 2.4
    log.state(filler__designation=exercise.filler)
    log.state(filler__form="spool" if wire else "cut_length")
    log.measure("filler.diameter_mm", "length", diameter, "mm", 1)
    log.state(filler__condition="clean_sealed" if wire else "wiped")


def _cleaning(log: Log, arc_at: datetime, chance: random.Random) -> None:
    """Wipe, dry, brush, at times that lead up to the arc."""
    wait = chance.randint(4, 18)
    brushed = arc_at - timedelta(minutes=wait)
    dried = brushed - timedelta(minutes=chance.randint(1, 4))
    wiped = dried - timedelta(minutes=chance.randint(2, 5))
    log.state(
        cleaning=[
            {"step": "degrease", "at": wiped.isoformat(), "agent": "acetone"},
            {"step": "dry", "at": dried.isoformat()},
            {
                "step": "remove_oxide",
                "at": brushed.isoformat(),
                "tool": "stainless_hand_brush",
                "tool_kept_for": "aluminium_only",
                "pressure": "light",
            },
        ],
    )
    log.state(arc_started_at=arc_at.isoformat())


def _set_up(log: Log, task: Task, hand: Hand, chance: random.Random) -> None:
    current = task.middle("current_a") * (1 + chance.gauss(0, 0.02 + 0.06 * hand.slack))
    log.measure("current_a", "current", 5 * round(current / 5), "A")
    volts = (23.5 if task.is_wire else 14.0) + chance.gauss(0, 0.4)
    log.measure("voltage_v", "voltage", round(2 * volts) / 2, "V", 1)
    log.state(voltage_read="display")
    log.state(polarity="DCEP" if task.is_wire else "AC")
    log.state(shielding_gas="argon")
    flow = task.middle("gas_flow_l_min") / LITERS_PER_CFH + chance.gauss(0, 1.2)
    log.measure("gas_flow_l_min", "gas_flow", flow, "CFH")
    if task.is_wire:
        _wire(log, chance)
    else:
        _tungsten(log, task, chance)


def _wire(log: Log, chance: random.Random) -> None:
    """Feed as much wire as the current melts: about 1.03 mm³ for each amp and second."""
    area_mm2 = math.pi * 1.2**2 / 4
    feed_mm_s = 1.03 * log.document["current_a"] / area_mm2
    log.measure("wire_feed_mm_s", "wire_feed", feed_mm_s * 60 / 25.4, "in/min")
    log.state(transfer="spray")
    log.measure("torch_angle_deg", "angle", chance.randint(10, 15), "°")
    log.measure("nozzle_to_work_mm", "length", chance.randint(13, 16), "mm")


def _tungsten(log: Log, task: Task, chance: random.Random) -> None:
    log.measure("ac.en_percent", "en_percent", chance.choice((68, 70, 70, 72)), "% EN")
    log.measure("ac.frequency_hz", "frequency", 100, "Hz")
    log.state(tungsten__type="lanthanated")
    thick = task.exercise.thickness_mm > 4
    log.measure("tungsten.diameter_mm", "length", 3.2 if thick else 2.4, "mm", 1)
    if chance.random() < 0.3:
        log.measure("torch_angle_deg", "angle", chance.randint(10, 18), "°")


def _weld(log: Log, task: Task, hand: Hand, chance: random.Random) -> None:
    """Travel as fast as the hand can hold: early coupons are slow and uneven."""
    pace = chance.gauss(-0.16 * hand.slack, 0.05 + 0.33 * hand.slack)
    speed = task.middle("travel_speed_mm_s") * math.exp(max(-1.1, min(1.1, pace)))
    inches = 8.0 if task.is_wire else chance.choice(INCHES)
    decimals = len(f"{inches:g}".partition(".")[2])
    log.measure("weld_length_mm", "length", inches, "in", decimals)
    log.measure("arc_time_s", "time", inches * 25.4 / speed, "s")
    log.state(crater_filled=True)
    if task.exercise.weld == "v_groove":
        log.state(runs=3)
        log.state(interpass_brushed=True)
        log.measure("interpass_c", "temperature", chance.randint(110, 195), "°F")
    if chance.random() < 0.25 * hand.slack:
        log.state(stops=chance.randint(1, 2))


def _legs(log: Log, nominal_mm: float, hand: Hand, chance: random.Random) -> None:
    for leg in ("leg_1_mm", "leg_2_mm"):
        size = nominal_mm * (1.12 + chance.gauss(0.03 * hand.slack, 0.03 + 0.16 * hand.slack))
        log.measure(f"fillet.{leg}", "length", max(0.5 * nominal_mm, size), "mm", 1)
    log.state(fillet__nominal_leg_mm=nominal_mm)


# --- what the bead looks like

type Looks = dict[str, float]
"""How likely each imperfection is, by its ISO 6520-1 number."""

DEPTHS_MM: Final = {
    "100": (0.3, 0.8),
    "104": (1.0, 3.0),
    "2017": (0.5, 1.8),
    "303": (0.5, 1.5),
    "3041": (0.5, 1.2),
    "401": (1.0, 3.0),
    "5011": (0.2, 0.9),
    "503": (0.6, 1.8),
    "506": (0.5, 2.0),
    "510": (2.0, 6.0),
    "512": (1.0, 2.0),
    "602": (0.5, 1.5),
}
COUNTED: Final = {"2017": 8, "3041": 2, "602": 12}
ALONG: Final = {"5011": 45, "506": 30, "503": 60, "514": 90, "L1": 120, "100": 35, "401": 25}
AT_THE_END: Final = "104"


def looks(log: Log, task: Task, hand: Hand) -> Looks:
    """Return how likely each imperfection is by hand and speed alone."""
    low, high = task.windows["travel_speed_mm_s"]
    speed = log.document["weld_length_mm"] / log.document["arc_time_s"]
    slack = hand.slack**1.4
    fillet = task.exercise.weld == "fillet"
    found: Looks = {"2017": 0.03 + 0.16 * slack, "514": 0.6 * slack, "5011": 0.12 * slack}
    if speed > high:
        found |= {"5011": 0.5, "401": 0.2}
    if speed < low:
        found |= {"506": 0.3, "503" if fillet else "502": 0.4}
        if task.exercise.joint in ("butt", "corner") and not task.is_wire:
            found["510"] = 0.3
    if fillet and _uneven(log):
        found["512"] = 0.9
    if task.is_wire:
        found |= {"602": 0.3, "L1": 0.1 + 0.2 * slack}
    if log.document.get("stops"):
        found["517"] = 0.4
    return found


def _uneven(log: Log) -> bool:
    legs = sorted((log.document["fillet"]["leg_1_mm"], log.document["fillet"]["leg_2_mm"]))
    return bool(legs[1] > 1.25 * legs[0])


def look(log: Log, likely: Looks, chance: random.Random) -> None:
    """Log what is seen, at most four things; nothing to see is an answer too."""
    length_mm = log.document["weld_length_mm"]
    seen = [number for number, odds in likely.items() if chance.random() < odds][:4]
    log.state(imperfections=[dict(_seen(each, length_mm, chance)) for each in seen])


def _seen(number: str, length_mm: float, chance: random.Random) -> Iterator[tuple[str, object]]:
    yield "number", number
    if number in DEPTHS_MM:
        yield "size_mm", round(chance.uniform(*DEPTHS_MM[number]), 1)
    if number in COUNTED:
        yield "count", chance.randint(1, COUNTED[number])
    along = min(ALONG.get(number, 0), length_mm / 2)
    if number in ALONG:
        yield "length_mm", float(round(chance.uniform(0.3, 1) * along))
    last = length_mm - along
    yield "at_mm", float(round(last if number == AT_THE_END else chance.uniform(5, last - 5)))


def numbers_seen(document: Document) -> set[str]:
    """Return the numbers of the imperfections that were logged."""
    return {each["number"] for each in document.get("imperfections", ())}
