"""Pick the student without a phone, and the exercise, whose coupon an instructor logs."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term, terms
from coursework.conflicts import ClosedTerm
from coursework.forms.log_for import LogForForm
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the two lists, or go on to the form of the coupon."""
    user = access.person(request)
    section = access.section_for_staff(user, pk, User.Role.INSTRUCTOR)
    try:
        terms.need_open(section.term)
    except ClosedTerm as reason:
        return closed_term.refusal(request, reason)
    students = access.enrolments(user).filter(section=section, left_at=None)
    form = LogForForm(
        request.POST or None,
        initial={"student": request.GET.get("student")},
        students=students.order_by("user__last_name", "user__first_name", "pk"),
        exercises=section.plan.exercises.filter(retired_at=None).order_by("place"),
    )
    if request.method == "POST" and form.is_valid():
        chosen = form.cleaned_data
        return redirect(
            "coursework:coupon_log_for", pk=chosen["student"].pk, exercise=chosen["exercise"].pk
        )
    status = 422 if request.method == "POST" else 200
    context = {"form": form, "section": section, "where": section}
    return render(request, "coursework/log_for.html", context, status=status)
