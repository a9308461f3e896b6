"""One student, as staff sees them: each exercise with what is missing, and every coupon."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.models import Enrolment
from coursework.progress import competent, states_of

A_PAGE = 50


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the student."""
    return page(request, access.student_for_staff(access.person(request), pk))


def page(
    request: HttpRequest, enrolment: Enrolment, *, refused: str = "", status: int = 200
) -> HttpResponse:
    """Show a student, with what could not be done where something was refused."""
    user = access.person(request)
    coupons = access.coupons(user).filter(enrolment=enrolment).select_related("grade", "assessment")
    progress = states_of(enrolment)
    context = {
        "enrolment": enrolment,
        "student": enrolment.user,
        "where": enrolment.section,
        "progress": progress,
        "competent": competent(progress),
        "page": Paginator(coupons, A_PAGE).get_page(request.GET.get("page")),
        "grades": user.is_instructor,
        "refused": refused,
    }
    return render(request, "coursework/student.html", context, status=status)
