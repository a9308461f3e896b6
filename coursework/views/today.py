"""Run the shop: safety stops first, then coupons as they arrive, and who has logged none today."""

from datetime import datetime, time
from typing import Any

from django.db.models import Count, Max, Q, QuerySet, Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from coursework import access, queue, safety_stops
from coursework.models import Coupon, Section, User

ARRIVED_SHOWN = 60
STOPS_SHOWN = 10


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the page, or to a page that looks again only what is new."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    begun = _begin_of_today(section)
    coupons = access.coupons_of(section)
    seen = _fingerprint(coupons, begun)
    looks_again = bool(getattr(request, "htmx", False))
    if looks_again and request.GET.get("seen") == seen:
        return HttpResponse(status=204)
    context = _shop(section, coupons, begun, user) | {"seen": seen}
    page = "coursework/today.html#shop" if looks_again else "coursework/today.html"
    return render(request, page, context)


def _begin_of_today(section: Section) -> datetime:
    zone = section.term.school.settings.zone
    return datetime.combine(timezone.localdate(timezone=zone), time.min, zone)


def _fingerprint(coupons: QuerySet[Coupon], begun: datetime) -> str:
    """Return a text that changes when a coupon arrives, changes or leaves the page."""
    unsafe = Q(state=Coupon.State.HANDED_IN, assessment__safety_stops__gt=0)
    shown = coupons.filter(Q(handed_in_at__gte=begun) | unsafe).aggregate(
        number=Count("pk"), newest=Max("pk"), changes=Sum("version")
    )
    return f"{begun:%Y%m%d}-{shown['number']}-{shown['newest'] or 0}-{shown['changes'] or 0}"


def _shop(
    section: Section, coupons: QuerySet[Coupon], begun: datetime, user: User
) -> dict[str, Any]:
    unsafe = queue.open_safety_stops(coupons)
    stops = unsafe.count()
    arrived = coupons.filter(handed_in_at__gte=begun).exclude(state=Coupon.State.WITHDRAWN)
    here = set(arrived.order_by().values_list("enrolment_id", flat=True))
    students = access.students_of(section)
    return {
        "section": section,
        "where": section,
        "day": begun,
        "stops": safety_stops.cards(unsafe, STOPS_SHOWN) if stops else [],
        "more_stops": max(stops - STOPS_SHOWN, 0),
        "arrived": arrived.select_related("exercise", "enrolment__user", "assessment").order_by(
            "-handed_in_at", "-pk"
        )[:ARRIVED_SHOWN],
        "number": arrived.count(),
        "students": students,
        "without": [each for each in students if each.pk not in here],
        "grades": user.is_instructor,
    }
