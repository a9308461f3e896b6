"""Grading: from the scores of a rubric to a level, and the grade of a coupon.

A grade is never edited: grading a coupon again adds a row beside the first. Whoever grades names
the version of the coupon that was looked at, and the later of two graders is told so.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db import transaction
from django.db.models import Exists, F, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from coursework.conflicts import Conflict, StaleCoupon
from coursework.models import (
    Coupon,
    Criterion,
    Enrolment,
    Exercise,
    Finding,
    Grade,
    RubricVersion,
    Score,
    SignOff,
    User,
)
from coursework.progress import states_of

PASSES = 3
NOT_KEPT = 1
CAP = 1

SAFETY_STOP = Q(severity=Finding.Severity.STOP, rule__startswith="safety-")

type Scores = Mapping[str, int]
"""Levels, 1 to 4, by the key of the criterion."""


class NotReady(Conflict):
    """The exercise cannot be signed off yet; the message says what is missing."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What scores amount to; ``capped_by`` names the gate that was not kept, if one was not."""

    weighted: Decimal
    level: int
    capped_by: str = ""

    @property
    def passes(self) -> bool:
        return self.level >= PASSES


def applying(criteria: Iterable[Criterion], exercise: Exercise) -> list[Criterion]:
    """Return the criteria that a coupon of the exercise is scored by.

    Those of the check test only where the exercise asks for one. A visual check is none here:
    every coupon is looked at, and that has criteria of its own.
    """
    asked = exercise.check_test not in {Exercise.CheckTest.NONE, Exercise.CheckTest.VISUAL}
    return [each for each in criteria if asked or not each.check_test]


def weighted_level(scores: Scores, criteria: Iterable[Criterion]) -> Decimal:
    """Return the mean of the scored levels by weight, to two places, halves up.

    Parameters
    ----------
    scores : mapping of str to int
        Levels by the key of the criterion.
    criteria : iterable of Criterion
        Those that apply. The weights of the scored ones count as if they made up 100.

    Raises
    ------
    ValueError
        When nothing that has a weight is scored.
    """
    scored = [(each.weight, scores[each.key]) for each in criteria if each.key in scores]
    total = sum((weight for weight, _level in scored), Decimal(0))
    if not total:
        raise ValueError("Nothing that has a weight is scored.")
    mean = sum((weight * level for weight, level in scored), Decimal(0)) / total
    return mean.quantize(Decimal("0.01"), ROUND_HALF_UP)


def preview(scores: Scores, criteria: Iterable[Criterion]) -> Outcome | None:
    """Return what the scores so far amount to; None where nothing that has a weight is scored.

    The level is the weighted level rounded to a whole one, halves up. A gate that was not kept
    caps it, whatever the weights say.
    """
    criteria = list(criteria)
    try:
        weighted = weighted_level(scores, criteria)
    except ValueError:
        return None
    level = int(weighted.quantize(Decimal(1), ROUND_HALF_UP))
    broken = [each.title for each in criteria if each.gate and scores.get(each.key) == NOT_KEPT]
    if broken:
        return Outcome(weighted, min(level, CAP), broken[0])
    return Outcome(weighted, level)


@transaction.atomic
def grade_coupon(
    coupon: Coupon,
    *,
    based_on: int,
    grader: User,
    rubric_version: RubricVersion,
    scores: Scores,
    decision: str,
    comment: str = "",
    reason: str = "",
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
    reason : str
        Why it is graded again; must be given where a grade is there already.

    Raises
    ------
    StaleCoupon
        When the coupon was graded, corrected or withdrawn since, or is withdrawn.
    ValueError
        When a criterion has no level, what does not pass is to be accepted, or a reason is
        missing.
    """
    criteria = applying(rubric_version.criteria.all(), coupon.exercise)
    outcome = _outcome(scores, criteria, decision)
    _claim(coupon, based_on, decision)
    number = coupon.grades.count() + 1
    if number > 1 and not reason:
        raise ValueError("Grading again needs a reason.")
    grade = Grade.objects.create(
        coupon=coupon,
        number=number,
        facts=coupon.all_facts.latest("number"),
        rubric_version=rubric_version,
        grader=grader,
        graded_at=at,
        decision=decision,
        level=outcome.level,
        weighted=outcome.weighted,
        capped_by=outcome.capped_by,
        comment=comment,
        reason=reason if number > 1 else "",
    )
    Score.objects.bulk_create(
        Score(grade=grade, criterion=each, level=scores[each.key]) for each in criteria
    )
    coupon.grade = grade
    coupon.save(update_fields=["grade"])
    return grade


def _outcome(scores: Scores, criteria: list[Criterion], decision: str) -> Outcome:
    if open_rows := [each.title for each in criteria if each.key not in scores]:
        raise ValueError(f"No level yet: {', '.join(open_rows)}.")
    outcome = preview(scores, criteria)
    if outcome is None:
        raise ValueError("This rubric has no criterion with a weight.")
    if decision == Grade.Decision.ACCEPTED and not outcome.passes:
        raise ValueError(f"Level {outcome.level} does not pass.")
    return outcome


def _claim(coupon: Coupon, based_on: int, decision: str) -> None:
    """Take the next version of a coupon; the row stays locked until the grade is stored."""
    claimed = (
        Coupon.objects.filter(pk=coupon.pk, version=based_on)
        .exclude(state=Coupon.State.WITHDRAWN)
        .update(version=F("version") + 1, state=decision)
    )
    if not claimed:
        raise StaleCoupon
    coupon.refresh_from_db()


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
    grade = coupon.grade
    if grade is None or based_on is None or coupon.version != based_on + 1:
        return False
    stored = {each.criterion.key: each.level for each in grade.scores.select_related("criterion")}
    given = (grader.pk, dict(scores), decision, comment)
    return (grade.grader_id, stored, grade.decision, grade.comment) == given


def earlier_grades(coupon: Coupon) -> list[Grade]:
    """Return the grades that the present one was put on top of, the newest first."""
    if coupon.grade_id is None:
        return []
    earlier = coupon.grades.exclude(pk=coupon.grade_id).select_related("grader")
    return list(earlier.order_by("-number"))


def _stopped() -> Exists:
    return Exists(Finding.objects.filter(SAFETY_STOP, assessment=OuterRef("assessment")))


def waiting(coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
    """Return those without a grade in the order to grade them: safety stops first, then by age.

    Each says in ``safety_stop`` whether its flags have one.
    """
    return (
        coupons.filter(state=Coupon.State.HANDED_IN)
        .annotate(safety_stop=_stopped())
        .order_by("-safety_stop", "handed_in_at", "pk")
    )


def open_safety_stops(coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
    """Return those that have a safety stop and no grade yet, the oldest first."""
    return waiting(coupons).filter(_stopped())


def sign_off(enrolment: Enrolment, exercise: Exercise, *, by: User, at: datetime) -> SignOff:
    """Put an instructor's name under an exercise; a second time changes nothing.

    Raises
    ------
    NotReady
        When good coupons are missing.
    """
    (progress,) = [each for each in states_of(enrolment) if each.exercise.pk == exercise.pk]
    if progress.good < progress.wanted:
        raise NotReady(
            _("%(exercise)s cannot be signed off yet. Still wanted: %(missing)s.")
            % {"exercise": exercise.title, "missing": progress.missing}
        )
    signed, _new = SignOff.objects.get_or_create(
        enrolment=enrolment, exercise=exercise, defaults={"signed_by": by, "signed_at": at}
    )
    return signed
