"""What the log of a coupon tells when it is asked whether a cause can be ruled out."""

from collections.abc import Set as AbstractSet
from operator import attrgetter
from types import SimpleNamespace
from typing import Final

from weldlog.engine.cleaning_window import hours_since_cleaning
from weldlog.engine.facts import Facts
from weldlog.engine.findings import Case
from weldlog.engine.setup_guide import StartingRanges, starting_ranges

# What has to be beyond doubt for a member that follows from others.
_FOLLOWS_FROM: Final = {
    "travel_speed_mm_s": {"travel_speed_mm_s", "weld_length_mm", "arc_time_s"},
    "travel_speed": {"travel_speed_mm_s", "weld_length_mm", "arc_time_s", "base_metals"},
    "current_is_usual": {"current_a", "base_metals"},
}
_MEMBERS: Final = attrgetter(*Facts.__slots__)
# How far outside the starting ranges a speed counts as unusual; common practice, no source.
_MARGIN: Final = 1.1


def told(case: Case, doubted: AbstractSet[str]) -> SimpleNamespace:
    """Return the facts of a coupon, with what follows from them in the place of what is missing.

    Members beside those of the coupon: ``weld_metal`` (the estimate), ``metal_below_air_c`` [K],
    ``current_is_usual`` (whether the current lies in the starting ranges for the thickness) and
    ``travel_speed`` (``slow``, ``usual`` or ``fast`` beside them).

    Parameters
    ----------
    case : Case
    doubted : set of str
        Members that are probably a slip of the unit, as findings name them: they tell nothing.
    """
    facts = case.facts
    hours = hours_since_cleaning(facts, facts.cleaning or ())
    speed = case.figures.travel_speed_mm_s or facts.travel_speed_mm_s
    members = dict(zip(Facts.__slots__, _MEMBERS(facts), strict=True)) | {
        "travel_speed_mm_s": speed,
        "travel_speed": _travel_speed(facts, speed),
        "minutes_since_cleaning": None if hours is None else 60 * hours,
        "weld_metal": case.figures.weld_metal,
        "metal_below_air_c": _metal_below_air(facts),
        "current_is_usual": _current_is_usual(facts),
    }
    if doubted:
        wrong = {name.partition(".")[0] for name in doubted}
        told_wrong = [name for name in members if wrong & _FOLLOWS_FROM.get(name, {name})]
        members |= dict.fromkeys(told_wrong)
    return SimpleNamespace(**members)


def logged_as(member: str, facts: Facts) -> tuple[str, ...]:
    """Return the members of the coupon that a member of what it tells was taken from."""
    if member != "travel_speed":
        return (member,)
    if facts.travel_speed_mm_s is not None:
        return ("travel_speed_mm_s",)
    return ("weld_length_mm", "arc_time_s")


def _metal_below_air(facts: Facts) -> float | None:
    if facts.air_c is None or facts.metal_c is None:
        return None
    return facts.air_c - facts.metal_c


def _usual(facts: Facts) -> list[StartingRanges]:
    """Return the starting ranges for each thickness of the coupon."""
    if facts.weld is None:
        return []
    sides = [side.thickness_mm for side in facts.base_metals or ()]
    found = [starting_ranges(facts.process, facts.weld, each) for each in sides if each]
    return [each for each in found if each]


def _travel_speed(facts: Facts, speed_mm_s: float | None) -> str | None:
    usual = [each.travel_speed_mm_s for each in _usual(facts) if each.travel_speed_mm_s]
    if speed_mm_s is None or not usual:
        return None
    if speed_mm_s > _MARGIN * max(each.high for each in usual):
        return "fast"
    return "slow" if _MARGIN * speed_mm_s < min(each.low for each in usual) else "usual"


def _current_is_usual(facts: Facts) -> bool | None:
    """Return whether the current is usual for one of the thicknesses, None where that is open."""
    usual = [each.current_a for each in _usual(facts) if each.current_a]
    if facts.current_a is None or not usual:
        return None
    return any(each.low <= facts.current_a <= each.high for each in usual)
