"""The grade of a coupon: given, held, released, taken back.

A grade is never edited: grading a coupon again adds a row beside the first. Whoever grades names
the version of the coupon that was looked at, and the later of two graders is told so.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any, Final

from django.db import transaction
from django.db.models import F, OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from coursework import audit, terms
from coursework.conflicts import Conflict, StaleCoupon
from coursework.models import Act, Coupon, Criterion, Grade, RubricVersion, Score, Section, User
from coursework.scoring import Outcome, Scores, applying, preview

MAY_BE_TAKEN_BACK: Final = timedelta(minutes=10)


class TooLate(Conflict):
    """The grade cannot be taken back any more; the message says why."""


@transaction.atomic
def grade_coupon(
    coupon: Coupon,
    *,
    based_on: int,
    grader: User,
    rubric_version: RubricVersion,
    scores: Scores,
    decision: str,
    left_out: Iterable[str] = (),
    comment: str = "",
    repeat: str = "",
    reason: str = "",
    hold: bool = False,
    at: datetime,
) -> Grade:
    """Grade a coupon, or grade it again; every earlier grade stays.

    Parameters
    ----------
    coupon : Coupon
        Is read anew, so that the grade names the facts that were graded.
    based_on : int
        The version of the coupon that the grader looked at.
    scores : mapping of str to int
        A level for each criterion that applies.
    decision : str
        ``Grade.Decision``.
    left_out : iterable of str
        Keys of criteria that do not apply to this coupon; the other weights count as if they made
        up 100. A gate cannot be left out.
    repeat : str
        What to repeat, where the coupon is returned.
    reason : str
        Why it is graded again; must be given where a grade is there already.
    hold : bool
        Whether the grade waits to be released with others; the student sees nothing of it yet.
        Where the student knows a grade already, a further one is never held.

    Raises
    ------
    StaleCoupon
        When the coupon was graded, corrected or withdrawn since, or is withdrawn.
    ClosedTerm
        When the term is closed.
    ValueError
        When a criterion has no level, what does not pass is to be accepted, or a reason is
        missing.
    """
    terms.need_open(coupon.section.term)
    criteria = _scored(rubric_version, coupon, left_out)
    outcome = _outcome(scores, criteria, decision)
    about = audit.about(coupon)
    earlier = newest_grade(coupon)
    held = hold and (earlier is None or earlier.released_at is None)
    _claim(coupon, based_on, Coupon.State.HELD if held else decision)
    if earlier and not reason:
        raise ValueError("Grading again needs a reason.")
    grade = Grade.objects.create(
        coupon=coupon,
        number=coupon.grades.count() + 1,
        facts=coupon.all_facts.latest("number"),
        rubric_version=rubric_version,
        grader=grader,
        graded_at=at,
        released_at=None if held else at,
        decision=decision,
        level=outcome.level,
        weighted=outcome.weighted,
        capped_by=outcome.capped_by,
        comment=comment,
        repeat=repeat if decision == Grade.Decision.RETURNED else "",
        reason=reason if earlier else "",
    )
    Score.objects.bulk_create(
        Score(grade=grade, criterion=each, level=scores[each.key]) for each in criteria
    )
    if not held:
        coupon.grade = grade
        coupon.save(update_fields=["grade"])
    audit.record_act(
        grader,
        Act.REGRADED if earlier else Act.GRADE_HELD if held else Act.GRADE_GIVEN,
        about,
        before=_told(earlier),
        after=_told(grade),
        reason=grade.reason,
    )
    return grade


def _told(grade: Grade | None) -> dict[str, Any] | None:
    """Return what the audit table holds of a grade; the rest stands in the grade for good."""
    if grade is None:
        return None
    return {"grade": grade.number, "level": grade.level, "decision": grade.decision}


def _scored(version: RubricVersion, coupon: Coupon, left_out: Iterable[str]) -> list[Criterion]:
    without = set(left_out)
    criteria = applying(version.criteria.all(), coupon.exercise)
    return [each for each in criteria if each.gate or each.key not in without]


def _outcome(scores: Scores, criteria: list[Criterion], decision: str) -> Outcome:
    if open_rows := [each.title for each in criteria if each.key not in scores]:
        raise ValueError(f"No level yet: {', '.join(open_rows)}.")
    outcome = preview(scores, criteria)
    if outcome is None:
        raise ValueError("This rubric has no criterion with a weight.")
    if decision == Grade.Decision.ACCEPTED and not outcome.passes:
        raise ValueError(f"Level {outcome.level} does not pass.")
    return outcome


def as_seen(coupon: Coupon, based_on: int) -> QuerySet[Coupon]:
    """Return the row of a coupon, or none where it has changed since the version looked at.

    This is the one check that keeps two graders from overruling each other unseen.
    """
    return Coupon.objects.filter(pk=coupon.pk, version=based_on)


def _claim(coupon: Coupon, based_on: int, state: str) -> None:
    """Take the next version of a coupon; the row stays locked until the grade is stored."""
    seen = as_seen(coupon, based_on).exclude(state=Coupon.State.WITHDRAWN)
    claimed = seen.update(version=F("version") + 1, state=state)
    if not claimed:
        raise StaleCoupon
    coupon.refresh_from_db()


def held(coupons: QuerySet[Coupon]) -> QuerySet[Grade]:
    """Return the grades that wait to be released, the oldest first: the newest of each coupon."""
    newest = Grade.objects.filter(coupon=OuterRef("coupon"), undone_at=None).order_by("-number")
    return (
        Grade.objects.filter(coupon__in=coupons.filter(state=Coupon.State.HELD))
        .filter(pk=Subquery(newest.values("pk")[:1]))
        .select_related("coupon__enrolment__user", "coupon__exercise", "grader")
        .order_by("graded_at", "pk")
    )


@transaction.atomic
def release(coupons: QuerySet[Coupon], *, by: User, at: datetime) -> int:
    """Let students see the grades that were held, and return how many there were.

    Parameters
    ----------
    coupons : QuerySet[Coupon]
        Those that the releasing instructor may grade.
    """
    released = []
    for coupon in coupons.filter(state=Coupon.State.HELD).order_by("pk"):
        grade = newest_grade(coupon)
        if grade is None:
            continue
        about = audit.about(coupon)
        try:
            _claim(coupon, coupon.version, grade.decision)
        except StaleCoupon:
            continue
        Grade.objects.filter(pk=grade.pk).update(released_at=at)
        coupon.grade = grade
        coupon.save(update_fields=["grade"])
        released.append(audit.Entry(about=about, after=_told(grade)))
    audit.record_acts(by, Act.GRADE_RELEASED, released)
    return len(released)


@transaction.atomic
def take_back(coupon: Coupon, *, by: User, at: datetime) -> Grade:
    """Take the last grade of a coupon back; it stays on file, marked so.

    The coupon is as it was before: waiting, or with the grade that was there.

    Raises
    ------
    TooLate
        When ten minutes have passed, somebody else gave it, or there is none.
    StaleCoupon
        When the coupon was changed meanwhile.
    ClosedTerm
        When the term is closed.
    """
    terms.need_open(coupon.section.term)
    about = audit.about(coupon)
    grade = newest_grade(coupon)
    if grade is None:
        raise TooLate(_("There is no grade to take back."))
    if grade.grader_id != by.pk:
        raise TooLate(_("%(grader)s gave this grade.") % {"grader": grade.grader})
    if at - grade.graded_at > MAY_BE_TAKEN_BACK:
        raise TooLate(
            _("A grade can be taken back for ten minutes. Grade the coupon again, with a reason.")
        )
    before = _standing(coupon).exclude(pk=grade.pk).first()
    _claim(coupon, coupon.version, _state_under(before))
    Grade.objects.filter(pk=grade.pk).update(undone_at=at)
    coupon.grade = before if before and before.released_at else None
    coupon.save(update_fields=["grade"])
    audit.record_act(
        by, Act.GRADE_TAKEN_BACK, about, before=_told(grade), after=_told(before) or {}
    )
    return grade


def _state_under(grade: Grade | None) -> str:
    """Return the state of a coupon whose newest grade this is."""
    if grade is None:
        return Coupon.State.HANDED_IN
    return grade.decision if grade.released_at else Coupon.State.HELD


def _standing(coupon: Coupon) -> QuerySet[Grade]:
    """Return the grades that were not taken back, the newest first."""
    return coupon.grades.filter(undone_at=None).select_related("grader").order_by("-number")


def newest_grade(coupon: Coupon) -> Grade | None:
    """Return the grade that counts, which may be held; None where there is none."""
    return _standing(coupon).first()


def last_given(user: User, section: Section, at: datetime) -> Grade | None:
    """Return the grade that somebody gave last in a section, while it can still be taken back."""
    recent = Grade.objects.filter(
        grader=user,
        coupon__section=section,
        undone_at=None,
        graded_at__gt=at - MAY_BE_TAKEN_BACK,
    )
    return recent.select_related("coupon__enrolment__user").order_by("-graded_at", "-pk").first()


def is_stored(
    coupon: Coupon,
    *,
    based_on: int | None,
    grader: User,
    scores: Scores,
    decision: str,
    comment: str,
) -> bool:
    """Return whether the coupon's grade is this very one: a button was pressed twice."""
    if based_on is None or coupon.version != based_on + 1:
        return False
    grade = newest_grade(coupon)
    if grade is None:
        return False
    stored = {each.criterion.key: each.level for each in grade.scores.select_related("criterion")}
    given = (grader.pk, dict(scores), decision, comment)
    return (grade.grader_id, stored, grade.decision, grade.comment) == given


def earlier_grades(coupon: Coupon) -> list[Grade]:
    """Return the grades that the present one was put on top of, the newest first."""
    if coupon.grade_id is None:
        return []
    return list(_standing(coupon).exclude(pk=coupon.grade_id))
