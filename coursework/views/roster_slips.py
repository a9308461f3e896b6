"""Sign-in slips for everybody of a section who has no password yet, to be cut apart."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, sign_in_codes
from coursework.views.roster import answered


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a code for each of them, and show the slips this once."""
    user, now = access.person(request), timezone.now()
    section, students = access.roster(user, pk)
    new = students.filter(
        sign_in_codes.WITHOUT_PASSWORD,
        left_at=None,
        waits_for_approval=False,
        user__is_active=True,
    )
    codes = sign_in_codes.make_for_class([each.user for each in new], by=user, at=now)
    if not codes:
        said = _("Everybody in the section has a password already.")
        return answered(request, section, done="", refused=said)
    context = {
        "section": section,
        "where": section,
        "slips": codes,
        "until": now + sign_in_codes.GOOD_FOR_A_CLASS,
        "address": request.build_absolute_uri(reverse("coursework:sign_in")),
    }
    return render(request, "coursework/roster_slips.html", context)
