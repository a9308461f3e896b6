"""Choose labels to print: for students before they log, or for coupons that were logged."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from coursework import access
from coursework.forms.labels import LabelsForm
from coursework.models import Section

A_PAGE = 60


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the form."""
    section = access.section_for_staff(access.person(request), pk)
    metric = section.term.school.settings.metric_first
    start = {"preset": "a4-21" if metric else "letter-30", "start": 1, "copies": 1}
    return page(request, section, form(request, section, initial=start))


def form(request: HttpRequest, section: Section, **more: Any) -> LabelsForm:
    """Return the form with the students and coupons of a section to choose from."""
    user = access.person(request)
    students = access.enrolments(user).filter(section=section, left_at=None)
    return LabelsForm(students=students, coupons=access.live_coupons(user, section), **more)


def page(
    request: HttpRequest, section: Section, filled: LabelsForm, status: int = 200
) -> HttpResponse:
    """Render the page with a form, of one kind of labels."""
    user = access.person(request)
    of_coupons = request.GET.get("of") == "coupons"
    students = access.enrolments(user).filter(section=section, left_at=None)
    coupons = access.live_coupons(user, section)
    chosen = request.GET.getlist("coupon" if of_coupons else "student")
    context = {
        "section": section,
        "where": section,
        "form": filled,
        "of_coupons": of_coupons,
        "students": () if of_coupons else students,
        "page": Paginator(coupons, A_PAGE).get_page(request.GET.get("page")) if of_coupons else (),
        "chosen": set(access.keys(chosen)),
        "all_chosen": not filled.is_bound and not of_coupons,
    }
    return render(request, "coursework/labels.html", context, status=status)
