"""The charts of a section: what fades over the weeks, how far heat inputs and speeds lie apart."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Final

from django.utils.translation import gettext as _

from coursework import wording
from coursework.measures import in_unit, units_of
from coursework.models import Enrolment, Exercise, TargetWindow
from coursework.section_log import SectionLog
from coursework.spread import (
    RowMark,
    Spread,
    relative_spread_percent,
    spread,
    spread_rows,
    value_rows,
)
from coursework.templatetags.weldlog_tags import significant

KINDS_SHOWN: Final = 3
LAST_SPEEDS: Final = 8


@dataclass(frozen=True, slots=True)
class RowChart:
    """A chart of one row a line, with the same numbers as a table: header, then rows."""

    title: str
    says: str
    rows: list[RowMark]
    header: Sequence[str]
    table: list[Sequence[str]]


def by_week(log: SectionLog, week: int) -> list[dict[str, Any]]:
    """Return coupons by week: cleaning first, then the imperfections seen most often."""
    skipped = _("Coupons with a cleaning step skipped or swapped")
    charts: list[dict[str, Any]] = [{"title": skipped, "points": log.skipped_by_week(week)}]
    for number, points in log.seen_by_week(week, KINDS_SHOWN):
        name = wording.imperfection(number)["name"].lower()
        charts.append({"title": _("Coupons with %(name)s") % {"name": name}, "points": points})
    return charts


def heat_input(
    log: SectionLog,
    exercises: Iterable[Exercise],
    windows: Iterable[TargetWindow],
    *,
    metric: bool,
) -> RowChart:
    """Return the spread of heat input in each exercise that has coupons, beside its window.

    Parameters
    ----------
    metric : bool
        Whether the school reads kJ/mm before kJ/in.
    """
    unit = units_of("heat_input_kj_mm")[0 if metric else -1]
    times = in_unit(1.0, "kJ/mm", unit)
    lanes = {each.exercise_id: (each.low * times, each.high * times) for each in windows}
    values = {key: [each * times for each in found] for key, found in log.heat_inputs().items()}
    found = [(each, spread(values[each.pk])) for each in exercises if values.get(each.pk)]
    return RowChart(
        title=_("Heat input of each exercise, %(unit)s") % {"unit": unit},
        says=_("Bar: the middle half. Line: the middle 90 %. Post: the median. Window shaded."),
        rows=spread_rows(
            [
                (str(each), _middle(each_spread), each_spread, lanes.get(each.pk))
                for each, each_spread in found
            ]
        ),
        header=(_("Exercise"), _("Coupons"), _("Median"), _("Middle half"), _("Middle 90 %")),
        table=[(str(each), *_spread_cells(each_spread)) for each, each_spread in found],
    )


def _middle(found: Spread | None) -> str:
    return significant(found.median, 2) if found else _("too few to say")


def _spread_cells(found: Spread | None) -> tuple[str, ...]:
    if found is None:
        return ("–",) * 4
    return (
        str(found.number),
        significant(found.median, 2),
        _range(found.lower, found.upper),
        _range(found.low, found.high),
    )


def _range(low: float, high: float) -> str:
    ends = {"low": significant(low, 2), "high": significant(high, 2)}
    return _("%(low)s to %(high)s") % ends


def travel_speed(
    log: SectionLog, students: Iterable[Enrolment], exercises: Iterable[Exercise]
) -> RowChart:
    """Return how steady the travel speed of each student is in the exercise worked on.

    Who has logged no speed is left out.
    """
    names = {each.pk: str(each) for each in exercises}
    speeds = log.travel_speeds(LAST_SPEEDS)
    found = []
    for each in students:
        exercise, values = speeds.get(each.pk, (0, []))
        if not values:
            continue
        worked_on = names.get(exercise, "–")
        found.append((str(each.user), worked_on, len(values), relative_spread_percent(values)))
    return RowChart(
        title=_("Steadiness of travel speed, each student"),
        says=_(
            "Spread of the last %(number)d coupons of the exercise worked on: standard deviation "
            "over mean. A short bar is steady."
        )
        % {"number": LAST_SPEEDS},
        rows=value_rows([(name, _percent(value), value) for name, _on, _n, value in found]),
        header=(_("Student"), _("Exercise"), _("Coupons"), _("Spread")),
        table=[(name, on, str(number), _percent(value)) for name, on, number, value in found],
    )


def _percent(value: float | None) -> str:
    return _("too few to say") if value is None else f"{value:.0f}\u00a0%"
