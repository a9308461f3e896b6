"""Holds: whose records stay whatever their time, and why; put more on hold."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, holds
from coursework.forms.holds import HoldForm
from coursework.models import User

A_PAGE = 50


@require_http_methods(["GET", "HEAD", "POST"])
@access.only(User.Role.COORDINATOR)
def view(request: HttpRequest) -> HttpResponse:
    """List them, or place one."""
    user = access.person(request)
    form = HoldForm(
        request.POST or None,
        students=access.students_of_school(user),
        sections=access.sections(user).order_by("-term__starts_on", "plan__code", "name", "pk"),
    )
    if request.method == "POST" and form.is_valid():
        school = access.school_settings(user).school
        holds.place(school, form.target, form.cleaned_data["reason"], by=user, at=timezone.now())
        messages.success(request, _("On hold: nothing of it is removed until you lift the hold."))
        return redirect("coursework:holds")
    context = {
        "form": form,
        "page": Paginator(access.holds(user), A_PAGE).get_page(request.GET.get("page")),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "coursework/holds.html", context, status=status)
