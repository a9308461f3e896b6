"""Sign an exercise off: an instructor's name under what a student can do."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from coursework import access, sign_offs
from coursework.conflicts import ClosedTerm
from coursework.models import User
from coursework.views import student


@require_POST
def view(request: HttpRequest, pk: int, exercise: int) -> HttpResponse:
    """Sign, and go back to the student."""
    user = access.person(request)
    enrolment = access.student_for_staff(user, pk, User.Role.INSTRUCTOR)
    wanted = get_object_or_404(enrolment.section.plan.exercises, pk=exercise)
    try:
        sign_offs.sign_off(enrolment, wanted, by=user, at=timezone.now())
    except (sign_offs.NotReady, ClosedTerm) as reason:
        return student.page(request, enrolment, refused=str(reason), status=409)
    said = {"exercise": wanted.title, "student": enrolment.user}
    messages.success(request, _("%(exercise)s of %(student)s is signed off.") % said)
    return redirect("coursework:student", pk=pk)
