"""Let students who wait into a section, or turn them away."""

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from coursework import access, joining
from coursework.conflicts import ClosedTerm
from coursework.views.roster import answered


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do it for those chosen."""
    user = access.person(request)
    section, _students = access.roster(user, pk)
    chosen = access.keys(request.POST.getlist("student"))
    try:
        if "decline" in request.POST:
            count = joining.decline(section, chosen, by=user)
            said = ngettext("%d student turned away.", "%d students turned away.", count) % count
        else:
            count = joining.let_in(section, chosen, by=user)
            said = ngettext("%d student let in.", "%d students let in.", count) % count
    except ClosedTerm as reason:
        return answered(request, section, done="", refused=str(reason))
    return answered(
        request,
        section,
        done=said if count else "",
        refused=_("Choose at least one student who waits."),
    )
