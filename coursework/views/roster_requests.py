"""Let students who wait into a section, or turn them away."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from coursework import access, joining
from coursework.conflicts import ClosedTerm


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do it for those chosen."""
    section, _students = access.roster(access.person(request), pk)
    chosen = access.keys(request.POST.getlist("student"))
    try:
        if "decline" in request.POST:
            count = joining.decline(section, chosen)
            said = ngettext("%d student turned away.", "%d students turned away.", count) % count
        else:
            count = joining.let_in(section, chosen)
            said = ngettext("%d student let in.", "%d students let in.", count) % count
    except ClosedTerm as reason:
        messages.error(request, str(reason))
    else:
        if count:
            messages.success(request, said)
        else:
            messages.error(request, _("Choose at least one student who waits."))
    return redirect("coursework:roster", pk=section.pk)
