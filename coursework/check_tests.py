"""Check tests: what was cut, bent or broken to see inside, and whether it passed."""

from dataclasses import dataclass
from datetime import datetime

from django.db import IntegrityError, transaction
from django.db.models import OuterRef, QuerySet, Subquery
from django.utils.translation import gettext as _

from coursework import audit
from coursework.conflicts import Conflict
from coursework.models import Act, CheckResult, Coupon, Exercise, Photo, User


class NotAsked(Conflict):
    """The exercise asks for no check test."""


class TestedMeanwhile(Conflict):
    """Somebody else stored a result of this coupon at the same moment."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """What a check test showed; the largest opening in mm where one was measured."""

    passed: bool
    largest_opening_mm: float | None = None
    note: str = ""
    photo: Photo | None = None


def is_asked(exercise: Exercise) -> bool:
    """Return whether an exercise asks for a check test."""
    return exercise.check_test != Exercise.CheckTest.NONE


def record(coupon: Coupon, seen: Seen, *, by: User, at: datetime) -> CheckResult:
    """Store what the check test of a coupon showed; an earlier result stays.

    Raises
    ------
    NotAsked
        When the exercise asks for none.
    TestedMeanwhile
        When another result was stored at the same moment.
    """
    if not is_asked(coupon.exercise):
        raise NotAsked(_("This exercise asks for no check test."))
    try:
        with transaction.atomic():
            result = CheckResult.objects.create(
                coupon=coupon,
                number=coupon.check_results.count() + 1,
                kind=coupon.exercise.check_test,
                passed=seen.passed,
                largest_opening_mm=seen.largest_opening_mm,
                note=seen.note,
                photo=seen.photo,
                tested_by=by,
                tested_at=at,
            )
            after = {"test": result.number, "kind": result.kind, "passed": result.passed}
            audit.record_act(by, Act.CHECK_TEST_RECORDED, coupon, after=after)
            return result
    except IntegrityError:
        raise TestedMeanwhile(
            _("Somebody saved a result of this coupon just now. Look at it, then save again.")
        ) from None


def last_of(coupon: Coupon) -> CheckResult | None:
    """Return the newest result of a coupon, None where it was not tested."""
    return coupon.check_results.select_related("tested_by", "photo").order_by("-number").first()


def passed(coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
    """Return the coupons whose newest check test passed."""
    newest = CheckResult.objects.filter(coupon=OuterRef("pk")).order_by("-number").values("passed")
    return coupons.annotate(check_passed=Subquery(newest[:1])).filter(check_passed=True)
