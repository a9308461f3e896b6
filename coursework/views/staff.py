"""Instructors and coordinators of the school; add one."""

from django.core.paginator import Paginator
from django.db import transaction
from django.db.models import Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from coursework import access, sign_in_codes, staffing
from coursework.forms.staff import StaffForm
from coursework.models import Enrolment, User
from coursework.views import sign_in_code

A_PAGE = 50


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """List them, or add one and show the slip with which the person signs in first."""
    user = access.person(request)
    form = StaffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        school, at = access.school_settings(user).school, timezone.now()
        with transaction.atomic():
            added = staffing.add(school, by=user, **form.cleaned_data)
            code = sign_in_codes.make(added, by=user, at=at)
        return sign_in_code.slip(request, added, code, at)
    teaching = (
        Enrolment.objects.filter(role=Enrolment.Role.INSTRUCTOR, left_at=None)
        .select_related("section__plan", "section__term")
        .filter(section__term__closed_at=None)
        .order_by("section__plan__code", "section__name", "pk")
    )
    people = access.staff(user).prefetch_related(
        Prefetch("enrolments", teaching, to_attr="teaching")
    )
    context = {
        "form": form,
        "page": Paginator(people, A_PAGE).get_page(request.GET.get("page")),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/staff.html", context, status=status)
