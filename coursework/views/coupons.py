"""A student's own coupons, newest first."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from coursework import access

ON_A_PAGE = 25


def view(request: HttpRequest) -> HttpResponse:
    enrolment = access.own_enrolment(access.person(request))
    if enrolment is None:
        return redirect("coursework:join")
    own = (
        access.coupons(access.person(request))
        .filter(enrolment=enrolment)
        .select_related("grade", "assessment")
        .order_by("-handed_in_at", "-pk")
    )
    page = Paginator(own, ON_A_PAGE).get_page(request.GET.get("page"))
    return render(request, "coursework/coupons.html", {"page": page, "enrolment": enrolment})
