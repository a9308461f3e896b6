"""The coupons of a section that wait for a grade, in the order to grade them."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access, queue

A_PAGE = 50


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the queue."""
    user = access.person(request)
    section = access.section_for_staff(user, pk)
    waiting = queue.waiting(access.coupons(user).filter(section=section))
    page = Paginator(waiting.select_related("assessment"), A_PAGE).get_page(request.GET.get("page"))
    context = {
        "section": section,
        "where": section,
        "page": page,
        "grades": user.is_instructor,
    }
    return render(request, "coursework/waiting.html", context)
