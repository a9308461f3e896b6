"""Make an instructor a coordinator, or the other way round."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, staffing
from coursework.conflicts import Conflict
from coursework.models import User


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do what the button said, and go back to the list."""
    user = access.person(request)
    who = access.staff_member(user, pk)
    wanted = request.POST.get("role", "")
    role = User.Role.COORDINATOR if wanted == "coordinator" else User.Role.INSTRUCTOR
    try:
        staffing.change_role(who, role, by=user)
    except Conflict as reason:
        messages.error(request, str(reason))
    else:
        said = {"who": who, "role": who.get_role_display()}
        messages.success(request, _("%(who)s is %(role)s now.") % said)
    return redirect(
        "coursework:home" if who == user and not who.is_coordinator else "coursework:staff"
    )
