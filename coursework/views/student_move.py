"""Move a student, with every coupon, to another section of the same plan and term."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from coursework import access, closed_term, moving, terms
from coursework.conflicts import ClosedTerm
from coursework.forms.student_move import MoveForm
from coursework.models import User


@require_http_methods(["GET", "HEAD", "POST"])
def view(request: HttpRequest, pk: int) -> HttpResponse:
    """Ask where to and why, or move."""
    user = access.person(request)
    enrolment = access.student_for_staff(user, pk, User.Role.COORDINATOR)
    sections = access.sections_beside(enrolment)
    form, status = MoveForm(request.POST or None, sections=sections), 200
    try:
        terms.need_open(enrolment.section.term)
        if request.method == "POST" and form.is_valid():
            to = form.cleaned_data["section"]
            reason = form.cleaned_data["reason"]
            moving.move(enrolment, to, by=user, reason=reason, at=timezone.now())
            said = {"student": enrolment.user, "section": to}
            messages.success(
                request, _("%(student)s is in %(section)s now, with all coupons.") % said
            )
            return redirect("coursework:student", pk=pk)
        status = 422 if request.method == "POST" else 200
    except ClosedTerm as reason:
        return closed_term.refusal(request, reason)
    except moving.CannotMove as reason:
        form.add_error("section", str(reason))
        status = 409
    context = {
        "form": form,
        "enrolment": enrolment,
        "student": enrolment.user,
        "where": enrolment.section,
        "sections": sections,
        "coupons": access.coupons(user).filter(enrolment=enrolment).count(),
        "moves": enrolment.moves.select_related(
            "from_section__plan", "to_section__plan", "moved_by"
        ),
    }
    return render(request, "coursework/student_move.html", context, status=status)
