"""Second gradings: a random share of graded coupons, by another instructor who sees no first grade.

They change no grade. Where both lie more than one level apart, the lead instructor looks.
"""

from collections.abc import Iterable
from datetime import datetime
from typing import Final

from django.db import transaction
from django.db.models import F, Q, QuerySet
from django.utils.translation import gettext as _

from coursework.conflicts import Conflict
from coursework.models import (
    Coupon,
    Enrolment,
    Grade,
    SecondLook,
    SecondScore,
    Section,
    User,
)
from coursework.scoring import Scores, applying, preview
from coursework.terms import need_open

FAR_APART: Final = 1
"""Levels by which both may differ before the lead looks (common practice, no source)."""


class GivenMeanwhile(Conflict):
    """Somebody else gave or settled it first; the message says who."""


class OwnGrade(Conflict):
    """Who gave the first grade cannot give the second."""


def draw(grade: Grade, chance: float) -> SecondLook | None:
    """Draw a coupon for a second grading when its first grade is given, or leave it.

    Parameters
    ----------
    grade : Grade
        Just given. A further grade of a coupon draws nothing.
    chance : float
        A number drawn evenly from 0 up to, but not including, 1.

    Returns
    -------
    SecondLook or None
        None where it was not drawn, or nobody else teaches the section.
    """
    coupon = grade.coupon
    taken_back = SecondLook.objects.filter(coupon=coupon, grade__undone_at__isnull=False)
    if taken_back.update(grade=grade):
        return SecondLook.objects.get(coupon=coupon)
    share = coupon.section.term.school.settings.second_grading_percent
    regraded = coupon.grades.filter(undone_at=None).exclude(pk=grade.pk).exists()
    if chance * 100 >= share or regraded or not _others(coupon.section, grade.grader):
        return None
    look, _new = SecondLook.objects.get_or_create(
        coupon=coupon, defaults={"grade": grade, "drawn_at": grade.graded_at}
    )
    return look


def _others(section: Section, grader: User) -> bool:
    """Return whether somebody but the grader teaches a section."""
    teaching = section.enrolments.filter(role=Enrolment.Role.INSTRUCTOR, left_at=None)
    return teaching.exclude(user=grader).exists()


def of_section(section: Section) -> QuerySet[SecondLook]:
    """Return the second looks of a section whose first grade still stands."""
    return (
        SecondLook.objects.filter(coupon__section=section, grade__undone_at=None)
        .exclude(coupon__state=Coupon.State.WITHDRAWN)
        .select_related("coupon__exercise", "coupon__enrolment__user", "grade__grader", "grader")
    )


def waiting_for(user: User, section: Section) -> QuerySet[SecondLook]:
    """Return those that somebody may still give in a section, the oldest first."""
    waiting = of_section(section).filter(graded_at=None).exclude(grade__grader=user)
    return waiting.order_by("drawn_at", "pk")


def far_apart(section: Section) -> QuerySet[SecondLook]:
    """Return those that lie more than one level from the first grade and are not settled."""
    apart = Q(level__gt=F("grade__level") + FAR_APART) | Q(level__lt=F("grade__level") - FAR_APART)
    return of_section(section).filter(apart, settled_at=None).order_by("graded_at", "pk")


@transaction.atomic
def give(
    look: SecondLook,
    *,
    grader: User,
    scores: Scores,
    left_out: Iterable[str] = (),
    comment: str = "",
    at: datetime,
) -> SecondLook:
    """Store the second grading of a coupon.

    Parameters
    ----------
    scores : mapping of str to int
        A level for each criterion of the first grade's rubric version that applies.
    left_out : iterable of str
        Keys of criteria that do not apply; a gate cannot be left out.

    Raises
    ------
    OwnGrade
        When the first grade is the grader's own.
    GivenMeanwhile
        When it has been given already.
    ClosedTerm
        When the term is closed.
    ValueError
        When a criterion has no level.
    """
    need_open(look.coupon.section.term)
    if look.grade.grader_id == grader.pk:
        raise OwnGrade(_("You gave the first grade; somebody else gives the second."))
    without = set(left_out)
    criteria = [
        each
        for each in applying(look.grade.rubric_version.criteria.all(), look.coupon.exercise)
        if each.gate or each.key not in without
    ]
    outcome = preview(scores, criteria)
    if outcome is None or any(each.key not in scores for each in criteria):
        raise ValueError("A criterion has no level yet.")
    given = {"grader": grader, "graded_at": at, "level": outcome.level, "comment": comment}
    if not SecondLook.objects.filter(pk=look.pk, graded_at=None).update(**given):
        look.refresh_from_db()
        raise GivenMeanwhile(_("%(who)s has given this second grading.") % {"who": look.grader})
    SecondScore.objects.bulk_create(
        SecondScore(second_look=look, criterion=each, level=scores[each.key]) for each in criteria
    )
    look.refresh_from_db()
    return look


def settle(look: SecondLook, *, by: User, at: datetime) -> None:
    """Note that the lead looked at both grades; a new grade, where one is due, is given as ever.

    Raises
    ------
    GivenMeanwhile
        When it has been settled already.
    ClosedTerm
        When the term is closed.
    """
    need_open(look.coupon.section.term)
    still_open = SecondLook.objects.filter(pk=look.pk, settled_at=None, graded_at__isnull=False)
    if not still_open.update(settled_by=by, settled_at=at):
        raise GivenMeanwhile(_("This difference has been settled already."))
