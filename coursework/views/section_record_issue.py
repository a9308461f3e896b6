"""Issue the record of a section, and with it every student's that changed: a post, all or none."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, issuing, section_issuing
from coursework.models import User
from coursework.views.records import page


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Issue, or say why not."""
    user = access.person(request)
    section = access.section_for_staff(user, pk, User.Role.INSTRUCTOR)
    students = list(access.enrolments(user).filter(section=section))
    after = request.POST.get("after_issue", "")
    if not (after.isascii() and after.isdecimal() and students):
        said = _("Look at the section below, then issue its record.")
        return page(request, section, said, 422)
    try:
        issued = section_issuing.issue(
            section, students, user, timezone.now(), after_issue=int(after)
        )
    except issuing.IssuedMeanwhile:
        said = _("A record was issued a moment ago. Look at it before you issue another.")
        return page(request, section, said, 409)
    except issuing.CouponsRemoved:
        said = _("The coupons were past their time and were removed. The issues of before stay.")
        return page(request, section, said, 409)
    messages.success(request, _("Issued: the section’s record, and every student’s that changed."))
    return redirect("coursework:section_record", code=issued.code)
