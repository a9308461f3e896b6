"""What a section logged, read in one pass along indexes and worked up without further queries."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from functools import cached_property
from itertools import groupby
from typing import Final, NamedTuple

from django.db.models import (
    Case,
    Field,
    OuterRef,
    QuerySet,
    StringAgg,
    Subquery,
    Value,
    When,
)

from coursework.models import Coupon, Imperfection, Section, Term

#: The database gives it as it is; nothing is to be made of it, row after row.
AS_IT_IS: Final = Field()

type Weeks = list[tuple[str, int]]
"""A count for each week of the term up to the present one."""
type Cell = tuple[int, int]
"""Enrolment and exercise."""


class Logged(NamedTuple):
    """One coupon; ``unsafe`` counts safety stops, ``slips`` cleaning steps skipped or swapped."""

    coupon: int
    enrolment: int
    exercise: int
    number: int
    state: str
    heat_input_kj_mm: float | None
    travel_speed_mm_s: float | None
    unsafe: int | None
    slips: int | None
    seen_numbers: str | None
    week: int

    @property
    def cell(self) -> Cell:
        return (self.enrolment, self.exercise)

    @property
    def seen(self) -> frozenset[str]:
        """The numbers of the imperfections that the student saw."""
        return frozenset(self.seen_numbers.split(",") if self.seen_numbers else ())


@dataclass(frozen=True)
class SectionLog:
    """The coupons of a section, none withdrawn, by student and exercise, the newest first."""

    rows: Sequence[Logged]

    @cached_property
    def cells(self) -> dict[Cell, list[Logged]]:
        """The coupons of each student in each exercise."""
        return {key: list(rows) for key, rows in groupby(self.rows, lambda row: row[1:3])}

    def logged_since(self, week: int) -> set[int]:
        """Return the enrolments of those who logged something in a week of the term or later."""
        return {row.enrolment for row in self.rows if row.week >= week}

    def skipped_by_week(self, week: int) -> Weeks:
        """Return coupons with a cleaning step skipped or swapped."""
        return _by_week((row.week for row in self.rows if row.slips), week)

    def seen_by_week(self, week: int, most: int) -> Iterator[tuple[str, Weeks]]:
        """Yield the imperfections that are seen most often, each with its coupons by week."""
        weeks: dict[str, list[int]] = defaultdict(list)
        for row in self.rows:
            for number in row.seen:
                weeks[number].append(row.week)
        for number in sorted(weeks, key=lambda each: (-len(weeks[each]), each))[:most]:
            yield number, _by_week(weeks[number], week)

    def heat_inputs(self) -> dict[int, list[float]]:
        """Return the heat inputs [kJ/mm] by exercise."""
        found: dict[int, list[float]] = defaultdict(list)
        for row in self.rows:
            if row.heat_input_kj_mm is not None:
                found[row.exercise].append(row.heat_input_kj_mm)
        return found

    def travel_speeds(self, last: int) -> dict[int, tuple[int, list[float]]]:
        """Return the exercise that each student works on, and the last travel speeds in it [mm/s].

        The exercise is that of the newest coupon: speeds of different joints do not compare.
        """
        newest: dict[int, Logged] = {}
        for rows in self.cells.values():
            first = rows[0]
            if first.enrolment not in newest or first.number > newest[first.enrolment].number:
                newest[first.enrolment] = first
        return {
            enrolment: (row.exercise, _known_speeds(self.cells[row.cell])[:last])
            for enrolment, row in newest.items()
        }


def read(coupons: QuerySet[Coupon], section: Section) -> SectionLog:
    """Read the log of a section.

    Parameters
    ----------
    coupons : QuerySet[Coupon]
        Those of the section, as ``access.coupons_of`` gives them.
    section : Section
        With its term and settings at hand.
    """
    kept = coupons.exclude(state=Coupon.State.WITHDRAWN)
    # In a subquery of its own: a join may be planned as a scan of all that was ever seen.
    seen = (
        Imperfection.objects.filter(facts=OuterRef("facts"))
        .order_by()
        .values("facts")
        .annotate(numbers=StringAgg("number", Value(",")))
        .values("numbers")
    )
    rows = kept.order_by("enrolment_id", "exercise_id", "-handed_in_at").values_list(
        "pk",
        "enrolment_id",
        "exercise_id",
        "number",
        "state",
        "assessment__heat_input_kj_mm",
        "assessment__travel_speed_mm_s",
        "assessment__safety_stops",
        "assessment__cleaning_slips",
        Subquery(seen),
        week_number(section.term),
    )
    return SectionLog([Logged._make(row) for row in rows])


def week_number(term: Term) -> Case:
    """Return the week of the term that a coupon was handed in, as an expression.

    Weeks begin by the clock of the school, see ``Term.week``.
    """
    starts = week_starts(term)
    earlier = [When(handed_in_at__lt=start, then=Value(n)) for n, start in enumerate(starts) if n]
    return Case(*earlier, default=Value(len(starts)), output_field=AS_IT_IS)


def week_starts(term: Term) -> list[datetime]:
    """Return when each week of a term begins, by the clock of the school."""
    days = (term.starts_on + timedelta(weeks=number) for number in range(max(term.weeks, 1)))
    zone = term.school.settings.zone
    return [datetime.combine(day, time.min, zone) for day in days]


def _known_speeds(rows: Iterable[Logged]) -> list[float]:
    return [row.travel_speed_mm_s for row in rows if row.travel_speed_mm_s is not None]


def _by_week(weeks: Iterable[int], last: int) -> Weeks:
    counts = Counter(weeks)
    return [(str(number), counts[number]) for number in range(1, last + 1)]
