"""What the log of a coupon tells when it is asked whether a cause can be ruled out."""

from collections.abc import Callable, Mapping
from collections.abc import Set as AbstractSet
from typing import Any, Final

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
# How far outside the starting ranges a speed counts as unusual; common practice, no source.
_MARGIN: Final = 1.1


class Told:
    """The facts of a coupon, with what follows from them in the place of what is missing.

    Members beside those of the coupon: ``weld_metal`` (the estimate), ``metal_below_air_c`` [K],
    ``current_is_usual`` (whether the current lies in the starting ranges for the thickness) and
    ``travel_speed`` (``slow``, ``usual`` or ``fast`` beside them). Each is worked out when it is
    first asked for.

    Parameters
    ----------
    case : Case
    doubted : set of str
        Members that are probably a slip of the unit, as findings name them: they tell nothing.
    """

    def __init__(self, case: Case, doubted: AbstractSet[str] = frozenset()) -> None:
        self._case = case
        self._doubted = {name.partition(".")[0] for name in doubted}

    def __getattr__(self, name: str) -> Any:
        value = self._work_out(name)
        setattr(self, name, value)
        return value

    def _work_out(self, name: str) -> Any:
        if self._doubted and self._doubted & _FOLLOWS_FROM.get(name, {name}):
            return None
        follows = _FOLLOWING.get(name)
        return follows(self._case) if follows else getattr(self._case.facts, name)


def logged_as(member: str, facts: Facts) -> tuple[str, ...]:
    """Return the members of the coupon that a member of what it tells was taken from."""
    if member != "travel_speed":
        return (member,)
    if facts.travel_speed_mm_s is not None:
        return ("travel_speed_mm_s",)
    return ("weld_length_mm", "arc_time_s")


def _speed_mm_s(case: Case) -> float | None:
    return case.figures.travel_speed_mm_s or case.facts.travel_speed_mm_s


def _minutes_since_cleaning(case: Case) -> float | None:
    hours = hours_since_cleaning(case.facts, case.facts.cleaning or ())
    return None if hours is None else 60 * hours


def _metal_below_air(case: Case) -> float | None:
    facts = case.facts
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


def _travel_speed(case: Case) -> str | None:
    speed_mm_s = _speed_mm_s(case)
    usual = [each.travel_speed_mm_s for each in _usual(case.facts) if each.travel_speed_mm_s]
    if speed_mm_s is None or not usual:
        return None
    if speed_mm_s > _MARGIN * max(each.high for each in usual):
        return "fast"
    return "slow" if _MARGIN * speed_mm_s < min(each.low for each in usual) else "usual"


def _current_is_usual(case: Case) -> bool | None:
    """Return whether the current is usual for one of the thicknesses, None where that is open."""
    facts = case.facts
    usual = [each.current_a for each in _usual(facts) if each.current_a]
    if facts.current_a is None or not usual:
        return None
    return any(each.low <= facts.current_a <= each.high for each in usual)


_FOLLOWING: Final[Mapping[str, Callable[[Case], Any]]] = {
    "travel_speed_mm_s": _speed_mm_s,
    "travel_speed": _travel_speed,
    "minutes_since_cleaning": _minutes_since_cleaning,
    "weld_metal": lambda case: case.figures.weld_metal,
    "metal_below_air_c": _metal_below_air,
    "current_is_usual": _current_is_usual,
}
