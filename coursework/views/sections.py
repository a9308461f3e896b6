"""The sections that an instructor teaches or a coordinator looks after, and what waits in each."""

from typing import Any

from django.core.paginator import Paginator
from django.db.models import Count, Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, queue
from coursework.models import Coupon, Section, User

A_PAGE = 30


@require_safe
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """List the sections, the newest term first."""
    user = access.person(request)
    page = Paginator(access.sections(user), A_PAGE).get_page(request.GET.get("page"))
    rows = _rows(user, list(page))
    return render(request, "coursework/sections.html", {"page": page, "rows": rows})


def _rows(user: User, sections: list[Section]) -> list[dict[str, Any]]:
    coupons = access.coupons(user).filter(section__in=sections)
    waits = Q(state=Coupon.State.HANDED_IN)
    stops = queue.open_safety_stops(coupons)
    students = access.enrolments(user).filter(section__in=sections)
    counts = {
        "students": _by_section(students, Count("pk")),
        "coupons": _by_section(coupons, Count("pk", filter=~Q(state=Coupon.State.WITHDRAWN))),
        "waiting": _by_section(coupons.filter(waits), Count("pk")),
        "safety_stops": _by_section(stops, Count("pk")),
    }
    return [
        {"section": section} | {name: found.get(section.pk, 0) for name, found in counts.items()}
        for section in sections
    ]


def _by_section(rows: QuerySet[Any], count: Count) -> dict[int, int]:
    return dict(rows.order_by().values_list("section").annotate(number=count))
