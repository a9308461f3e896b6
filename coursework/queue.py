"""Which coupons wait for a grade, in which order, and who has which of them in hand."""

from datetime import datetime, timedelta
from typing import Final

from django.db import IntegrityError, transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Sign

from coursework.models import Coupon, Lease, User

A_LEASE: Final = timedelta(minutes=10)


def waiting(coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
    """Return those without a grade in the order to grade them: safety stops first, then by age.

    Each says in ``safety_stop`` whether its flags have one (1) or not (0).
    """
    return (
        coupons.filter(state=Coupon.State.HANDED_IN)
        .annotate(safety_stop=Sign("assessment__safety_stops"))
        .order_by("-safety_stop", "handed_in_at", "pk")
    )


def open_safety_stops(coupons: QuerySet[Coupon]) -> QuerySet[Coupon]:
    """Return those that have a safety stop and no grade yet, the oldest first."""
    return waiting(coupons).filter(assessment__safety_stops__gt=0)


def take(coupon: Coupon, grader: User, at: datetime) -> User | None:
    """Take a coupon in hand for ten minutes; return who else has it, or None.

    Taking it again renews the ten minutes. A lease only keeps graders from meeting; a grade that
    was given all the same is settled by the version of the coupon.
    """
    Lease.objects.filter(coupon=coupon, until__lte=at).delete()
    try:
        with transaction.atomic():
            lease, _new = Lease.objects.select_related("grader").get_or_create(
                coupon=coupon, defaults={"grader": grader, "until": at + A_LEASE}
            )
    except IntegrityError:
        # Somebody else took the coupon at the same moment, and may have put it down again.
        other = Lease.objects.select_related("grader").filter(coupon=coupon).exclude(grader=grader)
        return next((each.grader for each in other), None)
    if lease.grader_id != grader.pk:
        return lease.grader
    Lease.objects.filter(pk=lease.pk).update(until=at + A_LEASE)
    return None


def put_down(coupon: Coupon, grader: User) -> None:
    """Give a coupon back that somebody had in hand."""
    Lease.objects.filter(coupon=coupon, grader=grader).delete()


def free_for(coupons: QuerySet[Coupon], grader: User, at: datetime) -> QuerySet[Coupon]:
    """Return the waiting coupons that nobody else has in hand."""
    taken = Lease.objects.filter(coupon=OuterRef("pk"), until__gt=at).exclude(grader=grader)
    return waiting(coupons).filter(~Q(Exists(taken)))


def next_for(
    coupons: QuerySet[Coupon], grader: User, at: datetime, *, after: Coupon | None = None
) -> Coupon | None:
    """Take the next coupon in hand that is free for a grader; None where none is left."""
    free = free_for(coupons, grader, at)
    if after is not None:
        free = free.exclude(pk=after.pk)
    for coupon in free[:20]:
        if take(coupon, grader, at) is None:
            return coupon
    return None
