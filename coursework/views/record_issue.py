"""Issue a student's term record: a post from the preview, by an instructor of the section."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, issuing
from coursework.models import User
from coursework.views.record import preview


@require_POST
def view(request: HttpRequest, pk: int) -> HttpResponse:
    user = access.person(request)
    enrolment = access.student_for_staff(user, pk, User.Role.INSTRUCTOR)
    after = request.POST.get("after_issue", "")
    if not (after.isascii() and after.isdecimal()):
        return preview(request, enrolment, _("Look at the record below, then issue it."), 422)
    try:
        issued = issuing.issue(enrolment, user, timezone.now(), after_issue=int(after))
    except issuing.IssuedMeanwhile:
        said = _("The record was issued a moment ago. Look at that issue before you make another.")
        return preview(request, enrolment, said, 409)
    except issuing.CouponsRemoved:
        said = _("The coupons were past their time and were removed. The issues of before stay.")
        return preview(request, enrolment, said, 409)
    messages.success(request, _("Issued. The PDF and the table are ready."))
    return redirect("coursework:issued_record", code=issued.code)
