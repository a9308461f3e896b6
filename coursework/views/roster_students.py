"""Take students out of a section, or back into it; their coupons stay with them."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from coursework import access, rostering
from coursework.conflicts import ClosedTerm


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do it for those chosen."""
    section, _students = access.roster(access.person(request), pk)
    chosen = access.keys(request.POST.getlist("student"))
    try:
        if "back" in request.POST:
            count = rostering.take_back(section, chosen)
            said = ngettext("%d student is back.", "%d students are back.", count) % count
        else:
            count = rostering.take_out(section, chosen, timezone.now())
            said = ngettext("%d student left.", "%d students left.", count) % count
    except ClosedTerm as reason:
        messages.error(request, str(reason))
    else:
        if count:
            messages.success(request, said)
        else:
            messages.error(request, _("Choose at least one student."))
    return redirect("coursework:roster", pk=section.pk)
