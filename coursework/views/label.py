"""Where the code on a student's label leads: the student to the log, staff to the student."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_safe

from coursework import access
from coursework.progress import states_of
from coursework.views.bench import in_hand


@require_safe
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Lead on; whom the student is a stranger to, finds nothing here."""
    user = access.person(request)
    enrolment = access.labelled_student(user, pk)
    if not user.is_student:
        return redirect("coursework:student", pk=enrolment.pk)
    current = None if enrolment.left_at else in_hand(states_of(enrolment))
    if current is None:
        return redirect("coursework:bench")
    return redirect("coursework:coupon_log", exercise=current.exercise.pk)
