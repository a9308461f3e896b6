"""Figures of a term record: how far they spread, and how often they were inside their window."""

import statistics
from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from typing import Final

from coursework.models import Coupon
from coursework.record import FigureSpread, InWindow, Share, Spread, WeekShare

FIGURES: Final = ("arc_energy_kj_mm", "heat_input_kj_mm", "travel_speed_mm_s")
# Two coupons differ by chance as easily as by practice.
FEWEST_FOR_SPREAD: Final = 3
# Two coupons at either end, and as many between: fewer would compare single coupons.
FEWEST_FOR_THIRDS: Final = 6
# A thousandth of a joule a millimeter: finer than anything in a shop, coarse enough to read.
DECIMALS: Final = 6

type Windows = dict[tuple[int, str], tuple[float, float]]
type Week = Callable[[Coupon], int]


def rounded(value: float | None) -> float | None:
    """Return a number as it stands in the master."""
    return None if value is None else round(value, DECIMALS)


def value_of(coupon: Coupon, name: str) -> float | None:
    """Return one of ``FIGURES`` of a coupon as last assessed, or None where it is missing."""
    return rounded(getattr(coupon.assessment, name)) if coupon.assessment else None


def by_week(counted: Iterable[tuple[int, bool]]) -> tuple[WeekShare, ...]:
    """Return the share of each week that has anything to count, from pairs of week and yes."""
    of: Counter[int] = Counter()
    count: Counter[int] = Counter()
    for week, yes in counted:
        of[week] += 1
        count[week] += yes
    return tuple(WeekShare(count[week], of[week], week) for week in sorted(of))


def share(answers: Sequence[bool]) -> Share:
    """Return how many of the answers are yes."""
    return Share(sum(answers), len(answers))


def figures_of(coupons: Sequence[Coupon], windows: Windows) -> tuple[FigureSpread, ...]:
    """Return the figures of the coupons of one exercise, oldest first; a missing one is left out.

    A coupon without the figure counts nowhere in it.
    """
    return tuple(
        _figure(name, values, windows.get((coupons[0].exercise_id, name)))
        for name in FIGURES
        if (values := [value for each in coupons if (value := value_of(each, name)) is not None])
    )


def figures_in_window(
    coupons: Sequence[Coupon], windows: Windows, week: Week
) -> tuple[InWindow, ...]:
    """Return for each figure that has windows how often it was inside, over the whole term.

    Parameters
    ----------
    coupons : Sequence[Coupon]
        All coupons of a student, oldest first; those without the figure, or of an exercise
        without a window for it, count nowhere.
    windows : Windows
        Low and high by exercise and figure; both limits are inside.
    week : Week
        Tells the week of the term in which a coupon was handed in.
    """
    found = ((name, _answers(name, coupons, windows)) for name in FIGURES)
    return tuple(_in_window(name, answers, week) for name, answers in found if answers)


def _figure(name: str, values: list[float], window: tuple[float, float] | None) -> FigureSpread:
    third = len(values) // 3 if len(values) >= FEWEST_FOR_THIRDS else 0
    return FigureSpread(
        name=name,
        all=_spread(values),
        first_third=_spread(values[:third]) if third else None,
        last_third=_spread(values[-third:]) if third else None,
        window_low=window[0] if window else None,
        window_high=window[1] if window else None,
        in_window=share([window[0] <= value <= window[1] for value in values]) if window else None,
    )


def _spread(values: Sequence[float]) -> Spread:
    deviation = statistics.stdev(values) if len(values) >= FEWEST_FOR_SPREAD else None
    return Spread(len(values), round(statistics.fmean(values), DECIMALS), rounded(deviation))


def _answers(name: str, coupons: Iterable[Coupon], windows: Windows) -> list[tuple[Coupon, bool]]:
    """Say for each coupon that has the figure and a window whether it is inside."""
    return [
        (each, window[0] <= value <= window[1])
        for each in coupons
        if (value := value_of(each, name)) is not None
        and (window := windows.get((each.exercise_id, name)))
    ]


def _in_window(name: str, answers: Sequence[tuple[Coupon, bool]], week: Week) -> InWindow:
    inside = [yes for _coupon, yes in answers]
    third = len(inside) // 3
    return InWindow(
        name=name,
        all=share(inside),
        first_third=share(inside[:third]),
        last_third=share(inside[len(inside) - third :]),
        by_week=by_week((week(coupon), yes) for coupon, yes in answers),
    )
