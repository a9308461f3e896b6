"""What a term record is made from: the coupons of one student, read once, and what was found."""

import zoneinfo
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from django.db.models import Q

from coursework.assess import CLEANING_ORDER_RULES, SAFETY_STOP
from coursework.models import Coupon, Enrolment, Finding, Grade
from coursework.record import Grader

# An entry that can hardly be meant, by its rule and severity.
ENTRY_STOP: Final = Q(rule__startswith="entry-", severity=Finding.Severity.STOP)

type Found = dict[str, str]
"""The sentence of each rule that a coupon broke, by its id."""


@dataclass(frozen=True)
class Log:
    """The coupons of a student, oldest first, withdrawn ones only counted.

    ``broken`` tells by assessment what it found of cleaning order, safety stops and stops of an
    entry.
    """

    enrolment: Enrolment
    coupons: Sequence[Coupon]
    withdrawn: int
    broken: dict[int | None, Found]

    @cached_property
    def zone(self) -> zoneinfo.ZoneInfo:
        """The time zone of the school."""
        return self.enrolment.section.term.school.settings.zone

    @cached_property
    def sound(self) -> list[Coupon]:
        """The coupons without an entry that can hardly be meant; figures are taken over these."""
        return [each for each in self.coupons if self.is_sound(each)]

    @cached_property
    def graders(self) -> dict[int, Grader]:
        """Who graded, with initials that nobody shares: a second RH becomes RH2."""
        people = {grade.grader_id: grade.grader for grade in self.grades(self.coupons)}
        seen: Counter[str] = Counter()
        graders = {}
        for pk, user in sorted(people.items()):
            seen[user.initials] += 1
            again = seen[user.initials]
            graders[pk] = Grader(user.initials + (str(again) if again > 1 else ""), str(user))
        return graders

    def found(self, coupon: Coupon) -> Found:
        """Return what was found of a coupon as last assessed."""
        return self.broken.get(coupon.assessment_id, {})

    def is_sound(self, coupon: Coupon) -> bool:
        """Return whether no entry of a coupon is one that can hardly be meant."""
        return not any(map(of_an_entry, self.found(coupon)))

    def week(self, coupon: Coupon) -> int:
        """Return the week of the term in which a coupon was handed in."""
        day = coupon.handed_in_at.astimezone(self.zone).date()
        return self.enrolment.section.term.week(day)

    @staticmethod
    def grades(coupons: Iterable[Coupon]) -> list[Grade]:
        """Return the present grades that the student knows of, in the order of the coupons."""
        return [each.grade for each in coupons if each.grade and each.is_graded]


type Week = Callable[[Coupon], int]


def read(enrolment: Enrolment) -> Log:
    """Return the log of a student, in five queries whatever the coupons."""
    every = list(
        Coupon.objects.filter(enrolment=enrolment)
        .select_related(
            "exercise",
            "facts",
            "assessment",
            "logged_by",
            "grade__grader",
            "grade__rubric_version__rubric",
        )
        .prefetch_related("facts__base_metals", "facts__imperfections", "facts__runs")
        .order_by("handed_in_at", "pk")
    )
    coupons = [each for each in every if each.state != Coupon.State.WITHDRAWN]
    return Log(enrolment, coupons, len(every) - len(coupons), _broken(coupons))


def of_an_entry(rule: str) -> bool:
    """Return whether a rule is about an entry that can hardly be meant."""
    return rule.startswith("entry-")


def of_safety(rule: str) -> bool:
    """Return whether a rule is about people, not about the weld."""
    return rule.startswith("safety-")


def distinct(words: Iterable[str]) -> tuple[str, ...]:
    """Return each word once, in order."""
    return tuple(sorted(set(words)))


def _broken(coupons: Collection[Coupon]) -> dict[int | None, Found]:
    found: dict[int | None, Found] = {}
    for assessment, rule, says in (
        Finding.objects.filter(
            Q(rule__in=CLEANING_ORDER_RULES) | SAFETY_STOP | ENTRY_STOP,
            assessment__in=[each.assessment_id for each in coupons],
        )
        .order_by("assessment_id", "place")
        .values_list("assessment_id", "rule", "says")
    ):
        found.setdefault(assessment, {}).setdefault(rule, says)
    return found
