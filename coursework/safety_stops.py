"""Safety stops that nobody has looked at yet, with their flags as they are shown."""

from typing import Any, Final

from django.db.models import Q, QuerySet

from coursework import wording
from coursework.models import Coupon, Finding

COUPON: Final = "assessment__facts__coupon"
SHOWN: Final = (
    *("rule", "severity", "says", "fields", "values", "source", "place"),
    *(f"{COUPON}__{name}" for name in ("public_id", "number", "handed_in_at")),
    *(f"{COUPON}__exercise__{name}" for name in ("place", "title")),
    *(f"{COUPON}__enrolment__user__{name}" for name in ("first_name", "last_name", "username")),
)
SAFETY_STOP: Final = Q(severity=Finding.Severity.STOP, rule__startswith="safety-")


def cards(coupons: QuerySet[Coupon], most: int) -> list[dict[str, Any]]:
    """Return coupons with their safety stops, the oldest first, in one query.

    Parameters
    ----------
    coupons : QuerySet[Coupon]
        Those that have a safety stop and no grade, and that the reader may see.
    most : int
        How many to return at most.
    """
    oldest = coupons.order_by("handed_in_at", "pk").values("assessment")[:most]
    findings = (
        Finding.objects.filter(SAFETY_STOP, assessment__in=oldest)
        .select_related(f"{COUPON}__exercise", f"{COUPON}__enrolment__user")
        .only(*SHOWN)
        .order_by(f"{COUPON}__handed_in_at", "assessment_id", "place")
    )
    found: dict[int, dict[str, Any]] = {}
    for each in findings:
        coupon = each.assessment.facts.coupon
        entry = found.setdefault(coupon.pk, {"coupon": coupon, "flags": []})
        entry["flags"].append(wording.finding_card(each, {}, {}))
    return list(found.values())
