"""The coupons of a section, narrowed by exercise, week, student and flag."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.section_coupons import CouponFilter
from coursework.models import Coupon

A_PAGE = 50


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the list; an address that cannot be read says so above it."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    students = access.enrolments(user).filter(section=section)
    form = CouponFilter(request.GET, section=section, students=students)
    coupons = form.chosen(
        access.coupons_of(section)
        .exclude(state=Coupon.State.WITHDRAWN)
        .select_related("exercise", "enrolment__user", "assessment", "grade")
        .order_by("-handed_in_at", "-pk")
    )
    context = {
        "section": section,
        "where": section,
        "form": form,
        "page": Paginator(coupons, A_PAGE).get_page(request.GET.get("page")),
        "grades": user.is_instructor,
        "narrowed": any(form.cleaned_data.values()),
    }
    status = 422 if form.errors else 200
    return render(request, "coursework/section_coupons.html", context, status=status)
