"""Coupons read for an export, with everything that is known of them; memory stays bounded.

Nothing of a grade that is held is in any export, nor a grade that was taken back.
"""

from collections.abc import Iterator
from typing import Final

from django.db.models import Prefetch, QuerySet

from coursework import access
from coursework.export_writing import Progress
from coursework.models import CheckResult, CorrectionRequest, Coupon, Grade, Section

type Coupons = QuerySet[Coupon]

# So many coupons are in memory at a time. Each lot costs the same queries whatever is in it.
AT_ONCE: Final = 100
STEPS_A_WORD: Final = 50

_NOT_NEEDED: Final = (
    "facts__typed",
    "assessment__causes",
    "assessment__acceptance",
    "assessment__not_assessed",
    "assessment__cautions",
    "assessment__next_try",
)
_FACT_ROWS: Final = ("base_metals", "runs", "cleaning_steps", "imperfections")


def no_word(_done: int, _of: int) -> None:
    """Tell nobody how far the work is."""


def coupons_of(section: Section) -> QuerySet[Coupon]:
    """Return all coupons of a section that was found for its staff, by student and number."""
    return access.coupons_of(section).order_by(
        "enrolment__user__last_name", "enrolment__user__first_name", "enrolment_id", "number"
    )


def whole(coupons: QuerySet[Coupon], progress: Progress = no_word) -> Iterator[Coupon]:
    """Yield coupons in their order, each with facts, findings, grades and check tests at hand.

    Parameters
    ----------
    coupons : QuerySet[Coupon]
        Those that are wanted.
    progress : function
        Told how many have been dealt with; an exception that it raises ends the reading.
    """
    scored = _grades().prefetch_related("scores__criterion")
    tests = CheckResult.objects.select_related("tested_by")
    more = ("assessment__findings", Prefetch("check_results", tests))
    return _told(coupons, _with_facts(coupons, scored).prefetch_related(*more), progress)


def bare(coupons: QuerySet[Coupon], progress: Progress = no_word) -> Iterator[Coupon]:
    """Yield coupons as :func:`whole` does, without findings, scores and check tests."""
    return _told(coupons, _with_facts(coupons, _grades()), progress)


def _told(
    coupons: QuerySet[Coupon], read: QuerySet[Coupon], progress: Progress
) -> Iterator[Coupon]:
    of = coupons.count()
    for done, coupon in enumerate(read.iterator(chunk_size=AT_ONCE)):
        if done % STEPS_A_WORD == 0:
            progress(done, of)
        yield coupon
    progress(of, of)


def is_held(coupon: Coupon) -> bool:
    """Return whether a grade of the coupon waits to be released."""
    return coupon.state == Coupon.State.HELD


def _with_facts(coupons: QuerySet[Coupon], grades: QuerySet[Grade]) -> QuerySet[Coupon]:
    return (
        coupons.select_related(
            "exercise",
            "enrolment__user",
            "section__plan",
            "section__term__school__settings",
            "facts",
            "assessment",
            "logged_by",
        )
        .defer(*_NOT_NEEDED)
        .prefetch_related(
            *(f"facts__{name}" for name in _FACT_ROWS),
            Prefetch("grades", grades),
            Prefetch(
                "correction_requests", CorrectionRequest.objects.filter(stated_at__isnull=False)
            ),
        )
    )


def _grades() -> QuerySet[Grade]:
    return (
        Grade.objects.filter(released_at__isnull=False, undone_at=None)
        .select_related("grader", "rubric_version__rubric")
        .order_by("number")
    )
