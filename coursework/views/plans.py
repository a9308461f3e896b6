"""The course plans of a school, and a copy of one to make one's own of."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.db.models import Count, Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, exercises
from coursework.forms.exercise import PlanStartForm
from coursework.models import User
from coursework.plans import PlanIsThere

A_PAGE = 20


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.INSTRUCTOR, User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """List them, or store a new one and go on to it."""
    user = access.person(request)
    found = access.plans(user)
    form = PlanStartForm(
        request.POST or None, plans=found, initial={"like": request.GET.get("copy")}
    )
    status, conflict = 200, ""
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                school = access.school_settings(user).school
                plan = exercises.start_plan(school, by=user, **form.cleaned_data)
            except PlanIsThere as reason:
                status, conflict = 409, str(reason)
            else:
                messages.success(
                    request, _("%(plan)s is there. Change it as you like.") % {"plan": plan}
                )
                return redirect("coursework:plan", pk=plan.pk)
    listed = found.annotate(
        exercises_here=Count("exercises", filter=Q(exercises__retired_at=None), distinct=True),
        sections_here=Count("sections", distinct=True),
    )
    context = {
        "page": Paginator(listed, A_PAGE).get_page(request.GET.get("page")),
        "form": form,
        "conflict": conflict,
    }
    return render(request, "coursework/plans.html", context, status=status)
