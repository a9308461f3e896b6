"""Lay the course plan that ships with weldlog out for the school."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, plans
from coursework.models import User


@require_POST
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """Store it, and go back to the office."""
    user = access.person(request)
    settings = access.school_settings(user)
    try:
        plan = plans.lay_out_first_plan(settings.school, by=user, at=timezone.now())
    except plans.PlanIsThere as reason:
        messages.error(request, str(reason))
    else:
        said = _("%(plan)s is yours now, with its exercises and its rubric.")
        messages.success(request, said % {"plan": plan})
    return redirect("coursework:office")
