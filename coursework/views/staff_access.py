"""End the access of an instructor or coordinator, or give it back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, staffing


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do what the button said, and go back to the list."""
    user = access.person(request)
    who = access.staff_member(user, pk)
    try:
        if request.POST.get("access") == "back":
            staffing.give_access_back(who, by=user)
            said = _("%(who)s can sign in again.")
        else:
            staffing.end_access(who, by=user)
            said = _("%(who)s can no longer sign in. What %(who)s did stays.")
    except staffing.NeverAlone as reason:
        messages.error(request, str(reason))
    else:
        messages.success(request, said % {"who": who})
    return redirect("coursework:staff")
