"""Take students out of a section, or back into it; their coupons stay with them."""

from django.http import HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views.decorators.http import require_POST

from coursework import access, rostering
from coursework.conflicts import ClosedTerm
from coursework.views.roster import answered


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Do it for those chosen."""
    user = access.person(request)
    section, _students = access.roster(user, pk)
    chosen = access.keys(request.POST.getlist("student"))
    try:
        if "back" in request.POST:
            count = rostering.take_back(section, chosen, by=user)
            said = ngettext("%d student is back.", "%d students are back.", count) % count
        else:
            count = rostering.take_out(section, chosen, by=user, at=timezone.now())
            said = ngettext("%d student left.", "%d students left.", count) % count
    except ClosedTerm as reason:
        return answered(request, section, done="", refused=str(reason))
    return answered(
        request, section, done=said if count else "", refused=_("Choose at least one student.")
    )
