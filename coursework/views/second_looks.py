"""Second gradings of a section: what waits for one, and where both lie far apart."""

from django.contrib import messages
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, second_looks
from coursework.conflicts import Conflict
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the list, or settle a difference."""
    user = access.person(request)
    section = access.section_for_staff(user, pk, User.Role.INSTRUCTOR)
    far_apart = second_looks.far_apart(section)
    lead = access.lead_of(section)
    refused = ""
    if request.method == "POST":
        if user != lead:
            raise PermissionDenied
        keys = access.keys([request.POST.get("look", "")])
        look = second_looks.of_section(section).filter(pk__in=keys).first()
        if look is None:
            refused = _("This second grading is gone.")
        else:
            try:
                second_looks.settle(look, by=user, at=timezone.now())
            except Conflict as conflict:
                refused = str(conflict)
        if not refused:
            messages.success(request, _("Settled. Both grades stay on file."))
            return redirect("coursework:second_looks", pk=section.pk)
    context = {
        "section": section,
        "where": section,
        "waiting": second_looks.waiting_for(user, section),
        "far_apart": far_apart,
        "lead": lead,
        "leads": user == lead,
        "share": section.term.school.settings.second_grading_percent,
        "refused": refused,
    }
    status = 409 if refused else 200
    return render(request, "coursework/second_looks.html", context, status=status)
