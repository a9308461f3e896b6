"""A mini term, typed by hand, and what follows from it by formulas of its own.

What is expected follows from what was typed by these formulas, and by nothing of weldlog's:

- travel speed = length / time [mm/s];
- arc energy = U I / (1000 v) [kJ/mm] from averages (ISO/TR 18491 method A, from memory of its body;
  TWI, FAQ: difference between heat input and arc energy; AWS D1.1 calls it heat input);
- heat input = k times arc energy, k 0.6 for GTAW and 0.8 for GMAW (EN 1011-1 and ISO/TR 17671-1, as
  the TWI FAQ gives them);
- mean and sample standard deviation: Python's statistics module.
"""

import statistics
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from coursework.models import Coupon, Enrolment, Exercise, User
from coursework.record import Share, Spread, WeekShare
from tests.factories import clean_document, grade_coupon, hand_in_coupon

K = {"GTAW": 0.6, "GMAW": 0.8}
MONDAY = datetime(2026, 8, 24, 15, 0, tzinfo=UTC)  # the first day of the term, 10:00 in Chicago
SPEED, ENERGY, HEAT = "travel_speed_mm_s", "arc_energy_kj_mm", "heat_input_kj_mm"
WINDOWS = {
    "GTAW": {SPEED: (3.0, 5.5), HEAT: (0.15, 0.4)},
    "GMAW": {SPEED: (6.0, 12.0), ENERGY: (0.2, 0.35)},
}


@dataclass(frozen=True)
class Typed:
    """One coupon as it was typed in and what became of it.

    ``levels`` are those of its grades, the last the present one; ``fate`` is accepted, returned,
    waiting, held or withdrawn. ``runs`` like runs take ``seconds`` each.
    """

    process: str
    day: int
    volts: float | None
    amps: float | None
    length_mm: float | None
    seconds: float | None
    fate: str = "accepted"
    levels: tuple[int, ...] = ()
    own: int | None = None
    seen: tuple[str, ...] | None = ()
    cleaned: str = "in order"
    polarity: str = "AC"
    runs: int = 1
    nonsense: bool = False


# A week has seven days; day 0 is the first Monday. A slip of a unit: 1250 s for 37.5 s (0.12 mm/s).
MINI = (
    Typed("GTAW", 0, 14, 135, 150, 50, "returned", (2,), own=4, seen=("2017", "104")),
    Typed("GTAW", 0, 14, 135, 150, 30, "returned", (1,), own=3, seen=("201",), cleaned="backwards"),
    Typed("GTAW", 1, 13.5, 128, 152, 38, levels=(3,), own=3, seen=("2017",)),
    Typed("GTAW", 8, 14, 140, 150, 1250, "returned", (2,), own=2, nonsense=True),
    Typed("GTAW", 8, 14.2, 131, 148, 37, "withdrawn"),
    Typed("GTAW", 9, 15, 120, 150, 25, levels=(2, 3), own=2, seen=(), runs=2),
    Typed("GTAW", 9, 14, 130, 150, 40, levels=(4,), own=4, cleaned="unsafe", seen=("401",)),
    Typed("GTAW", 16, 14, None, 150, 60, levels=(3,), own=None, seen=None, cleaned="not asked"),
    Typed("GTAW", 16, 14.5, 133, 151, 42, levels=(4,), own=3, polarity="AC"),
    Typed("GTAW", 23, 14, 136, 150, 36, "waiting", own=4, cleaned="unsafe"),
    Typed("GTAW", 23, 14, 136, 149, 41, "held", own=3),
    Typed("GMAW", 2, 20, 130, 200, 25, "returned", (2, 1), own=2, seen=("2011",), polarity="DCEP"),
    Typed("GMAW", 3, 19.5, 125, 200, 21.5, levels=(3,), own=4, polarity="DCEP", runs=3),
    Typed("GMAW", 10, 20.5, 132, 205, None, levels=(3,), own=3, polarity="DCEP"),
    Typed("GMAW", 24, 19, 118, 198, 22, levels=(4,), own=4, polarity="DCEP", cleaned="backwards"),
)  # fmt: skip


# --- telling it to weldlog


def document(exercise: Exercise, typed: Typed) -> dict[str, Any]:
    told = clean_document(
        exercise,
        voltage_v=typed.volts,
        current_a=typed.amps,
        weld_length_mm=typed.length_mm,
        arc_time_s=typed.seconds,
        polarity=typed.polarity,
        imperfections=None if typed.seen is None else [{"number": each} for each in typed.seen],
        runs=typed.runs,
    )
    if exercise.process == "GMAW":
        told |= {
            "filler": {"designation": "5356", "form": "spool", "diameter_mm": 1.2},
            "gas_flow_l_min": 15,
            "transfer": "spray",
        }
    if typed.cleaned == "backwards":
        # The oxide comes off first, and the solvent still dries: out of order, and no danger.
        told["cleaning"] = told["cleaning"][2:] + told["cleaning"][:2]
    elif typed.cleaned == "unsafe":
        told["cleaning"][0] = told["cleaning"][0] | {"agent": "chlorinated"}
    elif typed.cleaned == "not asked":
        del told["cleaning"]
    return told


def tell(
    enrolment: Enrolment, exercises: dict[str, Exercise], grader: User, term: tuple[Typed, ...]
) -> list[Coupon]:
    """Hand every coupon in an hour after the one before, and let come of it what was typed."""
    coupons = []
    for hour, typed in enumerate(term):
        exercise = exercises[typed.process]
        at = MONDAY + timedelta(days=typed.day, minutes=hour)
        coupon = hand_in_coupon(
            enrolment, exercise, document(exercise, typed), at=at, predicted_level=typed.own
        )
        for level in typed.levels:
            decision = typed.fate if level == typed.levels[-1] else "returned"
            grade_coupon(coupon, grader, level=level, decision=decision, at=at + timedelta(days=1))
        hold(coupon, grader, typed.fate)
        coupons.append(coupon)
    return coupons


def hold(coupon: Coupon, grader: User, fate: str) -> None:
    """Leave a coupon withdrawn, or graded without its student knowing."""
    if fate == "held":
        grade_coupon(coupon, grader, level=4, comment="Nobody knows of this yet.")
        Coupon.objects.filter(pk=coupon.pk).update(state="held", grade=None)
    if fate == "withdrawn":
        Coupon.objects.filter(pk=coupon.pk).update(state="withdrawn")


# --- the separate recomputation


def live(term: tuple[Typed, ...]) -> list[tuple[int, Typed]]:
    """Return the coupons that count, oldest first, with their numbers."""
    numbered = [(n, each) for n, each in enumerate(term, start=1) if each.fate != "withdrawn"]
    return sorted(numbered, key=lambda each: (each[1].day, each[0]))


def speed(typed: Typed) -> float | None:
    return typed.length_mm / typed.seconds if typed.length_mm and typed.seconds else None


def energy(typed: Typed) -> float | None:
    v = speed(typed)
    return typed.volts * typed.amps / 1000 / v if v and typed.volts and typed.amps else None


def heat(typed: Typed) -> float | None:
    e = energy(typed)
    return e * K[typed.process] if e is not None else None


VALUE: dict[str, Callable[[Typed], float | None]] = {SPEED: speed, ENERGY: energy, HEAT: heat}


def values(name: str, term: list[Typed]) -> list[float]:
    return [v for each in term if not each.nonsense and (v := VALUE[name](each)) is not None]


def week(typed: Typed) -> int:
    return typed.day // 7 + 1


def weekly(answers: list[tuple[Typed, bool]]) -> tuple[WeekShare, ...]:
    weeks = sorted({week(each) for each, _yes in answers})
    return tuple(
        WeekShare(
            sum(yes for each, yes in answers if week(each) == number),
            sum(week(each) == number for each, _yes in answers),
            number,
        )
        for number in weeks
    )


def close(spread: Spread | None, numbers: list[float]) -> None:
    assert spread
    assert spread.coupons == len(numbers)
    assert spread.mean == pytest.approx(statistics.mean(numbers), abs=1e-6)
    if len(numbers) < 3:
        assert spread.standard_deviation is None
    else:
        expected = statistics.stdev(numbers)
        assert spread.standard_deviation == pytest.approx(expected, abs=1e-6)


def inside(numbers: list[float], low: float, high: float) -> Share:
    return Share(sum(low <= each <= high for each in numbers), len(numbers))
